"""Units with far more water than they need: when it is reported, and what reduces it."""

import pytest

from loop.check import check
from loop.check.excess_flow import EXCESS_NOTE, EXCESS_WARNING
from loop.job import Job, parse_job
from loop.pumps import load_pump
from loop.units import parse
from loop.words.actions import ChangePump
from tests.loops import check_of, codes, found, job_of
from tests.test_balance import branch, manifold_loop


def needing(share: float) -> Job:
    """The plain loop with a need that is this share of its unit's flow."""
    flow = check(job_of(), fixes=False).condensers[0].flow
    return job_of(("condenser", "flow_needed", f"{share * flow!r} m^3/s"))


@pytest.mark.parametrize(
    ("times", "level"),
    [
        (1.3, None),
        (0.99 * EXCESS_NOTE, None),
        (1.01 * EXCESS_NOTE, "note"),
        (1.01 * EXCESS_WARNING, "warning"),
    ],
)
def test_what_a_right_pump_may_give_is_not_worth_a_word(times: float, level: str | None) -> None:
    """Half as much again is spare; twice the need is a note; three times is wrong."""
    levels = [finding.level for finding in found(check(needing(1 / times)), "flow-excess")]
    assert levels == [level] * (level is not None)


@pytest.mark.parametrize(("needed", "doubted"), [(15, True), (74, True), (76, False), (110, False)])
def test_what_is_over_a_need_that_no_unit_has_is_not_too_much(needed: int, doubted: bool) -> None:
    """For one ton 150 gal/h is the least in common use; throttled to half of it a unit trips."""
    result = check_of(("condenser", "flow_needed", f"{needed} gal/h"))
    doubts = [one.values["case"] for one in found(result, "need-doubtful")]
    assert doubts == (["small"] if doubted else [])
    assert ("flow-excess" in codes(result)) == (not doubted)
    assert result.verdict != "good" or not doubted


def test_a_need_that_follows_from_the_cooling_is_not_doubted() -> None:
    assert "need-doubtful" not in codes(check_of(("condenser", "heat_rejection", 1.5)))


def test_a_huge_pump_is_changed_for_a_smaller_one_by_name() -> None:
    """The weakest in the catalogue that gives every unit its need at the low limit."""
    job = job_of(("condenser", "cooling", "6000 BTU/h"), (6, "curve", "demo-ac-1500"))
    (excess,) = found(check(job), "flow-excess")
    assert excess.level == "warning"
    (action,) = excess.actions
    assert isinstance(action, ChangePump)
    after = check(action.apply(job))
    assert after.verdict == "good"
    assert "flow-excess" not in codes(after)
    pump = load_pump(action.name)
    assert pump.last_flow < job.pump.curve.last_flow
    assert pump.rated_supply == job.pump.curve.rated_supply


def test_where_every_unit_has_too_much_it_is_said_once() -> None:
    units = dict.fromkeys(("a", "b", "c"), "6000 BTU/h")
    job = parse_job(manifold_loop(units, [branch(name) for name in units]))
    result = check(job)
    over = [unit for unit in result.condensers if unit.flow > EXCESS_NOTE * unit.needed_flow]
    assert len(over) == 3
    (excess,) = found(result, "flow-excess")
    assert excess.values["case"] == "every"
    most = max(result.condensers, key=lambda unit: unit.flow / unit.needed_flow)
    assert excess.at.unit == most.name


def test_one_of_several_with_too_much_keeps_its_own() -> None:
    units = {"a": "3000 BTU/h", "b": "12000 BTU/h"}
    result = check(parse_job(manifold_loop(units, [branch(name) for name in units])))
    over = [c.name for c in result.condensers if c.flow > EXCESS_NOTE * c.needed_flow]
    assert over == ["a"]
    assert [finding.at.unit for finding in found(result, "flow-excess")] == over


@pytest.mark.parametrize("loss", [3.5, 6.0, 9.0, 14.0])
def test_a_pump_under_a_tenth_of_its_flow_is_told(loss: float) -> None:
    """The curve of demo-ac-1500 ends at 1,500 gal/h; a nearly plugged coil holds it under 150."""
    small = ("condenser", "cooling", "5000 BTU/h")
    result = check_of(small, (6, "curve", "demo-ac-1500"), (9, "loss", f"{loss} psi at 90 gal/h"))
    near = result.point.flow < parse("150 gal/h", "flow")
    assert near == (loss > 5)
    assert bool(found(result, "near-shutoff")) == near


def test_a_throttled_pump_near_shut_off_is_opened_and_a_smaller_one_fitted() -> None:
    """With the valve open alone it would give the unit eight times its need."""
    small = ("condenser", "cooling", "5000 BTU/h")
    throttle = [(7, "kind", "seacock"), (7, "open", "22 %")]
    result = check_of(small, (6, "curve", "demo-ac-1500"), *throttle)
    (near,) = found(result, "near-shutoff")
    first = near.actions[0]
    assert [step.kind for step in first.steps] == ["set-valve", "change-pump"]
    assert not found(check(first.apply(result.job)), "near-shutoff")


@pytest.mark.parametrize("arrangement", ["parallel", "series"])
@pytest.mark.parametrize(("cooling", "enough"), [("9000 BTU/h", True), ("15000 BTU/h", False)])
def test_of_several_pumps_one_is_advised_where_it_is_enough(
    arrangement: str, cooling: str, enough: bool
) -> None:
    """The plain loop's pump alone gives 223 gal/h, for a need of 135 or 225."""
    several = [(6, "count", 2), (6, "arrangement", arrangement)]
    result = check_of(*several, ("condenser", "cooling", cooling))
    (told,) = [f for f in found(result, "part-order") if "pumps" in str(f.values["case"])]
    assert told.level == "note"
    assert bool(told.actions) == enough
    for action in told.actions:
        assert isinstance(action, ChangePump)
        assert check(action.apply(result.job)).verdict == "good"
