"""The first fix is the one that a person of the trade would try first."""

import math
from typing import Any

import pytest

from loop.check import CheckResult, check
from loop.job import Job, parse_job
from loop.parts import Seacock
from loop.parts.seacock import handle_angle
from loop.words import Action
from loop.words.actions import FitValve, SetValve
from loop.words.base import part_at
from tests.loops import Table, changed, codes, found

WIDE = {"bore": "1 in"}


def boat(*changes: tuple[str | int, str, Any]) -> Table:
    """A loop with a through-hull deep enough at sea, and a hose of usual length to its unit."""
    deep = [(1, "height", "-18 in"), (1, "off_centre", "12 in"), (1, "facing", "forward")]
    return changed(("water", "salinity", 35), *deep, *changes)


def stealing(valve: str | None = None, far: str = "22 ft") -> Job:
    """A short easy branch beside a long one, with or without a valve open so far."""
    own = [] if valve is None else [{"kind": "seacock", "label": "valve", "open": valve}]
    saloon = [
        {"kind": "hose", "length": "2 ft", "to": "10 in"},
        *own,
        {"kind": "condenser", "serves": "saloon", "loss": "0.3 psi at 120 gal/h"},
        {"kind": "hose", "length": "5 ft", "to": "6 in"},
    ]
    cabin = [
        {"kind": "hose", "length": far, "to": "10 in"},
        {"kind": "condenser", "serves": "cabin", "loss": "2.2 psi at 200 gal/h"},
        {"kind": "hose", "length": "6 ft", "to": "6 in"},
    ]
    table = boat()
    table["condenser"] = [
        {"name": "saloon", "cooling": "6000 BTU/h"},
        {"name": "cabin", "cooling": "14000 BTU/h"},
    ]
    before = [part | WIDE for part in table["part"][:7]]
    before[0]["height"], before[3]["loss"] = "-22 in", "0.4 psi at 600 gal/h"
    before[5] = {"kind": "pump", "curve": "demo-dc-600"}
    table["part"] = [
        *before,
        {"kind": "hose", "length": "4 ft", "to": "-4 in", **WIDE},
        {
            "kind": "manifold",
            "branch": [{"name": "saloon", "part": saloon}, {"name": "cabin", "part": cabin}],
            **WIDE,
        },
        {"kind": "hose", "length": "4 ft", "to": "5 in", **WIDE},
        {"kind": "discharge", "height": "5 in", "off_centre": "12 in", **WIDE},
    ]
    return parse_job(table)


def first(result: CheckResult, code: str = "flow-short") -> Action:
    return found(result, code)[0].actions[0]


@pytest.mark.parametrize("valve", ["20 %", "25 %", None])
def test_a_valve_that_cures_the_fault_is_set_before_anything_is_bought(valve: str | None) -> None:
    result = check(stealing(valve))
    action = first(result)
    assert isinstance(action, FitValve if valve is None else SetValve)
    after = check(action.apply(result.job), fixes=False)
    assert all(unit.flow >= unit.needed_flow for unit in after.condensers)
    # What is left is told, and the next fix leaves nothing.
    finding = found(result, "flow-short")[0]
    brings = finding.values["brings"]
    assert isinstance(brings, tuple)
    assert brings[0] == ("flow-marginal" if "flow-marginal" in codes(after) else "")
    assert check(finding.actions[1].apply(result.job), fixes=False).verdict == "good"


@pytest.mark.parametrize("valve", ["15 %", "20 %", "25 %", "30 %", "35 %", "60 %", "100 %"])
def test_no_step_sets_a_valve_where_it_stands_nor_one_valve_twice(valve: str) -> None:
    result = check(stealing(valve))
    for finding in result.findings:
        for action in finding.actions:
            steps = [step for step in action.steps if isinstance(step, SetValve)]
            assert len({step.part for step in steps}) == len(steps)
            for step in steps:
                part = part_at(result.job, step.part)
                assert isinstance(part, Seacock)
                stands = handle_angle(part.open)
                assert round(math.degrees(step.angle)) != round(stands)


def test_a_valve_too_far_shut_is_said_to_be_opened() -> None:
    result = check(stealing("20 %"))
    assert found(result, "unbalanced")[0].values["case"] == "opens"
    assert "case" not in found(check(stealing()), "unbalanced")[0].values
