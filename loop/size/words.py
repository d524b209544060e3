"""The answer in words: why this choice, where the walls are, when to prefer the runner-up."""

import math
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import replace

from loop.job import Job, all_parts
from loop.parts import Strainer
from loop.size.result import Option
from loop.size.worst_case import in_service
from loop.units import System, show

# A difference smaller than this is none: engineering estimate.
_SAME = 0.01


def name(option: Option, units: System) -> str:
    """What an option is, such as ``demo-ac-350, 3/4 in suction, 5/8 in pressure``."""
    choice = option.choice
    words = [
        choice.pump.name,
        f"{show(choice.suction_bore, 'bore', units)} suction",
        f"{show(choice.pressure_bore, 'bore', units)} pressure",
    ]
    if choice.branch_bore is not None:
        words.append(f"{show(choice.branch_bore, 'bore', units)} branches")
    if choice.seacock_bore is not None:
        words.append(f"{show(choice.seacock_bore, 'bore', units)} seacock")
    if choice.barb_bore is not None:
        words.append(f"{show(choice.barb_bore, 'bore', units)} barbs")
    if choice.strainer is not None:
        words.append(f"strainer {choice.strainer.name}")
    return ", ".join(words)


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
    yield (
        f"It starts with {show(first.start_head, 'head', units)} of the "
        f"{show(first.shutoff_head, 'head', units)} that the pump holds at no flow, and no high "
        "point keeps its air."
    )
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
    by_choice = {option.choice: option for option in options}
    for side in ("suction", "pressure"):
        field = f"{side}_bore"
        bores = sorted({getattr(option.choice, field) for option in options})
        here = bores.index(getattr(first.choice, field))
        for word, others in (("Smaller", bores[here - 1 :: -1] if here else []),
                             ("Larger", bores[here + 1 :])):  # fmt: skip
            for bore in others:
                other = by_choice.get(replace(first.choice, **{field: bore}))
                if other is not None and not other.passes:
                    yield (
                        f"{word} {side} hose fails at {show(bore, 'bore', units)}: "
                        f"{'; '.join(other.reasons)}."
                    )
                    break


def _none_passes(options: Sequence[Option], units: System) -> Iterator[str]:
    nearest = options[0]
    yield f"None of the {len(options)} combinations passes."
    yield f"The nearest is {name(nearest, units)}: {'; '.join(nearest.reasons)}."
    kinds = Counter(
        kind for o in options for kind in {reason.split(":")[0] for reason in o.reasons}
    )
    counted = ", ".join(f"{kind} ({count})" for kind, count in kinds.most_common(4))
    yield f"What they fail on: {counted}."


def advantages(choice: Option, other: Option, units: System) -> tuple[str, ...]:
    """Where another option is the better one, each a clause that follows "where"."""
    found = []
    if other.margin > choice.margin + _SAME:
        found.append(
            "the strainer is cleaned late or growth is heavy "
            f"({other.margin - choice.margin:.0%} of the need more in hand)"
        )
    if other.power < choice.power * (1 - _SAME):
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
    better = advantages(choice, other, units)
    if not better:
        return "It does as well in every respect that was weighed."
    return f"Prefer it where {', or where '.join(better)}."
