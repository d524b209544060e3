"""How far a choice goes before it fails: run, lift, sea, strainer, supply, one at a time."""

from collections.abc import Callable, Iterator, Sequence
from functools import partial
from itertools import pairwise

from loop.job import Job, all_parts, end_height, map_parts
from loop.parts import Discharge, Hose, Manifold, Part, Strainer
from loop.records import dataclass
from loop.size.fit_choice import with_parts
from loop.size.processes import Asked
from loop.size.rules import Rules
from loop.size.worst_case import at_worst_service

# Number of quantities that may be varied.
QUANTITY_COUNT = 5
# Ends of their ranges: hose after the pump, factor; units higher [m]; sea [°C]; share blocked.
_MAX_LENGTH_FACTOR, _MAX_LIFT, _MAX_SEA, _MAX_BLOCKED = 8.0, 3.0, 40.0, 0.98
# Least supply of a DC pump over its rating for which the affinity laws are used.
_LEAST_SUPPLY_RATIO = 0.5
# Length of a hose over the straight distance it spans: it is never pulled quite straight.
_SLACK = 1.001
# Steps that scan the range, so that the first failure counts, and bisections of the step with the
# limit: it is found to within a hundredth of the range.
_SCAN_STEPS, _BISECTIONS = 4, 5


@dataclass(frozen=True)
class Reach:
    """How far one condition may change, the others unchanged, before the choice fails.

    ``of`` is "run" (total hose after the pump [m]), "lift" (how much higher the units may be [m]),
    "sea" [°C], "blocked" (share of the basket) or "supply" (of a DC pump [V]); ``now`` is the value
    at the worst service, ``limit`` the last value that passes, and ``code`` what a check finds just
    beyond it: "chance-low" if nothing, "" if the choice passes to the end of the range.
    """

    of: str
    now: float
    limit: float
    code: str


def reach(job: Job, rules: Rules) -> tuple[Asked[Reach], ...]:
    """How far a passing job goes, for each quantity it has, at most `QUANTITY_COUNT`."""
    return tuple(
        rules.ask(limit, job, number, long=True) for number, _ in enumerate(quantities(job))
    )


def limit(rules: Rules, job: Job, number: int) -> Reach:
    """How far a passing job goes in one of its `quantities`."""
    quantity, now, end, job_at = tuple(quantities(job))[number]
    return _limit(quantity, now, end, job_at, rules)


def quantities(job: Job) -> Iterator[tuple[str, float, float, Callable[[float], Job]]]:
    """Quantities that can go further: name, present value, end of range, job at a given value."""
    worst = at_worst_service(job)
    hoses = [part for part in all_parts(job.part[job.pump_index :]) if isinstance(part, Hose)]
    length = sum(hose.length for hose in hoses)
    if length > 0:
        yield (
            "run",
            length,
            _MAX_LENGTH_FACTOR * length,
            lambda value: with_longer_hoses(job, value / length),
        )
    yield "lift", 0.0, _MAX_LIFT, lambda value: with_units_higher(job, value)
    sea = worst.water.temperature
    yield (
        "sea",
        sea,
        max(_MAX_SEA, sea),
        lambda value: _with_value(job, "water", "temperature", value),
    )
    baskets = [part.blocked for part in all_parts(worst.part) if isinstance(part, Strainer)]
    if baskets:
        yield (
            "blocked",
            max(baskets),
            _MAX_BLOCKED,
            lambda value: _with_value(job, "sizing", "service_blocked", value),
        )
    if worst.pump.curve.drive == "dc":
        least_supply = _LEAST_SUPPLY_RATIO * worst.pump.curve.rated_supply
        yield (
            "supply",
            worst.pump.voltage,
            min(least_supply, worst.pump.voltage),
            lambda value: _with_value(job, "sizing", "lowest_supply", value),
        )


def _limit(
    quantity: str, now: float, end: float, job_at: Callable[[float], Job], rules: Rules
) -> Reach:
    """The last value that passes before the first failure, and what fails just beyond it."""

    good, bad = now, now
    for share in range(1, _SCAN_STEPS + 1):
        bad = now + (end - now) * share / _SCAN_STEPS
        if not rules.accepts(job_at(bad)):
            break
        good = bad
    else:
        return Reach(quantity, now, end, "")
    for _ in range(_BISECTIONS):
        middle = (good + bad) / 2
        if rules.accepts(job_at(middle)):
            good = middle
        else:
            bad = middle
    reasons = rules.judge(job_at(bad)).reasons
    return Reach(quantity, now, good, reasons[0].code if reasons else "chance-low")


def with_longer_hoses(job: Job, factor: float) -> Job:
    """The job with every hose after the pump longer by this factor."""

    def stretched(part: Part) -> Part:
        return (
            part.model_copy(update={"length": part.length * factor})
            if isinstance(part, Hose)
            else part
        )

    pump = job.pump_index
    return with_parts(job, (*job.part[:pump], *map_parts(job.part[pump:], stretched)))


def with_units_higher(job: Job, by: float) -> Job:
    """The job with everything between pump and discharges higher [m], hoses longer to reach."""
    pump = job.pump_index
    start = end_height(job.part[:pump], 0.0)
    return with_parts(job, (*job.part[:pump], *_raised(job.part[pump:], by, start)))


def _raised(parts: Sequence[Part], by: float, height: float) -> tuple[Part, ...]:
    """Parts of a line raised; `height`: start of the raised line [m]."""
    found: list[Part] = []
    for number, part in enumerate(parts):
        if isinstance(part, Hose):
            end = part.to if _leads_overboard(parts[number + 1 :]) else part.to + by
            via = tuple(p.model_copy(update={"height": p.height + by}) for p in part.via)
            part = _long_enough(part.model_copy(update={"to": end, "via": via}), height)
        elif isinstance(part, Manifold):
            part = part.with_lines(partial(_raised, by=by, height=height))
        elif isinstance(part, Discharge):
            # A discharge without a hose before it is at the height where its line begins.
            part = part.model_copy(update={"height": height})
        height = end_height((part,), height)
        found.append(part)
    return tuple(found)


def _long_enough(hose: Hose, start: float) -> Hose:
    """The hose, lengthened if it would not reach from each of its points to the next."""
    points = [(0.0, start), *hose.points]
    steepest = max(abs(b[1] - a[1]) / max(b[0] - a[0], 1e-9) for a, b in pairwise(points))
    factor = max(1.0, steepest * _SLACK)
    via = tuple(p if p.at is None else p.model_copy(update={"at": p.at * factor}) for p in hose.via)
    return hose.model_copy(update={"length": hose.length * factor, "via": via})


def _leads_overboard(rest: Sequence[Part]) -> bool:
    """Whether the next part with a height of its own is a discharge."""
    for part in rest:
        if isinstance(part, Discharge):
            return True
        if isinstance(part, Hose | Manifold):
            return False
    return False


def _with_value(job: Job, table: str, key: str, value: float) -> Job:
    changed = getattr(job, table).model_copy(update={key: value})
    return job.model_copy(update={table: changed})
