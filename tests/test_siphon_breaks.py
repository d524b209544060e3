"""An outlet that the sea reaches, with a seacock: a vented loop before a new hole, and a note."""

import numpy as np
import pytest

from loop.check import check
from loop.job import Job, parse_job
from loop.parts import Discharge, Hose, VentedLoop
from loop.words import Finding
from loop.words.actions import FitVent, RaiseOutlet, SetHeights
from loop.words.base import part_at, start_height
from loop.words.hazards import AFLOAT, OUT, hazard
from loop.words.speaker import Speaker
from tests.branches import branched
from tests.loops import Table, changed, found

INCH = 0.0254
UNDER, DIPS, KEPT_OUT = "discharge-under-water", "discharge-dips", "discharge-kept-out"


def with_outlet(
    height: str, heel: str = "0 deg", *before: Table, cock: bool = True, via: object = None
) -> Job:
    """The plain loop, a stronger pump, an outlet 40 in off center, parts before its last hose."""
    data = changed((6, "curve", "demo-ac-500"), (10, "to", height), (10, "length", "8 ft"))
    data["boat"] = {"heel": heel}
    if via:
        data["part"][9]["via"] = via
    out = {"kind": "discharge", "height": height, "off_centre": "40 in"}
    seacock = [{"kind": "seacock", "label": "outlet's seacock"}]
    data["part"][10:] = [*(seacock if cock else []), out]
    data["part"][9:9] = before
    return parse_job(data)


def riser(height: str) -> tuple[Table, Table]:
    return {"kind": "hose", "length": "5 ft", "to": height}, {"kind": "vented loop"}


def under(job: Job) -> Finding:
    (finding,) = found(check(job), UNDER)
    return finding


@pytest.mark.parametrize(
    ("heel", "via", "top"),
    [
        ("0 deg", None, 10.0),  # the unit's height
        ("20 deg", None, 20.0),  # 40 in × sin 20° and 6 in over it
        ("0 deg", [{"at": "2 ft", "height": "15 in"}], 15.0),  # the highest of the way
        ("20 deg", [{"at": "2 ft", "height": "15 in"}, {"at": "5 ft", "height": "2 in"}], 20.0),
    ],
)
def test_a_vented_loop_is_fitted_afloat_before_another_hole_is_cut(
    heel: str, via: object, top: float
) -> None:
    job = with_outlet("-4 in", heel, via=via)
    first, second = under(job).actions
    assert isinstance(first, FitVent)
    assert isinstance(second, RaiseOutlet)
    text = hazard(first, Speaker(job))
    assert OUT not in text
    assert AFLOAT not in text
    assert "outlet's seacock" in text
    after = first.apply(job)
    assert top * INCH <= first.height + 1e-9 < (top + 1) * INCH
    assert [part.height for part in after.part if isinstance(part, Discharge)] == [-4 * INCH]
    result = check(after, fixes=False)
    assert result.verdict == "good"
    assert found(result, KEPT_OUT)
    assert not found(result, UNDER)
    (vent,) = (i for i, part in enumerate(after.part) if isinstance(part, VentedLoop))
    assert start_height(after, f"part[{vent + 1}]") == pytest.approx(first.height)


def test_the_hose_is_as_long_as_it_was_and_what_the_loop_takes() -> None:
    """Up to the vented loop and down, and the rest of its route as it was."""
    job = with_outlet("-4 in", "20 deg", via=[{"at": "5 ft", "height": "2 in"}])
    hose = part_at(job, "part[10]")
    assert isinstance(hose, Hose)
    for along in (0.0, 1.0):
        distances = [0.0, *(at for at, _ in hose.points)]
        heights = [start_height(job, "part[10]"), *(level for _, level in hose.points)]
        level = float(np.interp(along, distances, heights))
        action = FitVent("part[10]", along, 20 * INCH)
        after = action.apply(job)
        hoses = [part for part in after.part if isinstance(part, Hose)][-2:]
        rise = 20 * INCH - level
        added = sum(one.length for one in hoses) - hose.length
        assert 2 * rise < added < 2 * rise + 0.4
        assert hoses[0].to == pytest.approx(20 * INCH)
        assert [height for _, height in hoses[1].points] == [h for _, h in hose.points]
        ends = [hoses[1].length - at for at, _ in hoses[1].points]
        assert ends == pytest.approx([hose.length - at for at, _ in hose.points])


def test_one_that_is_too_low_is_led_higher() -> None:
    job = with_outlet("-4 in", "20 deg", *riser("12 in"))
    first = under(job).actions[0]
    assert isinstance(first, SetHeights)
    assert not found(check(first.apply(job), fixes=False), UNDER)


def test_without_a_seacock_the_outlet_comes_up() -> None:
    (action,) = under(with_outlet("-4 in", cock=False)).actions
    assert isinstance(action, RaiseOutlet)


def test_an_outlet_that_heel_dips_is_a_note_with_its_seacock() -> None:
    """40 in off center at 15° it dips 10.4 in."""
    (note,) = found(check(with_outlet("4 in", "15 deg"), fixes=False), DIPS)
    assert note.level == "note"
    assert note.values["depth"] == pytest.approx((40 * np.sin(np.radians(15)) - 4) * INCH)
    assert note.values["cock"] == "part[11]"
    assert note.values["least"] == pytest.approx(0.15 + 40 * np.sin(np.radians(15)) * INCH)


@pytest.mark.parametrize(
    "job",
    [
        with_outlet("4 in"),
        with_outlet("12 in", "15 deg"),
        with_outlet("4 in", "15 deg", *riser("26 in")),
        with_outlet("4 in", "15 deg", cock=False),  # that is a danger of its own
        with_outlet("-4 in", "15 deg"),
    ],
)
def test_one_that_does_not_or_that_a_siphon_break_guards_is_none(job: Job) -> None:
    assert not found(check(job, fixes=False), DIPS)


def test_a_siphon_break_that_heel_drowns_too_guards_nothing() -> None:
    assert found(check(with_outlet("4 in", "15 deg", *riser("12 in")), fixes=False), DIPS)


@pytest.mark.parametrize("vented", [0, 1, 2])
def test_of_branches_that_rejoin_each_has_its_vented_loop(vented: int) -> None:
    """The sea would come back through a branch that has none."""
    job = branched(2)
    table = job.model_dump(mode="json", exclude_none=True)
    ways = [way["part"] for way in table["part"][8]["branch"]]
    for way in ways[:vented]:
        way[2] |= {"length": 3.0}
        way[2:2] = [{"kind": "hose", "length": 1.5, "to": 0.6}, {"kind": "vented loop"}]
    *_, hose, out = table["part"]
    hose["to"] = out["height"] = -0.2
    table["part"].insert(-1, {"kind": "seacock", "bore": out["bore"]})
    result = check(Job.model_validate(table), fixes=False)
    assert bool(found(result, UNDER)) is (vented < 2)
    assert bool(found(result, KEPT_OUT)) is (vented == 2)
