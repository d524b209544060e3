"""A check's result as plain tables for other programs: SI and °C throughout."""

from typing import Any

from typing_extensions import TypedDict

from loop.answers import plain, table_of
from loop.check.result import CheckResult, CondenserResult, PumpResult, Supply, Verdict
from loop.hydraulics import Station
from loop.job import Inputs, inputs
from loop.margins.energy import Energy
from loop.records import dataclass
from loop.words import Finding, Level, say
from loop.words.speaker import Speaker

UNITS = {
    "flow": "m3/s",
    "head": "m",
    "pressure": "Pa",
    "temperature": "degC",
    "velocity": "m/s",
    "power": "W",
    "length": "m",
}


class ActionTable(TypedDict):
    """An action: its address ``at``, ``values`` [SI], and ``steps`` if it combines several actions.

    Addresses and values as in `loop.words.actions`.
    """

    kind: str
    at: dict[str, Any]
    values: dict[str, Any]
    steps: list["ActionTable"]


class FindingTable(TypedDict):
    """A finding: the part, unit or branch ``at``, ``values`` [SI, °C], actions, and text."""

    code: str
    level: Level
    at: dict[str, Any]
    values: dict[str, Any]
    actions: list[ActionTable]
    where: str
    title: str
    message: str
    fix: str
    source: str


class LegTable(TypedDict):
    """A falling leg: its first and last part, heights [m], Froude number, state, and the reason.

    ``state`` is "full", "air" or "either"; ``head_taken`` [m] is the head that its air costs as the
    loop starts.
    """

    from_part: str
    to_part: str
    branch: str
    top: float
    bottom: float
    froude: float
    state: str
    decides: str
    head_taken: float


@dataclass(frozen=True)
class CondenserTable(CondenserResult):
    """A unit, and whether its flow meets its need (`loop.check.result.CheckResult.supply`).

    ``supply`` is "enough", "just" (at the middle of the band but not at its low edge) or "short";
    where the flow is enough only on a condition, "intake dry", "once primed", "if it runs" or
    "under way".
    """

    supply: Supply


class CheckTables(Inputs):
    """Output of ``loop check --json``, in SI units and °C.

    ``starts``: whether the pump gets water and drives the air out when switched on. If not, all
    flows are those of the loop once primed.
    """

    units: dict[str, str]
    verdict: Verdict
    pump: PumpResult
    condensers: list[CondenserTable]
    starts: bool
    stations: list[Station]
    legs: list[LegTable]
    findings: list[FindingTable]
    states: dict[str, dict[str, float]]
    energy: Energy | None
    cautions: list[str]


def to_json(result: CheckResult) -> dict[str, Any]:
    """The keys of `CheckTables` as plain dicts, lists, strings and numbers; null for none.

    A unit that trips, from too little water or water that is too warm, has no temperature rise and
    no condensing temperature: nobody could read them.
    """
    return table_of(
        CheckTables,
        result,
        **inputs(result.job),
        units=UNITS,
        condensers=[_unit(unit, result.supply(unit)) for unit in result.condensers],
        stations=result.point.stations,
        legs=[table_of(LegTable, leg) for leg in result.point.legs],
        findings=_findings(result),
        states=_states(result),
    )


def _findings(result: CheckResult) -> list[dict[str, Any]]:
    """The findings with their sentences, in the job's units."""
    speaker = Speaker(result.job)
    return [finding_table(finding, speaker) for finding in result.findings]


def finding_table(finding: Finding, speaker: Speaker) -> dict[str, Any]:
    """The entries of `FindingTable` for one finding, in the units of the speaker's job."""
    said = say(finding, speaker.job, speaker)
    words = {"where": said.where, "title": said.title, "message": said.message}
    return {**finding.to_dict(), **words, "fix": said.fix, "source": said.source}


def _states(result: CheckResult) -> dict[str, dict[str, float]]:
    """Flow of each unit at rest and at speed, where the boat's speed makes a difference."""
    if result.rest is None:
        return {}
    return {
        "rest": {unit.name: result.resting(unit.name) or 0.0 for unit in result.condensers},
        "speed": {unit.name: unit.flow for unit in result.condensers},
    }


def _unit(unit: CondenserResult, supply: Supply) -> dict[str, Any]:
    table = {**plain(unit), "supply": supply}
    if not unit.runs_on:
        table |= {"temperature_rise": None, "condensing_temperature": None}
    return table
