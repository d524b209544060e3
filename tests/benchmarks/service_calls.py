"""Thousands of invented service calls on boats with other physics, to score the diagnosis."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Any

import numpy as np

from loop.diagnose.bayes import posterior
from loop.diagnose.faults import UNKNOWN
from loop.diagnose.flow_once_fixed import flow_once_fixed
from loop.diagnose.groups import cause_groups, cause_lines
from loop.diagnose.hypotheses import Study, prepare
from loop.diagnose.information_gain import step_values
from loop.diagnose.measured import Measured
from loop.diagnose.reading_kinds import KINDS, TWO_SIGMA
from loop.diagnose.readings import Readings, ReadingSet, StepDone
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
TWO, UNLISTED_SHARE, NOTHING_WRONG = 0.15, 0.05, 0.05
WELL = "healthy"
# Statements more probable than this must be right.
SURE = 0.9


@dataclass(frozen=True)
class Call:
    """A boat with hidden faults, and everything that can be read on it."""

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
        """Whether all its faults are in the program's list."""
        return bool(self.names)


def made(count: int, seed: int) -> list[Call]:
    """Calls, each on its own boat; calls without symptoms are drawn again."""
    rng = np.random.default_rng(seed)
    return [_call(rng, number) for number in range(count)]


def _call(rng: np.random.Generator, number: int) -> Call:
    weights = np.array([one.weight for one in TROUBLES])
    kind = rng.random()
    while True:
        well, paper = drawn(rng)
        names: list[str] = []
        seeds: dict[str, int] = {}
        boat = well
        if kind < UNLISTED_SHARE:
            boat = UNLISTED[int(rng.integers(len(UNLISTED)))](well, rng)
        elif kind > 1 - NOTHING_WRONG:
            names, seeds = [WELL], {WELL: 0}
        else:
            wanted = 2 if kind < UNLISTED_SHARE + TWO else 1
            while len(names) < wanted:
                one = TROUBLES[int(rng.choice(len(TROUBLES), p=weights / weights.sum()))]
                if _fits(one.name, names, wanted):
                    slow = one.name == "supply-low" and not well.dc
                    names.append("generator-slow" if slow else one.name)
                    seeds[names[-1]] = int(rng.integers(1 << 30))
                    boat = one.change(boat, np.random.default_rng(seeds[names[-1]]))
        if names == [WELL] or _shows(boat, well, names) or rng.random() < 0.08:
            read = read_all(boat, well, set(names), rng)
            shows = _shows(boat, well, names)
            each = all(_shows(with_faults(well, {n: seeds[n]}), well, [n]) for n in names)
            found = frozenset(names)
            return Call(boat, well, paper, found, read, shows, each, seeds, number)


def with_faults(well: Boat, seeds: dict[str, int]) -> Boat:
    """A boat with these faults, each with the severity that its seed gives."""
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
    """Every reading, with instrument and human errors of heavier tails than normal."""
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
    """The readings that a kit can take on this call."""
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
    """The job file of a call's boat, from its paper."""
    return Job.model_validate(job_tables(call.paper))


def study_of(call: Call, with_job: bool) -> Study:
    """The study of a call's boat, from its paper or only from the kind of boat."""
    if not with_job:
        paper = call.paper
        return _generic(float(paper["tons"]), bool(paper["bleed"]), bool(paper["dc"]))
    key = id(call)
    if key not in _STUDIES:
        _STUDIES[key] = prepare(job_of(call))
    return _STUDIES[key]


@dataclass(frozen=True)
class Score:
    """One judged call: probabilities given for the first group, the first cause, something else."""

    group_said: float
    group_right: bool
    size: int
    cause_said: float
    cause_right: bool
    both_in_two: bool
    both_first: bool
    sizes: int
    unknown: float
    unknown_leads: bool
    fixed_inside: bool | None


def judge(call: Call, study: Study, kit: tuple[str, ...]) -> Score:
    """Scores the program with one kit: what it names must be present."""
    answer = posterior(study, possible(call, kit))
    group, order = cause_groups(answer)[0], answer.ranked()
    named = {study.instances[i].name for line in cause_lines(answer) for i in line}
    names = [study.instances[i].name for i in order]
    in_group = {study.instances[i].name for i in group}
    unlisted = [one.name == UNKNOWN for one in study.instances]
    unknown, lead = float(answer.probability[unlisted].sum()), answer.present(order[0])
    inside = None
    if call.names == {names[0]} != {WELL}:
        low, _, high = flow_once_fixed(answer, order[0])
        inside = low <= call.well.flow() <= high
    return Score(
        group_said=answer.any_of(group),
        group_right=bool(in_group & call.names),
        size=len(in_group),
        cause_said=lead,
        cause_right=names[0] in call.names,
        both_in_two=call.names <= named,
        both_first=call.names <= set(names[:2]),
        sizes=len(named),
        unknown=unknown,
        unknown_leads=unknown >= lead,
        fixed_inside=inside,
    )


def calibration_error(said: np.ndarray, right: np.ndarray, bins: int = 10) -> float:
    """Expected calibration error: gap between stated and actual, by tenths, weighted by calls."""
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

    def rate(values: Sequence[float]) -> float:
        return float(np.mean(values)) if values else float("nan")

    def ece(said: list[float], right: list[bool]) -> float:
        return calibration_error(np.array(said), np.array(right, float))

    both = list(zip(calls, scores, strict=True))
    single = [s for c, s in both if len(c.names) == 1 and c.shows]
    two = [s for c, s in both if len(c.names) == 2 and c.each_shows]
    sure = [s.group_right for s in scores if s.group_said > SURE]
    return {
        "calls": len(calls),
        "group first": rate([s.group_right for s in single]),
        "cause first": rate([s.cause_right for s in single]),
        "size": rate([s.size for s in single]),
        "group said": rate([s.group_said for s in scores]),
        "group right": rate([s.group_right for s in scores]),
        "group ECE": ece([s.group_said for s in scores], [s.group_right for s in scores]),
        "cause said": rate([s.cause_said for s in scores]),
        "cause right": rate([s.cause_right for s in scores]),
        "cause ECE": ece([s.cause_said for s in scores], [s.cause_right for s in scores]),
        "both in two": rate([s.both_in_two for s in two]),
        "both first": rate([s.both_first for s in two]),
        "sizes": rate([s.sizes for s in two]),
        "two n": len(two),
        "sure": rate(sure),
        "sure n": len(sure),
        "unlisted said": rate([s.unknown for s in scores]),
        "unlisted found": rate([s.unknown_leads for c, s in both if not c.listed]),
        "false unknown": rate([s.unknown_leads for c, s in both if c.listed]),
        "fixed inside": rate([s.fixed_inside for s in scores if s.fixed_inside is not None]),
    }


TECHNICIAN = (
    "stream", "pump_sound", "unit", "open-seacock", "clean-basket", "bleed", "loosen-outlet-hose",
    "flow", "sea_temperature", "outlet_temperature", "wiggle-hoses", "follow-hoses",
    "look-at-discharge", "check-breaker", "reset-unit", "look-at-air-side",
    "condensing_temperature", "seat-lid-and-clamps", "supply", "pump_current",
    "pump_outlet_pressure", "swap-supply", "feed-from-bucket", "back-flush", "clear-intake",
    "open-header", "open-pump", "fit-sound-pump", "measure-refrigerant", "descale",
)  # fmt: skip
FIXED = (
    "stream", "sea_temperature", "outlet_temperature", "condensing_temperature", "flow",
    "pump_sound", "unit", "strainer_seen", "supply", "frequency", "pump_current", "pump_power",
    "pump_outlet_pressure", "shutoff_pressure", "pump_inlet_pressure", "strainer_drop",
    "open-seacock", "clean-basket", "bleed", "loosen-outlet-hose", "wiggle-hoses",
    "follow-hoses", "look-at-discharge", "seat-lid-and-clamps", "check-breaker", "reset-unit",
    "look-at-air-side", "swap-supply", "feed-from-bucket", "back-flush", "clear-intake",
    "open-header", "open-pump", "fit-sound-pump", "measure-refrigerant", "descale",
)  # fmt: skip
# A look at the basket and cleaning it agree, except in this many calls.
_SAME_LOOK = 0.9
_ENOUGH, _MOST_STEPS, GIVEN_UP = 0.7, 60, 150.0


def minutes_needed(
    call: Call, study: Study, tools: tuple[str, ...], order: tuple[str, ...] | None
) -> float:
    """Minutes until the true fault is named at 70 % or cured; by `order`, or by the program's own.

    A true fault counts in any place. `GIVEN_UP` minutes if it was not found by then. A given order
    takes each step once, except the stream, which everybody looks at again after an action. What a
    step shows on a boat, and whether it cures, is the same whenever it is done, so that no order is
    luckier.
    """
    boat, names = call.boat, set(call.names)
    taken, source = Readings(tools=tools), call.readings
    minutes, asked = 0.0, set[str]()
    for _ in range(_MOST_STEPS):
        answer = posterior(study, taken)
        right = sum(
            p for one, p in zip(study.instances, answer.probability, strict=True)
            if {f.name for f in one.faults} & call.names
        )  # fmt: skip
        if right >= _ENOUGH or not names:
            return min(minutes, GIVEN_UP)
        if minutes >= GIVEN_UP:
            break
        left = {gain.key: gain for gain in step_values(answer, taken)}
        known = [key for key in left if key in source.keys or key in TRIES]
        if order is not None:
            known = [key for key in order if key in known and key not in asked]
        wanted = known[:1]
        if not wanted:
            break
        key = wanted[0]
        asked.add(key)
        minutes += left[key].minutes
        if key in TRIES:
            rng = np.random.default_rng([call.seed, 77, list(TRIES).index(key)])
            taken, boat, names = tried(key, taken, boat, names, call, rng)
            if boat is not call.boat:
                source = read_all(boat, call.well, names, rng)
            taken = _seen_again(taken, source)
            minutes += 0.5
        else:
            own = source.only([key])
            taken = taken.now_having(ReadingSet(own.numbers, own.words))
    return GIVEN_UP


def _seen_again(taken: Readings, source: Readings) -> Readings:
    """After an action everybody looks at the stream again."""
    own = source.only(["stream"])
    return taken.now_having(ReadingSet({}, own.words))


def tried(
    key: str, taken: Readings, boat: Boat, names: set[str], call: Call, rng: np.random.Generator
) -> tuple[Readings, Boat, set[str]]:
    """An action on the boat: what it shows, and what it cures."""
    from loop.diagnose.actions import BY_NAME

    effects, by_mistake = TRIES[key]
    first = rng.random() < by_mistake
    left = set(names)
    for name in sorted(names & set(effects)):  # in a fixed order
        shows, cures = effects[name]
        first = first or rng.random() < shows
        if rng.random() < cures:
            left.discard(name)
    if key == "clean-basket" and rng.random() < _SAME_LOOK:
        first = call.readings.words["strainer_seen"] == "dirty"
    if left != names:
        boat = with_faults(call.well, {name: call.seeds[name] for name in left})
    step = StepDone(did=key, saw=BY_NAME[key].answers[0 if first else 1])
    return replace(taken, steps=(*taken.steps, step)), boat, left
