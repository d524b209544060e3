"""What `diagnose` answers: frozen results in SI units and degrees Celsius."""

from typing import Any

from typing_extensions import TypedDict

from loop.answers import Answer, table_of
from loop.diagnose.readings import Readings
from loop.job import Inputs, Job, inputs
from loop.records import dataclass

Value = float | str

UNITS = {
    "flow": "m3/s",
    "pressure": "Pa",
    "temperature": "degC",
    "power": "W",
    "voltage": "V",
    "current": "A",
    "frequency": "Hz",
    "minutes": "min",
    "gain": "bit",
}


@dataclass(frozen=True)
class Cause:
    """One fault that may be behind the readings.

    probability 0 to 1, of this and nothing else; present, of this alone or with another fault,
    which is what a person is told and what comes first goes by; severity with the edges of its 90 %
    band, in the fault's own measure (a share, or kelvin for ``sea-warm`` and ``not-water-side``),
    and in ``severity_words``; predicted, by reading, what would be read today with this fault,
    alone or with another, as the readings have it, and ``predicted_under_way`` the same with the
    boat at speed, where something was read there; ``why`` in a sentence; ``fix``; ``look``, how to
    make sure; flow [m³/s] to expect once fixed, with its 90 % band, in which a second fault behind
    this one has its share; ``cautions`` that go with it.
    """

    fault: str
    where: str
    title: str
    probability: float
    present: float
    severity: float
    severity_low: float
    severity_high: float
    severity_words: str
    predicted: dict[str, Value]
    predicted_under_way: dict[str, Value]
    why: str
    fix: str
    look: str
    flow_fixed: float
    flow_fixed_low: float
    flow_fixed_high: float
    cautions: tuple[str, ...]


@dataclass(frozen=True)
class CauseGroup:
    """Faults that the readings cannot tell apart: indices into the causes, best first.

    probability 0 to 1, that at least one of them is there. ``title`` names them in one line;
    ``sentence`` says so and what would split them; ``split`` is the key of the reading that would
    do it best, empty where none of those left would.
    """

    causes: tuple[int, ...]
    title: str
    probability: float
    sentence: str
    split: str


@dataclass(frozen=True)
class CauseLine:
    """Causes that are named in one line: indices into the causes, their names, the odds of any."""

    causes: tuple[int, ...]
    title: str
    probability: float


@dataclass(frozen=True)
class NextReading:
    """A step worth taking: a reading not yet taken, or to be taken again, or something to do.

    gain : expected [bits] about the fault. cost : minutes with the risk counted in. cure : chance
    that doing it fixes the trouble; 0 for a reading. ``how`` names a hazard first.
    ``expected`` is the value, or the answer, under each leading fault, by its name and place;
    ``answers`` the answers of a step that has no number. kind : ``reading`` or ``action``.
    """

    reading: str
    kind: str
    title: str
    gain: float
    minutes: float
    cost: float
    cure: float
    hazard: str
    how: str
    answers: tuple[str, ...]
    expected: dict[str, Value]


@dataclass(frozen=True)
class Tried:
    """Something done on this call: the action, what it showed, what was read after it."""

    action: str
    title: str
    saw: str
    readings: dict[str, Value]


@dataclass(frozen=True)
class Diagnosis(Answer):
    """The whole answer: causes, groups and next readings, each likeliest or best first.

    ``lines`` name the likeliest causes, the likeliest group first. ``healthy`` is what a healthy
    loop would read today, by reading, ``healthy_under_way`` with the boat at speed, where something
    was read there; ``well`` whether what was read speaks for no fault more than for a healthy loop;
    ``unknown`` the probability of something that is not in the list; ``headline`` the first line
    for a person; ``misfit`` a warning where no fault explains the readings, else empty;
    ``contradiction`` the keys of two readings that no fault gives together, else empty; ``notes``
    what else to know; ``tools`` those at hand, None for all; ``actions_tried`` what was done, in
    order; ``fixed`` the probability that what was done has put it right and that what may be left
    does not show; ``fixed_by`` the action that did, "" while that is not clear or nothing was read
    since, or that shows trouble still; ``done`` whether that is the end of it, as
    `loop.diagnose.ends` has it; ``left`` the fault that was only quieted or gone round by that,
    else ""; ``unknown_why`` the step by which it runs again, where why it failed is not known, else
    ""; ``watch`` the row of words for what to do then; ``asked`` whether the next steps are those
    that would end it, or tell why it failed; ``recurs`` whether the loop as
    built brings back what was put right; ``unread`` the action that has likely put it right where
    nothing was read since, else ""; ``still_wrong`` the reading that shows trouble where something
    done has made it ``better``, that action's name, else ""; ``hums`` whether the pump hums, as far
    as is known, and so must be switched off; ``as_built`` what is said of a loop that keeps air, is
    short of water, or too hot, with nothing wrong, else "".
    """

    job: Job
    readings: Readings
    causes: tuple[Cause, ...]
    groups: tuple[CauseGroup, ...]
    lines: tuple[CauseLine, ...]
    next: tuple[NextReading, ...]
    healthy: dict[str, Value]
    healthy_under_way: dict[str, Value]
    well: bool
    misfit: str
    contradiction: tuple[str, ...]
    notes: tuple[str, ...]
    cautions: tuple[str, ...]
    headline: str
    unknown: float
    fixed: float
    fixed_by: str
    done: bool
    left: str
    unread: str
    unknown_why: str
    watch: str
    asked: bool
    recurs: bool
    still_wrong: str
    better: str
    hums: bool
    as_built: str
    tools: tuple[str, ...] | None
    actions_tried: tuple[Tried, ...]

    def to_dict(self) -> dict[str, Any]:
        """What ``loop diagnose --json`` prints: the keys of
        `loop.diagnose.result.DiagnosisTables`.
        """
        return to_json(self)

    def __repr__(self) -> str:
        top = ", ".join(f"{c.fault} {c.present:.0%}" for c in self.causes[:3])
        ask = self.next[0].reading if self.next else "nothing"
        return f"Diagnosis({top}; next: {ask})"


class GroupTable(TypedDict):
    """A group, by its faults' names and places."""

    faults: list[str]
    where: list[str]
    title: str
    probability: float
    sentence: str
    split: str


class LineTable(TypedDict):
    """A line of causes, by their faults' names and places."""

    faults: list[str]
    where: list[str]
    title: str
    probability: float


class DiagnosisTables(Inputs):
    """What ``loop diagnose --json`` prints: SI and °C."""

    units: dict[str, str]
    readings: dict[str, Value]
    readings_under_way: dict[str, Value]
    causes: list[Cause]
    groups: list[GroupTable]
    lines: list[LineTable]
    next: list[NextReading]
    healthy: dict[str, Value]
    healthy_under_way: dict[str, Value]
    well: bool
    misfit: str
    contradiction: list[str]
    notes: list[str]
    cautions: list[str]
    headline: str
    unknown: float
    fixed: float
    fixed_by: str
    done: bool
    left: str
    hums: bool
    as_built: str
    tools: list[str] | None
    actions_tried: list[Tried]


def to_json(result: Diagnosis) -> dict[str, Any]:
    """The keys of `DiagnosisTables`, as plain dicts, lists, texts and numbers."""
    under_way = result.readings.under_way
    return table_of(
        DiagnosisTables,
        result,
        **inputs(result.job),
        units=UNITS,
        readings=result.readings.values,
        readings_under_way=under_way.values if under_way else {},
        groups=[table_of(GroupTable, group, **_named(result, group)) for group in result.groups],
        lines=[table_of(LineTable, line, **_named(result, line)) for line in result.lines],
    )


def _named(result: Diagnosis, some: CauseGroup | CauseLine) -> dict[str, list[str]]:
    causes = [result.causes[i] for i in some.causes]
    return {"faults": [one.fault for one in causes], "where": [one.where for one in causes]}
