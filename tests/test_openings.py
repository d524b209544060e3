"""Where the sea can enter by the outlet, or air by a vent: in waves, ahead of the pump, or not."""

import math

import pytest

from loop.check import CheckResult, check
from loop.job import Job, parse_job
from loop.words import Finding, say
from loop.words.actions import FitPart, LowerOutlet, MovePart, RaiseOutlet, RemovePart
from loop.words.hazards import AFLOAT, OUT, hazard
from loop.words.speaker import Speaker
from tests.loops import Table, changed, plain_loop

OUTLET, HOSE_OUT = 11, 10
INCH = 0.0254


def of(result: CheckResult, code: str) -> list[Finding]:
    return [one for one in result.findings if one.code == code]


def loop_of(height: str, waves: str, *parts: Table, at: int = OUTLET) -> CheckResult:
    """The plain loop with its outlet at a height, in waves, and parts put in before number `at`."""
    changes = (
        (HOSE_OUT, "to", height), (OUTLET, "height", height), ("boat", "wave_height", waves),
    )  # fmt: skip
    data = changed(*changes)
    data["part"][at - 1 : at - 1] = parts
    return check(parse_job(data))


@pytest.mark.parametrize(
    ("height", "waves"), [("1 in", "12 in"), ("4 in", "9 in"), ("0 in", "5 in")]
)
def test_an_outlet_that_waves_cover_wants_a_seacock_or_to_be_higher(
    height: str, waves: str
) -> None:
    result = loop_of(height, waves)
    (found,) = of(result, "seacock-missing")
    assert found.level == "warning"
    assert result.verdict == "attention"
    over = (float(waves.split()[0]) / 2 - float(height.split()[0])) * INCH
    assert found.values["depth"] == pytest.approx(over)
    raised, fitted = found.actions
    assert isinstance(raised, RaiseOutlet)
    assert isinstance(fitted, FitPart)
    assert raised.height >= float(waves.split()[0]) / 2 * INCH
    for action in found.actions:
        assert not of(check(action.apply(result.job)), "seacock-missing")
        # Afloat, the sea would come in by the hole that is opened.
        assert hazard(action, Speaker(result.job)) == OUT


@pytest.mark.parametrize(
    ("height", "waves", "afloat"),
    [
        ("20 in", "6 in", True),
        ("8 in", "6 in", True),
        ("6 in", "4 in", True),
        ("8 in", "18 in", False),
        ("3 in", "0 in", False),
    ],
)
def test_work_on_an_outlet_that_is_dry_at_rest_is_done_afloat(
    height: str, waves: str, afloat: bool
) -> None:
    """Upright in still water: only heel brings the sea to it."""
    data = changed((HOSE_OUT, "to", height), ("boat", "heel", "25 deg"), (6, "off_centre", "1 in"))
    data["part"][OUTLET - 1] |= {"height": height, "off_centre": "60 in"}
    data["boat"]["wave_height"] = waves
    job = parse_job(data)
    (finding,) = of(check(job), "seacock-missing")
    # What can be done afloat on the existing through-hull comes before a new hole.
    ways = [FitPart, RaiseOutlet] if afloat else [RaiseOutlet, FitPart]
    assert [type(one) for one in finding.actions] == ways
    for action in (*finding.actions, LowerOutlet("part[11]", float(height.split()[0]) * INCH)):
        text = hazard(action, Speaker(job))
        assert text.startswith(AFLOAT if afloat else OUT)
    assert hazard(LowerOutlet("part[11]", 0.02), Speaker(job)) == OUT


def test_without_a_seacock_at_the_intake_no_outlet_is_lowered_afloat() -> None:
    """Its hose hangs to the water once it is off, and nothing shuts the sea out."""
    data = changed((HOSE_OUT, "to", "20 in"), (OUTLET, "height", "20 in"))
    lower = LowerOutlet("part[11]", 0.2)
    assert hazard(lower, Speaker(parse_job(data))).startswith(AFLOAT)
    del data["part"][1]
    assert hazard(LowerOutlet("part[10]", 0.2), Speaker(parse_job(data))) == OUT


@pytest.mark.parametrize("waves", ["0 in", "3 in"])
@pytest.mark.parametrize("height", ["0 in", "0.25 in", "1.5 in"])
def test_one_that_people_who_step_aboard_put_under_does_too(height: str, waves: str) -> None:
    """Two inches or 5 cm, in a calm and in waves with lower crests."""
    result = loop_of(height, waves)
    (found,) = of(result, "seacock-missing")
    assert found.level == "warning"
    assert found.values["depth"] == pytest.approx(0.05 - float(height.split()[0]) * INCH)
    for action in found.actions:
        assert not of(check(action.apply(result.job)), "seacock-missing")
    assert len(found.actions) == 2
    assert not of(loop_of(height, waves, {"kind": "seacock"}), "seacock-missing")


@pytest.mark.parametrize(
    ("height", "waves"), [("6.5 in", "12 in"), ("5 in", "0 in"), ("2 in", "0 in")]
)
def test_one_that_they_do_not_reach_does_not(height: str, waves: str) -> None:
    assert not of(loop_of(height, waves), "seacock-missing")


@pytest.mark.parametrize(
    ("out", "level"), [("13 in", None), ("16 in", "note"), ("23.5 in", "warning")]
)
def test_one_that_heel_brings_within_their_reach_does(out: str, level: str | None) -> None:
    """5 in up at 12 degrees: 2.3, 1.7 and 0.1 in remain, the last less than can be measured."""
    base = changed((HOSE_OUT, "to", "5 in"), ("boat", "heel", "12 deg"), (6, "off_centre", "1 in"))
    result = check(parse_job(changed((OUTLET, "off_centre", out), base=base)))
    assert [one.level for one in of(result, "seacock-missing")] == [level] * (level is not None)
    for one in of(result, "seacock-missing"):
        heeled = float(out.split()[0]) * math.sin(math.radians(12))
        assert one.values["depth"] == pytest.approx((heeled - 5) * INCH + 0.05)
        for action in one.actions:
            assert not of(check(action.apply(result.job), fixes=False), "seacock-missing")


@pytest.mark.parametrize("heel", ["10 deg", "25 deg"])
def test_the_height_told_for_an_outlet_keeps_it_out_of_their_reach(heel: str) -> None:
    base = changed((HOSE_OUT, "to", "5 in"), ("boat", "heel", heel), (6, "off_centre", "1 in"))
    result = check(parse_job(changed((OUTLET, "off_centre", "40 in"), base=base)))
    actions = of(result, "seacock-missing")[0].actions
    (raised,) = (action for action in actions if isinstance(action, RaiseOutlet))
    assert raised.height >= 40 * INCH * math.sin(math.radians(float(heel.split()[0]))) + 0.05


def test_one_with_a_seacock_does_not() -> None:
    assert not of(loop_of("1 in", "12 in", {"kind": "seacock"}), "seacock-missing")


def inboard(height: str, heel: str, *, before_unit: bool = False) -> Job:
    """The plain loop with its outlet's seacock a foot inboard of the through-hull."""
    data = changed((HOSE_OUT, "to", height), (HOSE_OUT, "length", "6 ft"), ("boat", "heel", heel))
    stub = {"kind": "hose", "label": "stub", "length": "1 ft", "to": height}
    cock = {"kind": "seacock", "label": "outlet's seacock"}
    out = {"kind": "discharge", "height": height, "off_centre": "40 in"}
    data["part"][OUTLET - 1 :] = [stub, out]
    data["part"].insert(HOSE_OUT - 2 if before_unit else OUTLET - 1, cock)
    return parse_job(data)


@pytest.mark.parametrize(
    ("height", "heel", "case", "afloat"),
    [
        ("-4 in", "0 deg", "far-outlet", False),
        ("6 in", "15 deg", "far-heeled", True),
        ("1 in", "0 deg", "far-outlet", False),
    ],
)
def test_an_outlets_seacock_that_is_not_on_the_hull_is_moved_there(
    height: str, heel: str, case: str, afloat: bool
) -> None:
    job = inboard(height, heel)
    (finding,) = of(check(job), "seacock-missing")
    assert str(finding.values["case"]).split()[0] == case
    assert (finding.values["cock"], finding.values["first"]) == ("part[11]", "part[12]")
    move = finding.actions[0]
    assert move == MovePart("part[11]", "part[12]")
    assert hazard(move, Speaker(job)).startswith(AFLOAT if afloat else OUT)
    assert not of(check(move.apply(job), fixes=False), "seacock-missing")


def test_a_valve_before_the_unit_is_no_outlets_seacock() -> None:
    (finding,) = of(
        check(inboard("-4 in", "0 deg", before_unit=True), fixes=False), "seacock-missing"
    )
    assert "cock" not in finding.values


def test_a_seacock_and_a_siphon_break_are_put_right_together() -> None:
    """The seacock a foot inboard, and no vented loop: both, since either alone leaves the other."""
    job = inboard("-4 in", "0 deg")
    first = of(check(job), "discharge-under-water")[0].actions[0]
    assert [step.kind for step in first.steps] == ["fit-vent", "move-part"]
    assert check(first.apply(job), fixes=False).verdict == "good"


@pytest.mark.parametrize("curve", ["demo-ac-350", "demo-dc-prime-400"])
@pytest.mark.parametrize("height", ["10 in", "-14 in"])
def test_a_vented_loop_before_the_pump_is_a_danger_and_comes_out(height: str, curve: str) -> None:
    """Above the water the pump draws air through it; below, the sea comes in."""
    data = changed(
        (3, "to", height), (3, "length", "4 ft"), (5, "length", "3 ft"), (6, "curve", curve)
    )
    data["part"][3:3] = [
        {"kind": "vented loop"},
        {"kind": "hose", "length": "4 ft", "to": "-12 in"},
    ]
    result = check(parse_job(data))
    assert result.verdict == "bad"
    assert not result.starts
    assert {result.supply(unit) for unit in result.condensers} == {"once primed"}
    first = result.findings[0]
    assert (first.code, first.level) == ("part-order", "danger")
    assert any(isinstance(step, RemovePart) for step in first.actions[0].steps)
    for finding in result.findings:
        for action in finding.actions:
            mended = check(action.apply(result.job))
            kept = [part for part in mended.job.part if part.kind == "vented loop"]
            assert not kept or mended.verdict == "bad"
            if action == first.actions[0]:
                assert not kept
                assert mended.verdict == "good"


def under_water(*parts: Table) -> Finding:
    (found,) = of(loop_of("-6 in", "0 in", *parts, at=HOSE_OUT), "discharge-under-water")
    return found


def test_an_outlet_under_water_is_only_a_note_where_seacock_and_vent_keep_the_sea_out() -> None:
    up = {"kind": "hose", "length": "4 ft", "to": "30 in"}
    vent = {"kind": "vented loop"}
    assert under_water().level == "warning"
    assert under_water(up, vent).level == "warning"
    data = changed(
        (HOSE_OUT, "to", "-6 in"), (OUTLET, "height", "-6 in"), (HOSE_OUT, "length", "6 ft")
    )
    for height, code, level in (
        ("30 in", "discharge-kept-out", "note"),
        ("3 in", "discharge-under-water", "warning"),
    ):
        loop = {**plain_loop(), "part": [dict(part) for part in data["part"]]}
        loop["part"][OUTLET - 1 : OUTLET - 1] = [{"kind": "seacock"}]
        loop["part"][HOSE_OUT - 1 : HOSE_OUT - 1] = [{**up, "to": height}, vent]
        result = check(parse_job(loop), fixes=False)
        (found,) = [one for one in result.findings if one.code.startswith("discharge-")]
        assert (found.code, found.level) == (code, level)


ELBOW, UNKNOWN = {"kind": "elbow"}, {"kind": "fitting", "k": 1.0, "label": "sight glass"}


@pytest.mark.parametrize("height", [None, "-4 in", "1 in"])
@pytest.mark.parametrize(
    ("between", "level"),
    [([ELBOW], "note"), ([ELBOW | {"count": 2}], "warning"), ([ELBOW, ELBOW], "warning"),
     ([UNKNOWN], "warning"), ([ELBOW, UNKNOWN], "warning"), ([], None)],
)  # fmt: skip
def test_what_holds_a_seacock_on_its_through_hull_is_as_strong(
    height: str | None, between: list[Table], level: str | None
) -> None:
    """At the intake, and at an outlet at a height that the sea reaches."""
    if height is None:
        data = changed()
        data["part"][1:1] = between
        job = parse_job(data)
    else:
        job = loop_of(height, "0 in", {"kind": "seacock"}, *between).job
    told = of(check(job), "seacock-off-hull")
    assert [one.level for one in told] == ([] if level is None else [level])
    for action in (action for one in told for action in one.actions):
        assert isinstance(action, MovePart)
        assert not of(check(action.apply(job), fixes=False), "seacock-off-hull")
    assert all(one.actions for one in told if level == "warning")
    # A sea chest is part of the hull: as a fitting it would always cause a warning.
    built_in = [one for one in told if one.values.get("case") == "fitting"]
    assert len(built_in) == (UNKNOWN in between)
    for one in built_in:
        assert say(one, job).ways[-1].text.startswith("if the sight glass is built into the hull")


def test_an_outlet_that_the_sea_does_not_reach_has_what_it_likes() -> None:
    result = loop_of("12 in", "0 in", {"kind": "seacock"}, UNKNOWN)
    assert not of(result, "seacock-off-hull")
