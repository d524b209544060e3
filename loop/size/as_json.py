"""A sizing's answer as plain tables, for other programs: SI and °C throughout."""

import math
from dataclasses import asdict
from typing import Any

from typing_extensions import TypedDict

from loop.check.as_json import (
    ActionTable,
    FindingTable,
    energy_table,
    finding_table,
    plain,
    stage_table,
)
from loop.job import Inputs, inputs
from loop.margins.battery import Running
from loop.margins.energy import Energy
from loop.size.limits import Reach
from loop.size.result import Against, Change, Option, SizeResult, Studied, UnitOdds
from loop.size.uncertainty import Distribution
from loop.size.worst_case import in_service
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
    """Why an option fails: a finding's code, place and values, and the same in words."""

    code: str
    at: dict[str, Any]
    values: dict[str, Any]
    text: str


class OptionTable(TypedDict):
    """One option: its bores [m], its pump's and strainer's names, and what `Option` says of it."""

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


class ChangeTable(TypedDict):
    """One change: the action, the same in words, and what `Change` says of it."""

    action: ActionTable
    change: str
    flow: float
    gain: float
    passes: bool


class ApartTable(TypedDict):
    """A unit on a run and a pump of its own: the best option, null where none passes."""

    unit: str
    option: OptionTable | None


class SizeTables(Inputs):
    """What ``loop size --json`` prints: SI and °C.

    ``choice``, ``runner_up`` and ``front`` are positions in ``options``.
    """

    units: dict[str, str]
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
    advised: list[FindingTable]
    service: list[str]
    distributions: list[Distribution]
    studied: Studied
    unsuited: list[str]


def to_json(result: SizeResult) -> dict[str, Any]:
    """The keys of `SizeTables`, as plain dicts, lists, texts and numbers; null for no number."""
    return {
        **inputs(result.job),
        "units": dict(UNITS),
        "choice": result.choice,
        "runner_up": result.runner_up,
        "front": list(result.front),
        "why": list(result.why),
        "prefer_runner_up": result.prefer_runner_up,
        "options": [_option(option) for option in result.options],
        "aside": [finding_table(finding, Speaker(result.chosen)) for finding in result.aside],
        "against": [plain(asdict(one)) for one in result.against],
        "reach": [plain(asdict(one)) for one in result.reach],
        "condensing": [stage_table(stage) for stage in result.condensing],
        "least_draw": result.least_draw,
        "least_pump": result.least_pump,
        "apart": [
            {"unit": one.unit, "option": _option(one.option) if one.option else None}
            for one in result.apart
        ],
        "least_change": [_change(change) for change in result.least_change],
        "other_changes": [[_change(change) for change in some] for some in result.other_changes],
        "advised": [finding_table(one, Speaker(in_service(result.job))) for one in result.advised],
        "service": list(result.service),
        "distributions": [asdict(one) for one in result.distributions],
        "studied": asdict(result.studied),
        "unsuited": list(result.unsuited),
    }


def _option(option: Option) -> dict[str, Any]:
    choice = option.choice
    return plain(
        {
            "rank": option.rank,
            "as_is": option.as_is,
            "pump": choice.pump.name,
            "count": choice.count,
            "arrangement": choice.arrangement,
            "suction_bore": choice.suction_bore,
            "pressure_bore": choice.pressure_bore,
            "branch_bore": max(choice.branch_bores) if choice.branch_bores else math.nan,
            "branch_bores": list(choice.branch_bores),
            "barb_bore": choice.barb_bore,
            "seacock_bore": choice.seacock_bore,
            "strainer": None if choice.strainer is None else choice.strainer.name,
            "flow": option.flow,
            "flow_low": option.flow_low,
            "flow_high": option.flow_high,
            "chance": option.chance,
            "margin": option.margin,
            "power": option.power,
            "suction_velocity": option.suction_velocity,
            "pressure_velocity": option.pressure_velocity,
            "start_head": option.start_head,
            "shutoff_head": option.shutoff_head,
            "starts_last": list(option.starts_last),
            "price": option.price,
            "condensers": [plain(asdict(unit)) for unit in option.units],
            "energy": [plain(asdict(stage)) for stage in option.running],
            "energy_worst": energy_table(option.energy),
            "energy_clean": energy_table(option.energy_clean),
            "passes": option.passes,
            "as_new": list(option.as_new),
            "reasons": [asdict(one) for one in option.reasons],
        }
    )


def _change(change: Change) -> dict[str, Any]:
    said = {name: getattr(change, name) for name in ("change", "flow", "gain", "passes")}
    return {"action": change.action.to_dict(), **plain(said)}
