"""The answer in words: why this choice, what limits it, when to prefer the runner-up."""

import math
from collections import Counter
from collections.abc import Collection, Iterator, Sequence
from dataclasses import replace
from itertools import groupby

from loop.job import Job, all_parts
from loop.parts import Strainer
from loop.size.compare import ComparisonText
from loop.size.limits import Reach
from loop.size.options import Choice
from loop.size.promise import Promise
from loop.size.result import Option, SizeResult, UnitOdds
from loop.size.worst_case import at_worst_service
from loop.units import System, show
from loop.words import CODES
from loop.words.chance import chance
from loop.words.numbers import round_down, round_up, spoken
from loop.words.sizing import SAY
from loop.words.template import capital, counted

# A smaller difference in margin counts as none: engineering estimate.
_SAME_MARGIN = 0.01
# Least relative saving in power that makes a pump quieter.
_LEAST_SAVING = 0.05
# Limit on the units that are described one by one.
_MAX_UNITS_NAMED = 2


def option_name(option: Option, units: System) -> str:
    """The name of an option, such as ``demo-ac-350, 3/4 in suction, 5/8 in pressure``."""
    choice = option.choice
    runs = [(bore, len([*run])) for bore, run in groupby(choice.branch_bores)]
    bores = [f"{counted(n)} of " * (n > 1) + show(bore, "bore", units) for bore, n in runs]
    shown = [show(bore, "bore", units) for bore, _ in runs]
    text = SAY(
        "option",
        units,
        pump=_pump_names(option),
        suction=choice.suction_bore,
        pressure=choice.pressure_bore,
        branches=(shown[0] if len(runs) == 1 else " + ".join(bores)) if runs else None,
        seacock=choice.seacock_bore,
        barbs=choice.barb_bore,
        strainer=choice.strainer.name if choice.strainer is not None else None,
    )
    return SAY("option-as-is", option=text) if choice.as_is else text


def _pump_names(option: Option) -> str:
    choice = option.choice
    if choice.count == 1:
        return choice.pump.name
    row = {"parallel": "pumps-parallel", "series": "pumps-series"}[choice.arrangement]
    return SAY(row, count=choice.count, pump=choice.pump.name)


def service_words(job: Job) -> tuple[str, ...]:
    """The worst service that every option must withstand, one phrase each."""
    worst, units = at_worst_service(job), job.units
    words = [SAY("service-sea", units, sea=worst.water.temperature)]
    strainers = [part for part in all_parts(worst.part) if isinstance(part, Strainer)]
    if strainers:
        words.append(SAY("service-strainer", blocked=max(part.blocked for part in strainers)))
    if job.sizing.service_scale:
        scale = show(job.sizing.service_scale, "bore", "si", 2)
        words.append(SAY("service-scale", scale=scale))
    pump = worst.pump
    if pump.curve.drive == "dc":
        supply = pump.supply or pump.curve.rated_supply
        words.append(SAY("service-supply", units, supply=supply))
    return tuple(words)


def why_chosen(options: Sequence[Option], units: System, is_corrected: bool) -> tuple[str, ...]:
    """Why the first of the ranked options is the choice, or why there is none.

    `is_corrected`: whether anything is corrected first.
    """
    first = options[0]
    if not first.passes:
        return tuple(_why_none_passes(options, units))
    return tuple(_choice_reasons(options, units, is_corrected))


def _choice_reasons(options: Sequence[Option], units: System, is_corrected: bool) -> Iterator[str]:
    first = options[0]
    passing = [option for option in options if option.passes]
    for unit in first.units if len(first.units) <= _MAX_UNITS_NAMED else [_tightest(first)]:
        why = SAY(
            "choice-unit" if len(first.units) <= _MAX_UNITS_NAMED else "choice-units",
            units,
            count=counted(len(first.units)),
            unit=unit.name,
            flow=unit.flow,
            needed=unit.needed_flow,
            chance=chance(unit.chance),
        )
        yield capital(why)
    powers = [option.power for option in passing if math.isfinite(option.power)]
    if math.isfinite(first.power):
        least = min(powers)
        row = "choice-power" if round(first.power) > round(least) else "choice-power-least"
        yield SAY(row, units, power=first.power, least=least)
    if any(option.as_is for option in passing) and (is_corrected or not first.as_is):
        yield SAY("choice-put-right" if is_corrected else "choice-as-it-stands")
    yield SAY("choice-priming", units, start=first.start_head, shutoff=first.shutoff_head)
    if first.as_new:
        yield as_new_words(first.as_new)
    if first.starts_last:
        yield SAY("choice-fill-first", branches=" and ".join(first.starts_last))
    yield from _neighbor_failures(options, units)


def as_new_words(codes: Sequence[str]) -> str:
    """What a check finds as new."""
    return SAY("choice-as-new", titles=", ".join(CODES[code].title.lower() for code in codes))


def _tightest(option: Option) -> UnitOdds:
    """The unit with the least chance of getting its need; of equals the one with least margin."""
    return min(option.units, key=lambda unit: (unit.chance, unit.flow_low / unit.needed_flow))


_NEIGHBOR_ROWS = (
    ("wall-smaller-suction", "wall-larger-suction"),
    ("wall-smaller-pressure", "wall-larger-pressure"),
)


def _neighbor_failures(options: Sequence[Option], units: System) -> Iterator[str]:
    """What a size smaller and a size larger would fail on, on either side of the pump."""
    known = by_bores(options)
    for row, run in neighbors(options[0].choice, [option.choice for option in options]):
        for bore, choice in run:
            other = known.get(choice)
            if other is not None and not other.passes:
                yield SAY(row, units, bore=bore, reason=_first_reason(other))
                break


def by_bores(options: Sequence[Option]) -> dict[Choice, Option]:
    """Options by what they choose, whether or not it is as the loop stands: the first of each."""
    return {replace(option.choice, as_is=False): option for option in reversed(options)}


def neighbors(
    first: Choice, choices: Collection[Choice]
) -> Iterator[tuple[str, list[tuple[float, Choice]]]]:
    """What differs from a choice in the bore of one line, each way: its row; bores, next first."""
    for line, rows in enumerate(_NEIGHBOR_ROWS):
        present = first.bores[line]
        bores = sorted({choice.bores[line] for choice in choices})
        below, above = [b for b in bores[::-1] if b < present], [b for b in bores if b > present]
        for row, others in zip(rows, (below, above), strict=True):
            yield row, [(bore, _with_bore(first, line, bore)) for bore in others]


def _with_bore(choice: Choice, line: int, bore: float) -> Choice:
    bores = [*choice.bores]
    bores[line] = bore
    return replace(choice.with_bores(bores), as_is=False)


def _first_reason(option: Option) -> str:
    """The first reason why an option fails, in words."""
    first, *others = option.said
    return SAY("reason-first", reason=first.rstrip("."), more=len(others) or None)


def _why_none_passes(options: Sequence[Option], units: System) -> Iterator[str]:
    nearest = options[0]
    yield SAY("none-passes", count=len(options))
    yield SAY("none-nearest", option=option_name(nearest, units), reason=_first_reason(nearest))
    # Counted in the order of the options, which equally common codes keep.
    codes = (dict.fromkeys(one.code for one in option.reasons) for option in options)
    counts = Counter(code for codes_of_option in codes for code in codes_of_option)
    commonest = "; ".join(f"{_title(code)} ({count})" for code, count in counts.most_common(4))
    yield SAY("none-reasons", counted=commonest)
    if counts["inlet-fast"] and all(option.choice.seacock_bore is None for option in options):
        yield SAY("none-seacock")


def _title(code: str) -> str:
    """A reason's title; a chance that is too low is not a finding."""
    return CODES[code].title.lower() if code in CODES else SAY("reason-chance")


def comparison_text(units: System) -> ComparisonText:
    """Makes the sentences that say why the choice ranks ahead of another option."""

    def text(
        respect: str, first: Option, other: Option, measure: str, values: tuple[float, float]
    ) -> str:
        start = {
            "other": option_name(other, units),
            "better": _advantage(respect, first, other, units),
        }
        if other.reasons:
            return SAY("against-fails", reason=_first_reason(other), **start)
        mine, its = values
        if measure == "price":
            return SAY("against-price", mine=f"{mine:,.0f}", its=f"{its:,.0f}", **start)
        return SAY(_AGAINST[measure], units, mine=mine, its=its, **start)

    return text


_AGAINST = {"margin": "against-margin", "power": "against-power", "bore": "against-bore"}


def _advantage(respect: str, first: Option, other: Option, units: System) -> str:
    """The advantage of another option."""
    if respect == "cheaper" and first.price is not None and other.price is not None:
        return SAY("better-cheaper", less=f"{first.price - other.price:,.0f}")
    if respect == "smaller":
        return SAY("better-smaller", units, bore=other.choice.largest_bore)
    if respect == "less draw" and first.energy is not None and other.energy is not None:
        saved = first.energy.stages[0].power - other.energy.stages[0].power
        return SAY("better-draw", units, power=saved)
    return SAY("better-quieter", units, power=first.power - other.power)


_REACH = {
    "run": ("reach-run", "length"),
    "lift": ("reach-lift", "height"),
    "sea": ("reach-sea", "temperature"),
    "blocked": ("reach-blocked", "ratio"),
    "supply": ("reach-supply", "voltage"),
}


def reach_words(reach: Reach, units: System) -> tuple[str, str, str, str]:
    """A row of the table of limits: quantity, now, limit, and what fails beyond it."""
    row, quantity = _REACH[reach.of]
    # Rounded to the safe side: slightly less than what passes.
    rounded = (round_up if reach.of == "supply" else round_down)(reach.limit, quantity, units)
    now, limit = (spoken(value, quantity, units) for value in (reach.now, rounded))
    passes_to = limit if reach.code else SAY("reach-past", limit=limit)
    title = _title(reach.code) if reach.code else "—"
    return SAY(row), now, passes_to, title[:1].lower() + title[1:]


def apart_words(result: SizeResult) -> str:
    """Total draw with a pump for each unit, compared with the choice; "" if unknown."""
    powers = [one.option.power if one.option else math.nan for one in result.apart]
    total, units = sum(powers), result.job.units
    if not math.isfinite(total):
        return ""
    chosen = None if result.choice is None else result.options[result.choice].power
    one_pump = chosen if chosen is not None and math.isfinite(chosen) else None
    return SAY("apart", units, count=len(powers), power=total, one=one_pump)


def energy_words(result: SizeResult) -> tuple[str, ...]:
    """Which option draws least in total, which pump draws least, and up to what flow more pays."""
    units, found = result.job.units, []
    for position, row in (
        (result.least_draw, "energy-draw"),
        (result.least_pump, "energy-pump"),
    ):
        if position is None:
            continue
        option = result.options[position]
        total = option.energy.stages[0].power if option.energy else math.nan
        total_or_none = total if math.isfinite(total) else None
        draws = {"power": option.power, "whole": total_or_none}
        found.append(SAY(row, units, option=option_name(option, units), **draws))
    first = result.options[0 if result.choice is None else result.choice]
    if first.energy is not None and math.isfinite(first.energy.best_flow):
        flow, pump = first.energy.best_flow, first.choice.pump.name
        found.append(SAY("energy-best-flow", units, flow=flow, pump=pump))
    return tuple(found)


def advantages(choice: Option, other: Option | Promise, units: System) -> tuple[str, ...]:
    """Respects in which another option is better, each a clause to follow "where"."""
    found = []
    if other.margin > choice.margin + _SAME_MARGIN:
        found.append(SAY("prefer-margin", more=other.margin - choice.margin))
    if other.power < choice.power * (1 - _LEAST_SAVING):
        found.append(SAY("prefer-power", units, less=choice.power - other.power))
    if other.price is not None and choice.price is not None and other.price < choice.price:
        found.append(SAY("prefer-price", less=f"{choice.price - other.price:,.0f}"))
    if other.choice.largest_bore < choice.choice.largest_bore:
        found.append(SAY("prefer-bore", units, bore=other.choice.largest_bore))
    return tuple(found)


def prefer_runner_up(choice: Option, other: Option, units: System) -> str:
    """When to prefer the runner-up, as a sentence."""
    return SAY("prefer", reasons=SAY("prefer-or").join(advantages(choice, other, units)))
