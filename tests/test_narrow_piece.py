"""A narrow piece of hose in a wider line is replaced by hose of the line's own bore."""

import pytest

from loop.check import check
from loop.job import Job, parse_job
from loop.words.actions import ChangeHose
from tests.loops import changed, codes, found

INCH = 0.0254


def with_a_piece(bore: str, line: str = "3/4 in") -> Job:
    """A foot of hose of this bore between two hoses of the line, after the pump."""
    table = changed(("defaults", "bore", line), (10, "length", "8 ft"))
    table["part"].insert(8, {"kind": "hose", "length": "1 ft", "to": "10 in", "bore": bore})
    return parse_job(table)


def test_what_is_wrong_with_it_has_one_fix() -> None:
    """Nobody puts half-inch between three-quarter: that leaves both steps of bore."""
    job = with_a_piece("3/8 in")
    result = check(job)
    findings = [one for one in result.findings if one.code in ("flow-short", "hose-fast")]
    assert len(findings) == 2
    assert "bore-step" not in codes(result)
    for finding in findings:
        action = finding.actions[0]
        assert isinstance(action, ChangeHose)
        assert action.parts == ("part[9]",)
        assert action.bore == pytest.approx(0.75 * INCH)
    after = check(action.apply(job), fixes=False)
    assert after.verdict == "good"
    assert not any(after.point.network.steps)


def test_where_it_harms_nothing_but_head_the_step_has_the_same_fix() -> None:
    job = with_a_piece("1/2 in")
    for finding in found(check(job), "bore-step"):
        assert isinstance(finding.actions[0], ChangeHose)
        assert finding.actions[0].bore == pytest.approx(0.75 * INCH)


def test_a_hose_beside_one_as_narrow_is_no_piece() -> None:
    """The whole pressure side in half-inch: the first size that is enough is offered, as usual."""
    table = changed(*((number, "bore", "1/2 in") for number in (8, 10)), (8, "length", "16 ft"))
    job = parse_job(table)
    action = found(check(job), "flow-short")[0].actions[0]
    assert isinstance(action, ChangeHose)
    assert action.bore < 0.75 * INCH


def test_the_narrow_hose_of_a_line_is_changed_and_not_a_wide_one_for_a_hair_of_margin() -> None:
    """Half-inch to a half-inch outlet: the hose to the strainer in one inch is enough."""
    half = ((10, "bore", "1/2 in"), (11, "bore", "1/2 in"), (9, "loss", "1.95 psi at 240 gal/h"))
    job = parse_job(changed(*half))
    short = found(check(job), "flow-marginal")[0]
    wide = ChangeHose(("part[3]",), 1.0 * INCH)
    assert check(wide.apply(job), fixes=False).verdict == "good"
    action = short.actions[0]
    assert isinstance(action, ChangeHose)
    assert action.parts == ("part[10]",)
