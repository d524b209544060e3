"""A sizing's answer as plain tables for other programs: SI and °C throughout."""

from typing import Any

from typing_extensions import TypedDict

from loop.answers import table_of
from loop.check.as_json import ActionTable, FindingTable, finding_table
from loop.job import Inputs, inputs
from loop.margins.battery import Running
from loop.margins.energy import Energy
from loop.size.limits import Reach
from loop.size.result import Against, Change, Option, SizeResult, Studied, UnitOdds
from loop.size.uncertainty import Distribution
from loop.size.worst_case import at_worst_service
from loop.words.action_words import action_text
from loop.words.speaker import Speaker

UNITS = {
    "flow": "m3/s",
    "bore": "m",
    "head": "m",
    "velocity": "m/s",
    "power": "W",
    "chance": "1",
    "draw": "A",
    "hours": "h",
}


class ReasonTable(TypedDict):
    """Why an option fails: the finding's code, location and values, and the same in words."""

    code: str
    at: dict[str, Any]
    values: dict[str, Any]
    text: str


class OptionTable(TypedDict):
    """One option: bores [m], names of pump and strainer, and the fields of `Option`."""

    rank: int
    as_is: bool
    pump: str
    count: int
    arrangement: str
    suction_bore: float
    pressure_bore: float
    branch_bore: float
    branch_bores: list[float]
    barb_bore: float
    seacock_bore: float
    strainer: str | None
    flow: float
    flow_low: float
    flow_high: float
    chance: float
    margin: float
    power: float
    suction_velocity: float
    pressure_velocity: float
    start_head: float
    shutoff_head: float
    starts_last: list[str]
    price: float
    condensers: list[UnitOdds]
    energy: list[Running]
    energy_worst: Energy | None
    energy_clean: Energy | None
    passes: bool
    as_new: list[str]
    reasons: list[ReasonTable]


class FirstTable(TypedDict):
    """A correction made before anything is chosen: its action, and the same in words."""

    action: ActionTable
    change: str


class ChangeTable(FirstTable):
    """One change: its action, the same in words, and the fields of `Change`."""

    flow: float
    gain: float
    chance: float
    passes: bool
    as_new: list[str]


class ApartTable(TypedDict):
    """The best option for a unit with its own run and pump; null if none passes."""

    unit: str
    option: OptionTable | None


class SizeTables(Inputs):
    """Output of ``loop size --json``, in SI units and °C.

    ``choice``, ``runner_up`` and ``front`` are positions in ``options``.
    """

    units: dict[str, str]
    first: list[FirstTable]
    choice: int | None
    runner_up: int | None
    front: list[int]
    why: list[str]
    prefer_runner_up: str
    options: list[OptionTable]
    aside: list[FindingTable]
    against: list[Against]
    reach: list[Reach]
    condensing: list[dict[str, Any]]
    least_draw: int | None
    least_pump: int | None
    apart: list[ApartTable]
    least_change: list[ChangeTable]
    other_changes: list[list[ChangeTable]]
    not_first: str
    advised: list[FindingTable]
    service: list[str]
    distributions: list[Distribution]
    studied: Studied
    unsuited: list[str]


def to_json(result: SizeResult) -> dict[str, Any]:
    """The keys of `SizeTables` as plain dicts, lists, strings and numbers; null for none."""
    return table_of(
        SizeTables,
        result,
        **inputs(result.job),
        units=UNITS,
        first=[
            {"action": one.to_dict(), "change": action_text(one, Speaker(result.job))}
            for one in result.first
        ],
        options=[_option(option) for option in result.options],
        aside=[finding_table(finding, Speaker(result.chosen)) for finding in result.aside],
        apart=[
            {"unit": one.unit, "option": _option(one.option) if one.option else None}
            for one in result.apart
        ],
        least_change=[_change(change) for change in result.least_change],
        other_changes=[[_change(change) for change in some] for some in result.other_changes],
        advised=[
            finding_table(one, Speaker(at_worst_service(result.cared))) for one in result.advised
        ],
    )


def _option(option: Option) -> dict[str, Any]:
    choice = option.choice
    hoses = ("count", "arrangement", "suction_bore", "pressure_bore", "barb_bore", "seacock_bore")
    return table_of(
        OptionTable,
        option,
        **{key: getattr(choice, key) for key in hoses},
        pump=choice.pump.name,
        branch_bore=max(choice.branch_bores) if choice.branch_bores else None,
        branch_bores=choice.branch_bores,
        strainer=None if choice.strainer is None else choice.strainer.name,
        condensers=option.units,
        energy=option.running,
        energy_worst=option.energy,
    )


def _change(change: Change) -> dict[str, Any]:
    return table_of(ChangeTable, change, action=change.action.to_dict())
