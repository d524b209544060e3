"""Fixes applied as printed: every number in them lies on the side that cures."""

import re
from itertools import pairwise
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from loop.check.rounded import apart, at_least, at_most

from loop.check import check
from loop.check.air import air_findings
from loop.check.suction import suction_findings
from loop.job import Job, parse_job
from loop.units import convert, parse, show
from tests.loops import changed, codes, plain_loop, subject_of

UNITS = st.sampled_from(["us", "si"])


def number(pattern: str, text: str) -> str:
    found = re.search(pattern, text)
    assert found is not None, text
    return found[1].replace(",", "")


def fixes_of(job: Job) -> dict[str, list[str]]:
    """Fixes of air and suction by code, without the rest of a check."""
    subject, fixes = subject_of(job), dict[str, list[str]]()
    for finding in (*air_findings(subject), *suction_findings(subject)):
        fixes.setdefault(finding.code, []).append(finding.fix)
    return fixes


SUBJECTS = {units: subject_of(parse_job(changed() | {"units": units})) for units in ("us", "si")}


@given(
    st.floats(-20, 20),
    st.sampled_from([("height", "length"), ("head", "length"), ("length", "length")]),
    UNITS,
)
def test_a_number_rounded_to_a_side_is_on_that_side_and_near(
    value: float, kinds: tuple[str, Any], units: str
) -> None:
    quantity, kind = kinds
    here = SUBJECTS[units]
    above = parse(at_least(here, value, quantity), kind)
    below = parse(at_most(here, value, quantity), kind)
    assert below - 1e-8 <= value <= above + 1e-8
    assert above - below < 0.0305 + 1e-9  # a tenth of a foot, the coarsest of them


@pytest.mark.parametrize("units", ["us", "si"])
def test_a_number_that_is_whole_already_stays(units: str) -> None:
    here = SUBJECTS[units]
    for text, quantity in (("-10.4 in", "height"), ("-37.3 cm", "height"), ("2.5 ft", "head")):
        if convert(1.0, quantity, here.job.units) and (units == "us") is ("cm" not in text):
            value = parse(text, "length")
            said = show(value, quantity, here.job.units, 1 if quantity == "height" else None)
            assert at_least(here, value, quantity) == at_most(here, value, quantity) == said


def test_numbers_that_print_alike_are_told_apart() -> None:
    here = SUBJECTS["us"]
    assert apart(here, 0.0900, 0.0915, "height") == ("3.5 in", "3.6 in")
    assert apart(here, 0.0910, 0.0912, "height") == ("3.58 in", "3.59 in")


@settings(max_examples=25, deadline=None)
@given(st.integers(-160, -20), st.integers(0, 50), st.integers(0, 25), UNITS)
def test_an_intake_lowered_or_moved_as_told_is_deep_enough(
    height: int, off: int, heel: int, units: str
) -> None:
    data = changed(
        (1, "height", f"{height / 10} in"),
        (1, "off_centre", f"{off} in"),
        ("boat", "heel", f"{heel} deg"),
        (3, "length", "20 ft"),
    ) | {"units": units}
    (fix,) = fixes_of(parse_job(data)).get("intake-shallow", [""])
    if not fix:
        return
    told = {"height": number(r"to (-[\d.]+ (?:in|cm))", fix)}
    nearer = re.search(r"move it to ([\d.]+ (?:ft|m)) off", fix)
    moves = [told, {"off_centre": nearer[1]}] if nearer else [told]
    for move in moves:
        data["part"][0] |= move
        assert "intake-shallow" not in fixes_of(parse_job(data))
        data["part"][0] |= {"height": f"{height / 10} in", "off_centre": f"{off} in"}


@settings(max_examples=30, deadline=None)
@given(st.lists(st.integers(-220, -10), min_size=2, max_size=5), UNITS)
def test_suction_heights_as_told_leave_no_hump(points: list[int], units: str) -> None:
    """Each finding's fix is for the whole line; the pump is at -10 in and the intake at -16 in."""
    data = plain_loop() | {"units": units}
    hoses = [
        {"kind": "hose", "label": f"piece {n}", "length": "30 in", "to": f"{to / 10} in"}
        for n, to in enumerate(points)
    ]
    data["part"][2:3] = hoses
    data["part"][2 + len(hoses) + 1]["length"] = "30 in"
    fixes = set(fixes_of(parse_job(data)).get("suction-hump", []))
    assert len(fixes) <= 1
    for fix in fixes:
        for name, height in re.findall(r"(piece \d+) to (-[\d.]+ (?:in|cm)) at its far end", fix):
            next(h for h in hoses if h["label"] == name)["to"] = height
        assert not fixes_of(parse_job(data)).keys() & {"suction-hump", "suction-above-water"}
        if "rises all the way" in fix:
            heights = [parse(h["to"], "length") for h in hoses]
            assert all(b >= a - 0.003 for a, b in pairwise(heights))


def high_loop(tops: list[int], units: str, cap: float = 1e9, bleeds: bool = False) -> Job:
    """A pressure line over these heights [in], cut down to `cap` [in], a bleed after each hose."""
    data = plain_loop() | {"units": units}
    line: list[dict[str, Any]] = []
    for top in tops:
        line.append({"kind": "hose", "length": "20 ft", "to": f"{min(top, cap)} in"})
        line += [{"kind": "bleed"}] * bleeds
    data["part"][7:8] = line
    end = {"to": f"{min(tops[-1], cap)} in"}
    data["part"][-2] |= end
    data["part"][-1]["height"] = end["to"]
    return parse_job(data)


@settings(max_examples=40, deadline=None)
@given(st.lists(st.integers(4, 160), min_size=2, max_size=5), UNITS)
def test_a_line_brought_down_as_told_starts_with_spare(tops: list[int], units: str) -> None:
    (fix,) = fixes_of(high_loop(tops, units)).get("start-head-short", [""])
    if "bring the line" not in fix:
        return
    cap = parse(number(r"down to ([\d.]+ (?:in|cm))", fix), "length") / 0.0254
    bleeds = "where it is higher, with a bleed at every crest" in fix
    assert "start-head-short" not in fixes_of(high_loop(tops, units, cap, bleeds))


@pytest.mark.parametrize("units", ["us", "si"])
def test_a_bleed_that_draws_air_is_brought_under_pressure_as_told(units: str) -> None:
    """Over a crest that the fall to a deep discharge pulls on, above the water."""

    def loop(top: str) -> Job:
        data = changed((10, "length", "30 ft"), (10, "to", "-20 in"), (11, "height", "-20 in"))
        data["part"][8] |= {"loss": "0.1 psi at 240 gal/h"}
        data["part"][7] |= {"length": "10 ft", "to": top}
        data["part"].insert(8, {"kind": "bleed", "label": "crest bleed"})
        return parse_job(data | {"units": units})

    (fix,) = fixes_of(loop("70 in"))["bleed-draws-air"]
    assert fix.startswith("open it while the line fills and close it once the stream runs, or ")
    level = number(r"down to ([\d.]+ (?:in|cm))", fix)
    assert "bleed-draws-air" not in fixes_of(loop(level))


@pytest.mark.parametrize("units", ["us", "si"])
def test_heights_to_mount_pump_and_strainer_at_are_low_enough(units: str) -> None:
    boat = {"light_rise": "1.37 in", "heel": "7 deg"}
    data = changed((3, "length", "5 ft"), (5, "length", "5 ft")) | {"boat": boat, "units": units}
    data["part"][5] |= {"off_centre": "33 in"}
    for part, code in ((5, "pump-above-water"), (3, "strainer-above-water")):
        data["part"][part - 1] |= {"to": "2 in"}
        (fix,) = fixes_of(parse_job(data))[code]
        data["part"][part - 1] |= {"to": number(r"mount it at (-[\d.]+ (?:in|cm))", fix)}
        assert code not in fixes_of(parse_job(data))


@pytest.mark.parametrize(("need", "enough"), [("150 gal/h", True), ("225 gal/h", False)])
def test_a_hose_that_would_sweep_the_air_is_told_with_what_it_leaves(
    need: str, enough: bool
) -> None:
    """Air stays in 1-1/4 in hose; what a smaller one leaves is what the loop with it has."""
    line: list[tuple[str | int, str, Any]] = [
        ("defaults", "bore", "1-1/4 in"),
        (8, "via", ["34 in", "4 in"]),
        (8, "length", "40 ft"),
        ("condenser", "flow_per_ton", need),
    ]
    fix = next(f.fix for f in check(parse_job(changed(*line))).findings if f.code == "air-held")
    assert ("leaves flow enough" in fix) is enough
    bore = number(r"([\d/-]+ in) hose for", fix)
    after = check(parse_job(changed(*line, (8, "bore", bore))))
    assert "air-held" not in codes(after)
    (unit,) = after.condensers
    assert (unit.flow_low >= unit.needed_flow) is enough


def test_a_speed_near_its_limit_is_told_apart_from_it() -> None:
    """Hose ever longer, until the water is too slow by less than a tenth of a foot a second."""
    told = []
    for length in range(100, 200, 4):
        table = changed((8, "length", f"{length} ft"))
        table["condenser"][0]["cooling"] = "6000 BTU/h"
        told += [f.message for f in check(parse_job(table)).findings if f.code == "hose-slow"]
    speeds = [re.findall(r"([\d.]+) ft/s", message) for message in told]
    assert any(float(least) - float(runs) < 0.05 for runs, least in speeds)
    assert all(float(runs) < float(least) for runs, least in speeds)
