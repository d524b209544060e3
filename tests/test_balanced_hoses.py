"""A far unit in narrow hose beside a near one: hose, valves and perhaps a pump together."""

from pathlib import Path
from typing import Any

import pytest

from loop.check import check
from loop.job import Job, parse_job, read_toml
from loop.words.actions import ChangeHose, together
from tests.loops import found
from tests.test_size_options import branched_loop

RAZORBILL = Path(__file__).parent.parent / "examples" / "razorbill.toml"


def far_and_near(length: str, bore: str, height: str, pump: str) -> Job:
    """Two units: one near the pump with a small need, one far, high, in narrow hose."""
    data = branched_loop()
    (manifold,) = [part for part in data["part"] if part["kind"] == "manifold"]
    way: dict[str, Any] = manifold["branch"][0]
    data["condenser"] = [
        {"name": "near", "cooling": "6000 BTU/h"},
        {"name": "far", "cooling": "12000 BTU/h"},
    ]
    branches = []
    for name, own in (("near", {}), ("far", {"length": length, "bore": bore})):
        parts = []
        for part in way["part"]:
            hose = own if part["kind"] == "hose" else {}
            serves = {"serves": name} if part["kind"] == "condenser" else {}
            parts.append({**part, **hose, **serves})
        if name == "far":
            first = next(part for part in parts if part["kind"] == "hose")
            first["to"] = height
        branches.append({"name": name, "part": parts})
    manifold["branch"] = branches
    for part in data["part"]:
        if part["kind"] == "pump":
            part["curve"] = pump
    return parse_job(data)


@pytest.mark.parametrize(
    ("pump", "kinds"),
    [
        ("demo-ac-1500", {"change-hose", "fit-valve"}),
        ("demo-ac-1000", {"change-hose", "change-pump", "fit-valve"}),
    ],
)
def test_hose_and_valves_together_are_offered_where_neither_is_enough(
    pump: str, kinds: set[str]
) -> None:
    job = far_and_near("30 ft", "1/2 in", "50 in", pump)
    (short,) = [one for one in check(job).findings if one.code == "flow-short"]
    (action,) = [one for one in short.actions if {step.kind for step in one.steps} == kinds]
    after = check(action.apply(job), fixes=False)
    assert all(unit.flow_low >= unit.needed_flow for unit in after.condensers)
    # Without the valves, or without the hose, one of them still has too little.
    for left in ("change-hose", "fit-valve"):
        some = together([step for step in action.steps if step.kind != left])
        units = check(some.apply(job), fixes=False).condensers
        assert any(unit.flow_low < unit.needed_flow for unit in units), left


@pytest.mark.parametrize(
    ("narrow", "bore"), [((3, 5), "1/2 in"), ((8,), "3/8 in")], ids=["before", "after the pump"]
)
def test_a_narrow_hose_that_all_share_goes_before_a_pump_is_bought(
    narrow: tuple[int, ...], bore: str
) -> None:
    """The example of a near and a far unit: the near one would take whatever is gained."""
    table = read_toml(RAZORBILL, "job")
    for part in narrow:
        table["part"][part - 1] |= {"bore": bore}
        assert table["part"][part - 1]["kind"] == "hose"
    result = check(parse_job(table))
    for code in ("flow-short", "cannot-balance"):
        action = found(result, code)[0].actions[0]
        assert [step.kind for step in action.steps] == ["change-hose", "fit-valve"]
        (hose,) = (step for step in action.steps if isinstance(step, ChangeHose))
        assert hose.parts == tuple(f"part[{part}]" for part in narrow)
        assert check(action.apply(result.job), fixes=False).verdict == "good"
        for one in action.steps:
            units = check(one.apply(result.job), fixes=False).condensers
            assert any(unit.flow < unit.needed_flow for unit in units)
