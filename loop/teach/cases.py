"""A hidden fault on a loop, drawn from a seed, with every possible reading on that boat."""

from collections.abc import Callable, Iterable, Mapping
from typing import Literal

import numpy as np

from loop.diagnose import (
    BY_NAME,
    FAULTS,
    Readings,
    display_name,
    fault_sites,
    reading_text,
    simulate,
)
from loop.diagnose.faults import PAIRS, pair_name
from loop.diagnose.how_to_measure import kind_on_loop
from loop.diagnose.reading_kinds import ReadingKind
from loop.hydraulics import build, solve_flows
from loop.job import Job, JobError, read_job
from loop.mistakes import most_like
from loop.records import dataclass
from loop.teach.lessons.lesson import lesson_file
from loop.teach.quiz.question import AnswerError
from loop.words.teaching.drills import SAY

Level = Literal[1, 2, 3]

# Faults of the first level: each has a clear effect on some reading.
_EASY_FAULTS = (
    "intake-fouled",
    "seacock-partly-shut",
    "strainer-blocked",
    "suction-air-leak",
    "pump-air-bound",
    "pump-decoupled",
    "supply-low",
    "condenser-scaled",
    "not-water-side",
)
# Share of a fault's severity range from which each level draws: fainter at higher levels.
_SEVERITY: dict[Level, tuple[float, float]] = {1: (0.6, 0.95), 2: (0.35, 0.9), 3: (0.2, 0.8)}
# Probability that the third level hides two faults at once.
_PAIR_CHANCE = 0.4
# Names that are no fault of the loop; seed component of the boat, apart from that of the fault.
_NO_FAULT, _BOAT = ("healthy", "sea-warm"), 1
# Spread of the boat about its job, relative to what the diagnosis assumes.
_BOAT_SPREAD: dict[Level, float] = {1: 0.5, 2: 1.0, 3: 1.3}


@dataclass(frozen=True)
class Case:
    """A boat with a hidden fault.

    ``fault`` is its name (a pair's is ``"one + other"``), ``where`` its site, ``severity`` in the
    faults' own measures. ``readings`` : every possible reading, ``healthy`` : the same on this boat
    without the fault, ``faults`` : names among which the apprentice chooses.
    """

    job: Job
    seed: int
    level: Level
    fault: str
    where: str
    severity: tuple[float, ...]
    readings: Readings
    healthy: Readings
    faults: tuple[str, ...]

    @property
    def hidden(self) -> tuple[str, ...]:
        """The faults present: one, or the two of a pair."""
        return tuple(self.fault.split(" + "))

    def after(self, cured: frozenset[str]) -> Readings:
        """Every possible reading on this boat once these faults are cured."""
        remaining = [i for i, name in enumerate(self.hidden) if name not in cured]
        if len(remaining) == len(self.hidden):
            return self.readings
        if not remaining:
            return self.healthy
        where = self.where.split(" + ")[remaining[0]] if " + " in self.where else self.where
        return _simulated(self.job, self.seed, self.level, self.hidden[remaining[0]],
                          (self.severity[remaining[0]],), where)  # fmt: skip

    @property
    def keys(self) -> tuple[str, ...]:
        """Every possible reading, by its key."""
        return self.readings.keys

    def minutes(self, key: str) -> float:
        """Duration of a reading in minutes."""
        return self._kind(key).minutes

    def ask(self, key: str) -> str:
        """A reading as a thing to do."""
        return self._kind(key).ask(key.partition(".")[2])

    def how(self, key: str) -> str:
        """How to take a reading."""
        return self._kind(key).how

    def _kind(self, key: str) -> ReadingKind:
        name, _, unit = key.partition(".")
        return kind_on_loop(build(self.job), name, unit)

    def value(self, key: str, readings: Readings) -> str:
        """A reading's value as text."""
        value = readings.words.get(key) or readings.numbers[key].value
        return reading_text(key, value, self.job.units)

    def match_reading(self, text: str) -> str:
        """The reading that a person means: its number in `keys`, from 1, or its name.

        Raises AnswerError for no match; its text gives the nearest.
        """
        return match_name(
            text, {key: (key, display_name(key)) for key in self.keys}, "what-reading"
        )

    def match_fault(self, text: str) -> str:
        """The fault that a person means: its number in `faults`, from 1, or its name.

        Raises AnswerError for no match; its text gives the nearest.
        """
        return match_name(text, {name: (name,) for name in self.faults}, "what-fault")


def match_name(text: str, names_of: Mapping[str, Iterable[str]], what: str) -> str:
    """The key that a text means, by number or by one of its names; raises AnswerError for none.

    `what` is the key of the text that says what is looked for.
    """
    normalized, keys = _normalized(text), list(names_of)
    if normalized.isdecimal() and 1 <= int(normalized) <= len(keys):
        return keys[int(normalized) - 1]
    spellings = {_normalized(name): key for key, names in names_of.items() for name in names}
    if normalized in spellings:
        return spellings[normalized]
    nearest = most_like(normalized, spellings)
    hint = repr(spellings[nearest]) if nearest else None
    raise AnswerError(SAY("meant", what=SAY(what), given=repr(text.strip()), near=hint))


def _normalized(text: str) -> str:
    return " ".join(text.lower().replace("_", " ").replace("-", " ").replace(".", " ").split())


def candidates(job: Job, level: Level) -> tuple[str, ...]:
    """Names of the faults that a level can hide on this loop."""
    names = [f.name for f in FAULTS if f.name not in _NO_FAULT and fault_sites(job, f.name)]
    if level == 1:
        return tuple(name for name in names if name in _EASY_FAULTS)
    if level == 2:
        return tuple(names)
    pairs = (pair_name(pair) for pair in PAIRS)
    return (*names, *(name for name in pairs if fault_sites(job, name)))


def draw_case(job: Job, seed: int, level: Level, fault: str = "") -> Case:
    """The case of a seed: the same job, seed and level give the same boat; `fault` sets its fault.

    Raises JobError where the loop does not run even without a fault, or cannot have the fault.
    """
    if not _runs(job):
        raise JobError([SAY("runs-dry")])
    rng = np.random.default_rng([seed, level])
    names = candidates(job, level)
    requested, fault = fault, fault and _either_order(fault, lambda name: fault_sites(job, name))
    if requested and not fault:
        raise JobError([SAY("cannot", fault=repr(requested), names=", ".join(names))])
    pairs = [name for name in names if "+" in name]
    single = [name for name in names if "+" not in name]
    drawable = pairs if pairs and rng.random() < _PAIR_CHANCE else single
    fault = fault or str(rng.choice(drawable))
    where = str(rng.choice(fault_sites(job, fault)))
    low, high = _SEVERITY[level]
    severity = tuple(
        BY_NAME[one].low + float(rng.uniform(low, high)) * (BY_NAME[one].high - BY_NAME[one].low)
        for one in fault.split(" + ")
    )
    return _case_on_boat(job, seed, level, fault, where, severity)


def make_case(
    job: Job,
    seed: int,
    level: Level,
    fault: str,
    where: str = "",
    severity: tuple[float, ...] = (),
) -> Case:
    """A case with a given fault; the seed draws the boat.

    A pair may be named in either order, with severities in the same order. Defaults: the first
    possible site, and the middle of each severity range.

    Raises JobError where the loop cannot have the fault, or not there, or not to this severity.
    """
    requested, fault = fault, _either_order(fault, lambda name: fault_sites(job, name))
    if not fault:
        raise JobError([SAY("cannot-here", fault=repr(requested))])
    sites = fault_sites(job, fault)
    site = _either_order(where, sites.__contains__) if where else sites[0]
    if not site:
        known = ", ".join(sites)
        raise JobError([SAY("cannot-there", fault=repr(requested), where=repr(where), known=known)])
    severity = _severities(requested, severity)[:: 1 if fault == requested else -1]
    return _case_on_boat(job, seed, level, fault, site, severity)


def _either_order(name: str, fits: Callable[[str], object]) -> str:
    """The name that fits, a pair in either order; "" where none does."""
    reversed_name = " + ".join(reversed(name.split(" + ")))
    return next((one for one in (name, reversed_name) if fits(one)), "")


def _severities(fault: str, severities: tuple[float, ...]) -> tuple[float, ...]:
    """A severity for each fault, checked against its range; the middles by default."""
    faults = [BY_NAME[name] for name in fault.split(" + ")]
    if severities and len(severities) != len(faults):
        raise JobError([SAY("severity-each", fault=repr(fault))])
    for one, value in zip(faults, severities, strict=False):
        if not one.low <= value <= one.high:
            raise JobError(
                [SAY("severity-range", given=value, fault=one.name, low=one.low, high=one.high)]
            )
    return severities or tuple((one.low + one.high) / 2 for one in faults)


def _case_on_boat(
    job: Job, seed: int, level: Level, fault: str, where: str, severity: tuple[float, ...]
) -> Case:
    """The case on the seed's boat; raises JobError where that boat does not run without a fault."""
    readings = _simulated(job, seed, level, fault, severity, where)
    healthy = _simulated(job, seed, level, "healthy", (0.0,), None)
    # A loop that barely runs as described may not run on the boat that was drawn.
    if healthy.numbers["flow"].value <= 0:
        raise JobError([SAY("runs-dry")])
    usual = candidates(job, level)
    others = (name for name in fault.split(" + ") if name not in usual)  # chosen by a teacher
    return Case(job, seed, level, fault, where, severity, readings, healthy, (*usual, *others))


def _simulated(
    job: Job, seed: int, level: Level, fault: str, severity: tuple[float, ...], where: str | None
) -> Readings:
    """All readings of the seed's boat with a fault: the same boat for any fault."""
    boat = np.random.default_rng([seed, level, _BOAT])
    return simulate(job, fault, severity, boat, where, _BOAT_SPREAD[level])


def _runs(job: Job) -> bool:
    """Whether every condenser gets water without a fault."""
    network = build(job.at_speed(0.0))
    flows = solve_flows(network).line_flow[0]
    lines = [network.unit_line(unit.name) for unit in job.condenser]
    return all(flows[line] > 0 for line in lines)


def invented_job() -> Job:
    """The loop of a drill without a job: invented, and no real boat's."""
    return read_job(lesson_file("drill.toml"))
