"""The answer in words: why this choice, where the walls are, when to prefer the runner-up."""

import math
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import replace

from loop.job import Job, all_parts
from loop.parts import Strainer
from loop.size.compare import Telling
from loop.size.limits import Reach
from loop.size.result import Option, SizeResult
from loop.size.worst_case import in_service
from loop.units import System, show
from loop.words import CODES
from loop.words.numbers import round_down, round_up

# A difference smaller than this is none: engineering estimate.
_SAME = 0.01
# Nor is a pump quieter that draws so little less.
_QUIETER = 0.05


def name(option: Option, units: System) -> str:
    """What an option is, such as ``demo-ac-350, 3/4 in suction, 5/8 in pressure``."""
    choice = option.choice
    count = f"{choice.count} × " if choice.count > 1 else ""
    how = {"parallel": " side by side", "series": " in line"}[choice.arrangement] if count else ""
    words = [
        f"{count}{choice.pump.name}{how}",
        f"{show(choice.suction_bore, 'bore', units)} suction",
        f"{show(choice.pressure_bore, 'bore', units)} pressure",
    ]
    if choice.branch_bores:
        bores = dict.fromkeys(show(bore, "bore", units) for bore in choice.branch_bores)
        each = [show(bore, "bore", units) for bore in choice.branch_bores]
        words.append(f"{each[0] if len(bores) == 1 else ' + '.join(each)} branches")
    if choice.seacock_bore is not None:
        words.append(f"{show(choice.seacock_bore, 'bore', units)} seacock")
    if choice.barb_bore is not None:
        words.append(f"{show(choice.barb_bore, 'bore', units)} barbs")
    if choice.strainer is not None:
        words.append(f"strainer {choice.strainer.name}")
    return ", ".join(words) + (", as it stands" if choice.as_is else "")


def service_words(job: Job) -> tuple[str, ...]:
    """The worst service that every option must stand, a phrase each."""
    worst = in_service(job)
    words = [f"sea at {show(worst.water.temperature, 'temperature', job.units)}"]
    strainers = [part for part in all_parts(worst.part) if isinstance(part, Strainer)]
    if strainers:
        words.append(f"strainer {max(part.blocked for part in strainers):.0%} blocked")
    if job.sizing.service_scale:
        scale = show(job.sizing.service_scale, "bore", "si", 2)
        words.append(f"{scale} of scale in tubes of known bore")
    pump = worst.pump
    if pump.curve.drive == "dc":
        supply = pump.supply or pump.curve.rated_supply
        words.append(f"supply at {show(supply, 'voltage', job.units)}")
    return tuple(words)


def reasons_for(options: Sequence[Option], units: System) -> tuple[str, ...]:
    """Why the first of the ranked options is the choice, or why there is none."""
    first = options[0]
    if not first.passes:
        return tuple(_none_passes(options, units))
    return tuple(_choice(options, units))


def _choice(options: Sequence[Option], units: System) -> Iterator[str]:
    first = options[0]
    passing = [option for option in options if option.passes]
    for unit in first.units:
        yield (
            f"{unit.name} gets {show(unit.flow, 'flow', units)} at the worst service and needs "
            f"{show(unit.needed_flow, 'flow', units)}; the chance that it gets that is "
            f"{chance(unit.chance)}."
        )
    powers = [option.power for option in passing if math.isfinite(option.power)]
    if math.isfinite(first.power):
        yield (
            f"The pump takes {show(first.power, 'power', units)}; those that pass take "
            f"{show(min(powers), 'power', units)} to {show(max(powers), 'power', units)}."
        )
    if any(option.as_is and option.passes for option in options) and not first.as_is:
        yield "The loop as it stands passes too: nothing has to change."
    yield (
        f"Priming needs {show(first.start_head, 'head', units)} of head; the pump's shut-off head "
        f"is {show(first.shutoff_head, 'head', units)}."
    )
    if first.as_new:
        titles = ", ".join(CODES[code].title.lower() for code in first.as_new)
        yield f"As new, with a clean strainer, a check of it still finds: {titles}."
    if first.starts_last:
        yield (
            f"Fill {' and '.join(first.starts_last)} first, with the valves of the branches beside "
            "shut: while those run, less head is left than it takes (loop check tells the angles)."
        )
    yield from _walls(options, units)


def chance(value: float) -> str:
    """A chance as text; never a certainty, since draws cannot show one."""
    if value >= 0.995:
        return "over 99 %"
    return "under 1 %" if value < 0.005 else f"{100 * value:.0f} %"


def _walls(options: Sequence[Option], units: System) -> Iterator[str]:
    """What a size smaller and a size larger would fail on, on either side of the pump."""
    first = options[0]
    by_bores = {(replace(option.choice, as_is=False)): option for option in reversed(options)}
    for line, side in enumerate(("suction", "pressure")):
        here = first.choice.bores[line]
        bores = sorted({option.choice.bores[line] for option in options})
        for word, others in (("Smaller", [b for b in bores[::-1] if b < here]),
                             ("Larger", [b for b in bores if b > here])):  # fmt: skip
            for bore in others:
                changed = [*first.choice.bores]
                changed[line] = bore
                choice = replace(first.choice.with_bores(changed), as_is=False)
                other = by_bores.get(choice)
                if other is not None and not other.passes:
                    yield (
                        f"{word} {side} hose fails at {show(bore, 'bore', units)}: "
                        f"{_first_reason(other)}."
                    )
                    break


def _first_reason(option: Option) -> str:
    """Why an option fails, in words: its first reason."""
    more = len(option.reasons) - 1
    return option.reasons[0].text.rstrip(".") + (f" (and {more} more)" if more else "")


def _none_passes(options: Sequence[Option], units: System) -> Iterator[str]:
    nearest = options[0]
    yield f"None of the {len(options)} options tried passes."
    yield f"The nearest is {name(nearest, units)}: {_first_reason(nearest)}."
    kinds = Counter(code for option in options for code in {one.code for one in option.reasons})
    counted = ", ".join(f"{code} ({count})" for code, count in kinds.most_common(4))
    yield f"What they fail on: {counted}."


def against_text(units: System) -> Telling:
    """Makes the sentences that say why the choice comes before another option."""

    def text(
        of: str, first: Option, other: Option, decides: str, values: tuple[float, float]
    ) -> str:
        has = _for_it(of, first, other, units)
        start = f"{name(other, units)} {has}"
        if other.reasons:
            return f"{start}, but fails: {_first_reason(other)}."
        mine, its = (_shown(decides, value, units) for value in values)
        return f"{start}, but {_LOSSES[decides].format(its=its, mine=mine)}."

    return text


_LOSSES = {
    "margin": "keeps {its} of the need in hand, the choice {mine}",
    "power": "draws {its}, the choice {mine}",
    "price": "costs {its}, the choice {mine}",
    "bore": "takes hose of {its}, the choice {mine}",
}


def _for_it(of: str, first: Option, other: Option, units: System) -> str:
    """What another option has for it."""
    if of == "cheaper" and first.price is not None and other.price is not None:
        return f"is {first.price - other.price:,.0f} cheaper"
    if of == "smaller":
        return f"needs no hose over {show(other.choice.largest_bore, 'bore', units)}"
    if of == "less draw" and first.energy is not None and other.energy is not None:
        saved = first.energy.stages[0].power - other.energy.stages[0].power
        return f"draws {show(saved, 'power', units)} less in all"
    return f"draws {show(first.power - other.power, 'power', units)} less"


def _shown(decides: str, value: float, units: System) -> str:
    if decides == "margin":
        return f"{value:.0%}"
    if decides == "price":
        return f"{value:,.0f}"
    return show(value, {"power": "power", "bore": "bore"}[decides], units)


_REACH = {
    "run": ("hose after the pump", "length"),
    "lift": ("units higher by", "height"),
    "sea": ("sea", "temperature"),
    "blocked": ("strainer blocked", "ratio"),
    "supply": ("supply", "voltage"),
}


def reach_words(found: Reach, units: System) -> tuple[str, str, str, str]:
    """A row of the table of limits: what, now, until, and what fails then."""
    what, quantity = _REACH[found.of]
    # To the safe side: a little less than what passes.
    rounded = (round_up if found.of == "supply" else round_down)(found.limit, quantity, units)
    now, limit = (show(value, quantity, units) for value in (found.now, rounded))
    return what, now, limit if found.code else f"past {limit}", found.code or "—"


def apart_words(result: SizeResult) -> str:
    """What a pump for each unit draws in all, beside the choice; "" where it is not known."""
    powers = [one.option.power if one.option else math.nan for one in result.apart]
    whole, units = sum(powers), result.job.units
    if not math.isfinite(whole):
        return ""
    text = f"{len(powers)} pumps draw {show(whole, 'power', units)} in all"
    if result.choice is None or not math.isfinite(result.options[result.choice].power):
        return f"{text}."
    one = show(result.options[result.choice].power, "power", units)
    return f"{text}, the choice {one}; each pump runs only while its unit does."


def energy_words(result: SizeResult) -> tuple[str, ...]:
    """Which option draws least in all, which has the least pump, and up to where flow pays."""
    units, found = result.job.units, []
    for position, what in (
        (result.least_draw, "Least total draw of those that pass"),
        (result.least_pump, "Least pump of those that pass"),
    ):
        if position is None:
            continue
        option = result.options[position]
        whole = option.energy.stages[0].power if option.energy else math.nan
        in_all = f", {show(whole, 'power', units)} in all" if math.isfinite(whole) else ""
        pump = f"pump {show(option.power, 'power', units)}{in_all} at the worst service"
        found.append(f"{what}: {name(option, units)} ({pump}).")
    first = result.options[0 if result.choice is None else result.choice]
    if first.energy is not None and math.isfinite(first.energy.best_flow):
        flow = show(first.energy.best_flow, "flow", units)
        found.append(
            f"Beyond {flow}, one more watt of a pump like {first.choice.pump.name} saves less "
            "than a watt of compressor."
        )
    return tuple(found)


def advantages(choice: Option, other: Option, units: System) -> tuple[str, ...]:
    """Where another option is the better one, each a clause that follows "where"."""
    found = []
    if other.margin > choice.margin + _SAME:
        found.append(
            "the strainer is cleaned late or growth is heavy "
            f"({other.margin - choice.margin:.0%} of the need more in hand)"
        )
    if other.power < choice.power * (1 - _QUIETER):
        less = show(choice.power - other.power, "power", units)
        found.append(f"the battery or quiet counts most ({less} less)")
    if other.price is not None and choice.price is not None and other.price < choice.price:
        found.append(f"money counts most ({choice.price - other.price:,.0f} cheaper)")
    if other.choice.largest_bore < choice.choice.largest_bore:
        bore = show(other.choice.largest_bore, "bore", units)
        found.append(f"room is tight (no hose over {bore})")
    return tuple(found)


def prefer(choice: Option, other: Option, units: System) -> str:
    """When to prefer the runner-up, as a sentence."""
    return f"Prefer it where {', or where '.join(advantages(choice, other, units))}."
