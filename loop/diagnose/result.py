"""Results of `diagnose`: frozen, in SI units and degrees Celsius."""

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
    """One fault that may explain the readings.

    probability 0 to 1, of this and nothing else; present, of this alone or with another fault,
    which is displayed and sets the order; severity with its 90 % band, in the fault's own measure
    (a share, or kelvin for ``sea-warm`` and ``not-water-side``), and in ``severity_words``;
    predicted, by reading, the posterior prediction for today with this fault, alone or with
    another, and ``predicted_under_way`` the same with the boat at speed, where something was read
    there; ``why`` in a sentence; ``fix``; ``look``, how to confirm it; flow [m³/s] expected once
    fixed, with its 90 % band, which includes a possible second fault behind this one; ``cautions``
    that apply.
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
    """Faults that the readings cannot separate: indices into the causes, best first.

    probability 0 to 1, that at least one of them is present. ``title`` names them in one line;
    ``sentence`` says so and what would separate them; ``split`` is the key of the step that would
    do it best, empty where none of those left would.
    """

    causes: tuple[int, ...]
    title: str
    probability: float
    sentence: str
    split: str


@dataclass(frozen=True)
class CauseLine:
    """Causes named in one line: indices into the causes, their names, the probability of any."""

    causes: tuple[int, ...]
    title: str
    probability: float


@dataclass(frozen=True)
class NextReading:
    """A recommended step: a new reading, a reading to repeat, or an action.

    gain : information gain [bits] about the fault. cost : minutes including risk. cure :
    probability that it fixes the trouble; 0 for a reading. ``how`` names a hazard first.
    ``expected`` is the value, or the answer, under each leading fault, by its name and site, and
    under the likeliest one that differs where all of these are alike;
    ``answers`` the answers of a step that is not numeric. kind : ``reading`` or ``action``.
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
    """An action done on this call: what it showed, and the readings taken after it."""

    action: str
    title: str
    saw: str
    readings: dict[str, Value]


@dataclass(frozen=True)
class Diagnosis(Answer):
    """The whole answer: causes, groups and next readings, each likeliest or best first.

    ``lines`` : the likeliest causes, the likeliest group first. ``healthy`` : readings of a healthy
    loop today, ``healthy_under_way`` with the boat at speed, where something was read there;
    ``well`` : whether the readings favor no fault over a healthy loop; ``unknown`` : probability of
    an unlisted cause; ``headline`` : the first line for a person; ``misfit`` : a warning where no
    fault explains the readings, else empty; ``contradiction`` : keys of two readings that no fault
    explains together, else empty; ``notes`` : other information; ``tools`` : those at hand, None
    for all; ``actions_tried`` : actions done, in order; ``fixed`` : probability that the actions
    fixed it and nothing that may be left shows; ``fixed_by`` : the action that did, "" while that
    is not clear, nothing was read since, or a later reading still shows trouble; ``done`` : whether
    the call is finished, as defined in `loop.diagnose.call_end`; ``left`` : the fault that was only
    relieved or bypassed, else ""; ``unknown_why`` : the step that restored operation, where the
    reason of the failure is not known, else ""; ``watch`` : key of the text on what to do then;
    ``asked`` : whether the next steps are those that would finish the call, or show why it failed;
    ``recurs`` : whether the loop as built brings back what was fixed; ``unread`` : the action that
    has likely fixed it where nothing was read since, else ""; ``still_wrong`` : the reading that
    shows trouble although the action ``better`` has improved the loop, both else ""; ``hums`` :
    whether the pump hums, as far as is known, and so must be switched off; ``as_built`` : text on a
    loop that traps air, is dirty, short of water, or too hot without a fault, else "".
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
    """A group of causes, by the names and locations of their faults."""

    faults: list[str]
    where: list[str]
    title: str
    probability: float
    sentence: str
    split: str


class LineTable(TypedDict):
    """Causes on one line, by the names and locations of their faults."""

    faults: list[str]
    where: list[str]
    title: str
    probability: float


class DiagnosisTables(Inputs):
    """Output of ``loop diagnose --json``, in SI units and °C."""

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
