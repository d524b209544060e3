"""A grate with less open area than its through-hull: its openings count, and it is replaced."""

import math

import pytest

from loop.check import check
from loop.check.work import work
from loop.job import Job, parse_job
from loop.margins.speed import SUCTION_MAX
from loop.size.least_change import least_change
from loop.size.rules import Rules
from loop.words import Action
from loop.words.actions import ChangeGrate, ChangePump
from tests.loops import changed, codes, found
from tests.test_bled import at_sea

INCH = 0.0254
# Bore of the through-hull [m], and area of its bore [m²].
BORE = 0.75 * INCH
AREA = math.pi / 4 * BORE**2


def grated(area: str, open_share: str = "40 %", sized: bool = False) -> Job:
    """A loop that is sound except for its grate."""
    grate = [(1, "grate_area", area), (1, "grate_open", open_share)]
    table = changed(*grate, base=at_sea())
    if sized:
        table["sizing"] = {"pumps": ["demo-ac-350", "demo-ac-1000"], "service_blocked": "0 %"}
    return parse_job(table)


def opened(action: Action) -> float:
    """Open area of the grate to be fitted [m²]."""
    assert isinstance(action, ChangeGrate)
    return action.area * action.open


def test_the_speed_through_the_openings_of_a_grate_counts() -> None:
    job = grated("0.3 in^2")
    result = check(job)
    (told,) = found(result, "inlet-fast")
    open_area = 0.3 * 0.4 * INCH**2
    assert told.at.part == "part[1]"
    assert told.values["speed"] == pytest.approx(result.point.flow / open_area)
    assert result.point.flow / AREA < SUCTION_MAX
    assert [opened(action) for action in told.actions] == [pytest.approx(AREA, rel=0.01)]
    assert check(told.actions[0].apply(job), fixes=False).verdict == "good"


def test_a_grate_as_open_as_the_bore_has_the_bores_speed() -> None:
    face = AREA / 0.4 / INCH**2
    assert check(grated(f"{face:.5f} in^2"), fixes=False).verdict == "good"
    assert check(parse_job(at_sea()), fixes=False).verdict == "good"


def test_a_choked_grate_is_replaced_before_a_pump_is_bought() -> None:
    job = grated("0.12 in^2")
    grate, pump = found(check(job), "flow-short")[0].actions
    assert opened(grate) == pytest.approx(AREA, rel=0.01)
    assert isinstance(pump, ChangePump)
    assert work(job, grate) < work(job, pump)
    assert check(grate.apply(job), fixes=False).verdict == "good"


def test_check_and_size_replace_the_grate_alike() -> None:
    job = grated("0.12 in^2", sized=True)
    (least,), _ = least_change(Rules(job))
    assert least.action == found(check(job), "flow-short")[0].actions[0]


@pytest.mark.parametrize(
    ("area", "kind"), [("0.12 in^2", "change-grate"), ("0.9 in^2", "clean-grate")]
)
def test_a_grate_is_cleaned_or_replaced_and_not_both(area: str, kind: str) -> None:
    """An overgrown grate of usual face needs cleaning; one too small needs replacing."""
    result = check(grated(area, "12 %"))
    assert "inlet-fast" in codes(result)
    for finding in result.findings:
        for action in finding.actions[:1]:
            assert [step.kind for step in action.steps] == [kind]
