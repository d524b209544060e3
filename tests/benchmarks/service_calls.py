"""Service calls made up by the thousand on boats of other physics, and how the diagnosis does."""

from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Any

import numpy as np

from loop.diagnose.bayes import Posterior, posterior
from loop.diagnose.faults import UNKNOWN
from loop.diagnose.groups import grouped
from loop.diagnose.hypotheses import Study, prepare
from loop.diagnose.measured import Measured
from loop.diagnose.next_reading import gains
from loop.diagnose.once_fixed import once_fixed
from loop.diagnose.reading_kinds import KINDS, TWO_SIGMA
from loop.diagnose.readings import Readings, Step, Taken
from loop.diagnose.unknown_loop import LoopKind, prepare_unit
from loop.job import Job
from tests.benchmarks.boats import Boat, drawn, job_tables
from tests.benchmarks.trouble import ALONE, PUMP, TRIES, TROUBLES, UNLISTED, words_of

BUCKET = ("stream", "pump_sound", "unit", "strainer_seen", "flow")
THERMOMETER = (*BUCKET, "sea_temperature", "outlet_temperature")
GAUGES = (*THERMOMETER, "condensing_temperature", "pump_outlet_pressure", "pump_inlet_pressure",
          "shutoff_pressure", "strainer_drop")  # fmt: skip
METERS = (*GAUGES, "supply", "frequency", "pump_current", "pump_power")
KITS = {"bucket": BUCKET, "+ thermometer": THERMOMETER, "+ gauges": GAUGES, "+ meter": METERS}
TOOLS = {"bucket": ("bucket",), "+ thermometer": ("bucket", "thermometer"),
         "+ gauges": ("bucket", "thermometer", "display", "gauge"),
         "+ meter": ("bucket", "thermometer", "display", "gauge", "meter",
                     "wattmeter")}  # fmt: skip
TWO, UNLISTED_SHARE = 0.15, 0.05


@dataclass(frozen=True)
class Call:
    """A boat with hidden faults, and all that can be read on it."""

    boat: Boat
    well: Boat
    paper: dict[str, Any]
    names: frozenset[str]
    readings: Readings
    shows: bool
    each_shows: bool
    seeds: dict[str, int]
    seed: int

    @property
    def listed(self) -> bool:
        """Whether the trouble is one that the program has in its list."""
        return bool(self.names)


def made(count: int, seed: int) -> list[Call]:
    """Calls, each on a boat of its own; those in which nothing shows are drawn again."""
    rng = np.random.default_rng(seed)
    return [_call(rng, number) for number in range(count)]


def _call(rng: np.random.Generator, number: int) -> Call:
    weights = np.array([one.weight for one in TROUBLES])
    while True:
        well, paper = drawn(rng)
        kind = rng.random()
        names: list[str] = []
        seeds: dict[str, int] = {}
        boat = well
        if kind < UNLISTED_SHARE:
            boat = UNLISTED[int(rng.integers(len(UNLISTED)))](well, rng)
        else:
            wanted = 2 if kind < UNLISTED_SHARE + TWO else 1
            while len(names) < wanted:
                one = TROUBLES[int(rng.choice(len(TROUBLES), p=weights / weights.sum()))]
                if _fits(one.name, names, wanted):
                    names.append(one.name)
                    seeds[one.name] = int(rng.integers(1 << 30))
                    boat = one.change(boat, np.random.default_rng(seeds[one.name]))
        if _shows(boat, well, names) or rng.random() < 0.08:
            read = read_all(boat, well, set(names), rng)
            shows = _shows(boat, well, names)
            each = all(_shows(with_faults(well, {n: seeds[n]}), well, [n]) for n in names)
            found = frozenset(names)
            return Call(boat, well, paper, found, read, shows, each, seeds, number)


def with_faults(well: Boat, seeds: dict[str, int]) -> Boat:
    """A boat with these faults, each as bad as its seed makes it."""
    boat = well
    for one in TROUBLES:
        if one.name in seeds:
            boat = one.change(boat, np.random.default_rng(seeds[one.name]))
    return boat


def _fits(name: str, names: list[str], wanted: int) -> bool:
    if wanted == 2 and name in ALONE:
        return False
    return name not in names and not (name in PUMP and PUMP & set(names))


def _shows(boat: Boat, well: Boat, names: list[str]) -> bool:
    now, then = boat.readings(), well.readings()
    return bool(
        now["flow"] < 0.88 * then["flow"]
        or now["condensing_temperature"] > then["condensing_temperature"] + 2.5
        or "unit-off" in names
        or not names
    )


def read_all(boat: Boat, well: Boat, names: set[str], rng: np.random.Generator) -> Readings:
    """Every reading, with the errors of instruments and of people, of heavier tails than normal."""
    numbers = {}
    for key, value in boat.readings().items():
        kind = KINDS[key]
        error = kind.half_width(value) / TWO_SIGMA * float(np.clip(rng.standard_t(4), -6, 6))
        read = min(max(value + error, kind.low), kind.high)
        numbers[key] = Measured(read, kind.half_width(read), f"{read}")
    if boat.dc:
        del numbers["frequency"]
    return Readings(numbers, words_of(boat, names, well.flow(), rng))


def possible(call: Call, kit: tuple[str, ...]) -> Readings:
    """The readings of a kit that can be taken on this call."""
    keys = set(kit)
    if call.readings.words["stream"] == "none":
        keys -= {"flow", "outlet_temperature", "strainer_drop", "shutoff_pressure",
                 "condensing_temperature"}  # fmt: skip
    if call.readings.words["unit"] in ("trips", "off"):
        keys -= {"outlet_temperature"}
    return call.readings.only(keys)


@lru_cache(maxsize=64)
def _generic(tons: float, bleed: bool, dc: bool) -> Study:
    return prepare_unit(LoopKind(tons * 3516.85, bleed=bleed, drive="dc" if dc else "ac"))


_STUDIES: dict[int, Study] = {}


def job_of(call: Call) -> Job:
    """The job file of a call's boat, as its paper says."""
    return Job.model_validate(job_tables(call.paper))


def study_of(call: Call, with_job: bool) -> Study:
    """The study of a call's boat, from its paper or from the kind of boat alone."""
    if not with_job:
        paper = call.paper
        return _generic(float(paper["tons"]), bool(paper["bleed"]), bool(paper["dc"]))
    key = id(call)
    if key not in _STUDIES:
        _STUDIES[key] = prepare(job_of(call))
    return _STUDIES[key]


@dataclass(frozen=True)
class Score:
    """One call judged."""

    right: bool
    said: float
    fault_right: bool
    fault_said: float
    both_in_two: bool
    exact: bool
    any_said: float
    any_right: bool
    present_said: float
    present_right: bool
    both_marginal: bool
    unknown: float
    unknown_leads: bool
    fixed_inside: bool | None
    size: int


def _found(study: Study, instance: int) -> set[str]:
    return {fault.name for fault in study.instances[instance].faults}


def judge(call: Call, study: Study, kit: tuple[str, ...]) -> Score:
    """How the program does with one kit: what it names must be there."""
    answer = posterior(study, possible(call, kit))
    group = grouped(answer)[0]
    known = [i for i, one in enumerate(study.instances) if one.name != UNKNOWN]
    order = sorted(known, key=lambda i: -answer.probability[i])
    named = [_found(study, i) for i in group]
    unknown = float(answer.probability.sum() - answer.probability[known].sum())
    merged = _by_name(study, answer)
    lines = list(merged)[:2]
    present: dict[str, float] = {}
    for line, p in merged.items():
        for name in line.split(" + "):
            present[name] = present.get(name, 0.0) + p
    likely = sorted(present, key=lambda name: -present[name])
    in_group = set().union(*named)
    any_said = sum(p for line, p in merged.items() if set(line.split(" + ")) & in_group)
    inside = None
    if call.names and _found(study, order[0]) == set(call.names):
        low, _, high = once_fixed(answer, order[0])
        inside = low <= call.well.flow() <= high
    return Score(
        right=any(names <= call.names for names in named if names),
        said=float(answer.probability[list(group)].sum()),
        fault_right=_found(study, order[0]) <= call.names,
        fault_said=float(answer.probability[order[0]]),
        exact=any(names == call.names for names in named),
        any_said=any_said,
        any_right=bool(in_group & call.names),
        present_said=present[likely[0]],
        present_right=likely[0] in call.names,
        both_marginal=call.names <= set(likely[:2]),
        both_in_two=call.names <= set().union(*(set(line.split(" + ")) for line in lines)),
        unknown=unknown,
        unknown_leads=unknown >= answer.probability[order[0]],
        fixed_inside=inside,
        size=len({one.name for one in (study.instances[i] for i in group)}),
    )


def _by_name(study: Study, answer: Posterior) -> dict[str, float]:
    found: dict[str, float] = {}
    for one, p in zip(study.instances, answer.probability, strict=True):
        if one.name != UNKNOWN:
            found[one.name] = found.get(one.name, 0.0) + float(p)
    return dict(sorted(found.items(), key=lambda item: -item[1]))


def calibration_error(said: np.ndarray, right: np.ndarray, bins: int = 10) -> float:
    """Expected calibration error: gap of said and right by tenths, weighed by their calls."""
    place = np.minimum((said * bins).astype(int), bins - 1)
    return float(
        sum(
            abs(said[place == b].mean() - right[place == b].mean()) * (place == b).mean()
            for b in range(bins)
            if (place == b).any()
        )
    )


def report(calls: list[Call], kit: tuple[str, ...], with_job: bool) -> dict[str, float]:
    """Rates over calls."""
    scores = [judge(call, study_of(call, with_job), kit) for call in calls]

    def rate(values: list[float]) -> float:
        return float(np.mean(values)) if values else float("nan")

    both = list(zip(calls, scores, strict=True))
    single = [(c, s) for c, s in both if len(c.names) == 1 and c.shows]
    sure = [s.right for s in scores if s.said > 0.9]
    fixed = [s.fixed_inside for s in scores if s.fixed_inside is not None]
    said = np.array([s.said for s in scores])
    fault = np.array([s.fault_said for s in scores])
    return {
        "calls": len(calls),
        "group first": rate([s.right for _, s in single]),
        "fault first": rate([s.fault_right for _, s in single]),
        "size": rate([s.size for _, s in single]),
        "all first": rate([s.right for s in scores]),
        "group ECE": calibration_error(said, np.array([s.right for s in scores], float)),
        "fault ECE": calibration_error(fault, np.array([s.fault_right for s in scores], float)),
        "said": float(said.mean()),
        "fault said": float(fault.mean()),
        "fault right": rate([s.fault_right for s in scores]),
        "exact ECE": calibration_error(said, np.array([s.exact for s in scores], float)),
        "any ECE": calibration_error(
            np.array([s.any_said for s in scores]), np.array([s.any_right for s in scores], float)
        ),
        "any said": rate([s.any_said for s in scores]),
        "any right": rate([s.any_right for s in scores]),
        "present ECE": calibration_error(
            np.array([s.present_said for s in scores]),
            np.array([s.present_right for s in scores], float),
        ),
        "present said": rate([s.present_said for s in scores]),
        "present right": rate([s.present_right for s in scores]),
        "both marginal": rate(
            [s.both_marginal for c, s in both if len(c.names) == 2 and c.each_shows]
        ),
        "both in two": rate([s.both_in_two for c, s in both if len(c.names) == 2 and c.each_shows]),
        "sure": rate(sure),
        "sure n": len(sure),
        "unlisted found": rate([s.unknown_leads for c, s in both if not c.listed]),
        "false unknown": rate([s.unknown_leads for c, s in both if c.listed]),
        "fixed inside": rate(fixed),
    }


TECHNICIAN = (
    "stream", "pump_sound", "unit", "open-seacock", "clean-basket", "bleed", "loosen-outlet-hose",
    "flow", "sea_temperature", "outlet_temperature", "wiggle-hoses", "look-at-discharge",
    "check-breaker", "reset-unit", "condensing_temperature", "seat-lid-and-clamps", "supply",
    "pump_current", "pump_outlet_pressure", "swap-supply", "back-flush", "clear-intake",
    "open-header", "open-pump", "descale",
)  # fmt: skip
FIXED = (
    "stream", "sea_temperature", "outlet_temperature", "condensing_temperature", "flow",
    "pump_sound", "unit", "strainer_seen", "supply", "frequency", "pump_current", "pump_power",
    "pump_outlet_pressure", "shutoff_pressure", "pump_inlet_pressure", "strainer_drop",
    "open-seacock", "clean-basket", "bleed", "loosen-outlet-hose", "wiggle-hoses",
    "look-at-discharge", "seat-lid-and-clamps", "check-breaker", "reset-unit", "swap-supply",
    "back-flush", "clear-intake", "open-header", "open-pump", "descale",
)  # fmt: skip
_ENOUGH, _MOST_STEPS, _GIVEN_UP = 0.7, 60, 150.0


def minutes_needed(
    call: Call, study: Study, tools: tuple[str, ...], order: tuple[str, ...] | None
) -> float:
    """Minutes until the true fault is named at 70 % or cured; by `order`, or by the program's own.

    A true fault is right in any place. 150 minutes where it was never found.
    """
    rng = np.random.default_rng([call.seed, 77])
    boat, names = call.boat, set(call.names)
    taken, source = Readings(tools=tools), call.readings
    minutes = 0.0
    for _ in range(_MOST_STEPS):
        answer = posterior(study, taken)
        right = sum(
            p for one, p in zip(study.instances, answer.probability, strict=True)
            if {f.name for f in one.faults} & call.names
        )  # fmt: skip
        if right >= _ENOUGH or not names:
            return minutes
        left = {gain.key: gain for gain in gains(answer, taken)}
        known = [key for key in left if key in source.keys or key in TRIES]
        wanted = known[:1] if order is None else [key for key in order if key in known][:1]
        if not wanted:
            break
        key = wanted[0]
        minutes += left[key].minutes
        if key in TRIES:
            taken, boat, names = _tried(key, taken, boat, names, call, rng)
            if boat is not call.boat:
                source = read_all(boat, call.well, names, rng)
            taken = _seen_again(taken, source)
            minutes += 0.5
        else:
            own = source.only([key])
            taken = taken.now_having(Taken(own.numbers, own.words))
    return max(minutes, _GIVEN_UP)


def _seen_again(taken: Readings, source: Readings) -> Readings:
    """After something was done everybody looks at the stream again."""
    own = source.only(["stream"])
    return taken.now_having(Taken({}, own.words))


def _tried(
    key: str, taken: Readings, boat: Boat, names: set[str], call: Call, rng: np.random.Generator
) -> tuple[Readings, Boat, set[str]]:
    """An action on the boat: what it shows, and what it cures."""
    from loop.diagnose.actions import BY_NAME

    effects, by_mistake = TRIES[key]
    first = rng.random() < by_mistake
    left = set(names)
    for name in names & set(effects):
        shows, cures = effects[name]
        first = first or rng.random() < shows
        if rng.random() < cures:
            left.discard(name)
    if left != names:
        boat = with_faults(call.well, {name: call.seeds[name] for name in left})
    step = Step(did=key, saw=BY_NAME[key].answers[0 if first else 1])
    return replace(taken, steps=(*taken.steps, step)), boat, left
