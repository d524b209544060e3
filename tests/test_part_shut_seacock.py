"""A seacock is open or shut: one left part shut before the pump is never good."""

import pytest

from loop.check import check
from loop.job import Job, parse_job
from loop.words.actions import SetValve
from tests.loops import changed, check_of, found, job_of

CODE = "seacock-part-shut"


@pytest.mark.parametrize("percent", [12, 30, 50, 70, 90, 98])
def test_a_seacock_before_the_pump_that_is_not_fully_open_is_never_good(percent: int) -> None:
    job = job_of((2, "open", f"{percent} %"), (6, "curve", "demo-ac-500"))
    result = check(job)
    assert result.verdict != "good"
    (finding,) = found(result, CODE)
    assert (finding.level, finding.at.part) == ("warning", "part[2]")
    if finding.actions:
        assert finding.actions == (SetValve("part[2]", 0.0),)
        assert not found(check(finding.actions[0].apply(job), fixes=False), CODE)


def test_what_it_takes_is_its_loss_over_an_open_one() -> None:
    result = check_of((2, "open", "50 %"))
    stations = {one.label: one.head_loss for one in result.point.stations}
    (finding,) = found(result, CODE)
    taken = finding.values["taken"]
    assert isinstance(taken, float)
    # An open ball valve is a small part of it: 0.05 in K against 30 and more.
    assert stations["seacock"] * 0.97 < taken < stations["seacock"]


@pytest.mark.parametrize("share", ["99 %", "99.5 %", "100 %"])
def test_a_handle_in_line_with_the_hose_is_open(share: str) -> None:
    assert not found(check_of((2, "open", share)), CODE)


def with_valve(outlet: str, open_share: str) -> Job:
    data = changed((10, "to", outlet), (10, "length", "8 ft"), (11, "height", outlet))
    data["part"].insert(10, {"kind": "seacock", "label": "outlet's seacock", "open": open_share})
    return parse_job(data)


@pytest.mark.parametrize(("outlet", "case"), [("5 in", "above"), ("-5 in", "outlet")])
def test_at_an_outlet_it_is_a_note_whose_action_opens_it(outlet: str, case: str) -> None:
    job = with_valve(outlet, "60 %")
    result = check(job)
    (finding,) = found(result, CODE)
    assert (finding.level, finding.values["case"]) == ("note", case)
    assert finding.actions == (SetValve("part[11]", 0.0),)
    opened = check(finding.actions[0].apply(job), fixes=False)
    assert not found(opened, CODE)
    if case == "above":
        assert finding.values["flow"] == pytest.approx(result.point.flow)
        assert finding.values["opened"] == pytest.approx(opened.point.flow, rel=2e-3)
    assert not found(check(with_valve(outlet, "100 %"), fixes=False), CODE)


def test_a_valve_elsewhere_after_the_pump_may_throttle() -> None:
    data = changed((10, "length", "8 ft"))
    data["part"].insert(8, {"kind": "seacock", "label": "throttle", "open": "60 %"})
    assert not found(check(parse_job(data), fixes=False), CODE)
