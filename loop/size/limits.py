"""How far a choice goes before it fails: run, lift, sea, strainer, supply, one at a time."""

from collections.abc import Callable, Iterator, Sequence
from functools import partial
from itertools import pairwise

from loop.job import Job, all_parts, end_height, mapped
from loop.parts import Discharge, Hose, Manifold, Part, Strainer
from loop.records import dataclass
from loop.size.fitting import with_parts
from loop.size.progress import Step
from loop.size.rules import Rules
from loop.size.worst_case import in_service

# Things that may go farther.
REACHES = 5
# Farther than this nobody asks: hose after the pump, times; units higher [m]; sea [°C]; basket.
_LONGEST, _HIGHEST, _WARMEST, _FULLEST = 8.0, 3.0, 40.0, 0.98
# Least supply of a DC pump over its rating at which the laws of its speed are asked.
_WEAKEST = 0.5
# Length of a hose over the straight way that it has to go: it is never pulled quite straight.
_SLACK = 1.001
# Steps in which the range is looked through, so that the first failure counts, and halvings of the
# step in which it lies: the limit is found to within a hundredth of the range.
_LOOKS, _HALVINGS = 4, 5


@dataclass(frozen=True)
class Reach:
    """How far one thing may go, all others as they are, before the choice fails.

    ``of`` is "run" (hose after the pump, in all [m]), "lift" (how much higher the units may be
    [m]), "sea" [°C], "blocked" (share of the basket) or "supply" (of a DC pump [V]); ``now`` is
    what it is at the worst service, ``limit`` the last value that passes, and ``code`` what a
    check finds just past it, "chance-low" where nothing; "" where it passes as far as anyone asks.
    """

    of: str
    now: float
    limit: float
    code: str


def reach(job: Job, rules: Rules, step: Step = lambda: None) -> tuple[Reach, ...]:
    """How far a job that passes goes, for each thing that there is in it.

    `step` is called once a thing, `REACHES` times at most.
    """
    found = []
    for of, now, most, made in axes(job):
        step()
        found.append(_found(of, now, most, made, rules))
    return tuple(found)


def axes(job: Job) -> Iterator[tuple[str, float, float, Callable[[float], Job]]]:
    """What can go farther: its name, where it is now, the farthest asked, the job with it there."""
    worst = in_service(job)
    hoses = [part for part in all_parts(job.part[job.pump_index :]) if isinstance(part, Hose)]
    whole = sum(hose.length for hose in hoses)
    if whole > 0:
        yield "run", whole, _LONGEST * whole, lambda to: longer(job, to / whole)
    yield "lift", 0.0, _HIGHEST, lambda to: higher(job, to)
    sea = worst.water.temperature
    yield (
        "sea",
        sea,
        max(_WARMEST, sea),
        lambda to: _with(job, "water", "temperature", to),
    )
    baskets = [part.blocked for part in all_parts(worst.part) if isinstance(part, Strainer)]
    if baskets:
        yield (
            "blocked",
            max(baskets),
            _FULLEST,
            lambda to: _with(job, "sizing", "service_blocked", to),
        )
    if worst.pump.curve.drive == "dc":
        weakest = _WEAKEST * worst.pump.curve.rated_supply
        yield (
            "supply",
            worst.pump.voltage,
            min(weakest, worst.pump.voltage),
            lambda to: _with(job, "sizing", "lowest_supply", to),
        )


def _found(of: str, now: float, most: float, made: Callable[[float], Job], rules: Rules) -> Reach:
    """The last value that passes before the first that fails, and what fails just past it."""

    good, bad = now, now
    for share in range(1, _LOOKS + 1):
        bad = now + (most - now) * share / _LOOKS
        if not rules.enough(made(bad)):
            break
        good = bad
    else:
        return Reach(of, now, most, "")
    for _ in range(_HALVINGS):
        middle = (good + bad) / 2
        if rules.enough(made(middle)):
            good = middle
        else:
            bad = middle
    reasons = rules.judge(made(bad)).reasons
    return Reach(of, now, good, reasons[0].code if reasons else "chance-low")


def longer(job: Job, times: float) -> Job:
    """The job with every hose after the pump longer by this factor."""

    def stretched(part: Part) -> Part:
        return (
            part.model_copy(update={"length": part.length * times})
            if isinstance(part, Hose)
            else part
        )

    at = job.pump_index
    return with_parts(job, (*job.part[:at], *mapped(job.part[at:], stretched)))


def higher(job: Job, by: float) -> Job:
    """The job with all between pump and discharges higher by so much [m], hoses longer to reach."""
    at = job.pump_index
    start = end_height(job.part[:at], 0.0)
    return with_parts(job, (*job.part[:at], *_raised(job.part[at:], by, start)))


def _raised(parts: Sequence[Part], by: float, height: float) -> tuple[Part, ...]:
    """Parts of a line raised; `height` is where the line starts as it is raised [m]."""
    found: list[Part] = []
    for number, part in enumerate(parts):
        if isinstance(part, Hose):
            end = part.to if _leads_overboard(parts[number + 1 :]) else part.to + by
            via = tuple(p.model_copy(update={"height": p.height + by}) for p in part.via)
            part = _reaching(part.model_copy(update={"to": end, "via": via}), height)
        elif isinstance(part, Manifold):
            part = part.with_lines(partial(_raised, by=by, height=height))
        elif isinstance(part, Discharge):
            # One without a hose before it hangs where its line begins.
            part = part.model_copy(update={"height": height})
        height = end_height((part,), height)
        found.append(part)
    return tuple(found)


def _reaching(hose: Hose, start: float) -> Hose:
    """The hose, longer where it would not reach from each point on its way to the next."""
    points = [(0.0, start), *hose.points]
    steepest = max(abs(b[1] - a[1]) / max(b[0] - a[0], 1e-9) for a, b in pairwise(points))
    times = max(1.0, steepest * _SLACK)
    via = tuple(p if p.at is None else p.model_copy(update={"at": p.at * times}) for p in hose.via)
    return hose.model_copy(update={"length": hose.length * times, "via": via})


def _leads_overboard(rest: Sequence[Part]) -> bool:
    """Whether the next place that has a height of its own is a discharge."""
    for part in rest:
        if isinstance(part, Discharge):
            return True
        if isinstance(part, Hose | Manifold):
            return False
    return False


def _with(job: Job, table: str, key: str, value: float) -> Job:
    changed = getattr(job, table).model_copy(update={key: value})
    return job.model_copy(update={table: changed})
