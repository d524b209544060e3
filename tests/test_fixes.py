"""What to do about each finding: the numbers in a fix cure it, and no fix works against another."""

import re

import pytest

from loop.check import CheckResult, check
from loop.job import parse_job
from loop.margins.speed import TUBE_MOST
from loop.parts.friction import velocity
from loop.parts.seacock import opening_at
from loop.pumps import Curve, PumpCurve, Series
from loop.units import parse
from tests.loops import changed, check_of, codes
from tests.test_check import CASES, Change

GALLON = parse("1 gal", "volume")


def fix_of(code: str, *changes: Change) -> str:
    return next(f for f in check_of(*changes).findings if f.code == code).fix


def with_valve(angle: str, *changes: Change) -> CheckResult:
    """The check with a ball valve after the pump, its handle so many degrees from open."""
    data = changed(*changes)
    data["part"].insert(7, {"kind": "seacock", "open": f"{100 * opening_at(float(angle)):.6f} %"})
    return check(parse_job(data))


def number(pattern: str, fix: str) -> str:
    found = re.search(pattern, fix)
    assert found is not None, fix
    return found[1]


def test_fix_of_short_flow_names_a_hose_that_cures_it():
    result = check_of(*CASES["flow-short"])
    fix = next(f for f in result.findings if f.code == "flow-short").fix
    bore = re.search(r"fit ([\d/-]+ in) hose", fix)
    assert bore is not None, fix
    cured = check_of(("defaults", "bore", bore[1]), (8, "length", "30 ft"))
    assert cured.condensers[0].flow_low >= cured.condensers[0].needed_flow


def test_fix_of_a_shallow_intake_names_a_height_that_cures_it():
    changes = CASES["intake-shallow"]
    fix = next(f for f in check_of(*changes).findings if f.code == "intake-shallow").fix
    height = re.search(r"to (-[\d.]+ in)", fix)
    assert height is not None, fix
    cured = check_of(*changes[1:], (1, "height", height[1]))
    assert "intake-shallow" not in codes(cured)


def test_fix_of_a_suction_hump_names_a_height_that_cures_it():
    fix = next(f for f in check_of(*CASES["suction-hump"]).findings if f.code == "suction-hump").fix
    height = re.search(r"to (-[\d.]+ in)", fix)
    assert height is not None, fix
    assert "suction-hump" not in codes(
        check_of((3, "length", "5 ft"), (3, "via", [height[1], "-14 in"]))
    )


def test_a_slow_hose_is_not_told_to_shrink_where_flow_is_short():
    result = check_of((10, "bore", "1-1/2 in"), ("condenser", "flow_per_ton", "250 gal/h"))
    assert result.condensers[0].flow < result.condensers[0].needed_flow
    assert "hose-slow" not in codes(result)


def test_a_blocked_strainer_or_a_part_shut_seacock_is_what_short_flow_is_blamed_on():
    assert fix_of("flow-short", (4, "blocked", "90 %")).startswith("clean the strainer: ")
    assert fix_of("flow-short", (2, "open", "35 %")).startswith("open the seacock fully: ")
    both = fix_of("flow-short", (2, "open", "35 %"), (4, "blocked", "90 %"))
    assert both.startswith("clean the strainer and open the seacock fully: ")
    assert "flow-short" not in codes(check_of())
    # Where that is not enough the rest is found on the cleaned loop.
    small = [("defaults", "bore", "1/2 in"), (8, "length", "30 ft")]
    assert fix_of("flow-short", (4, "blocked", "90 %"), *small) == (
        "clean the strainer, and " + fix_of("flow-short", *small)
    )


def test_a_dc_pump_on_low_voltage_is_first_given_its_own():
    changes: list[Change] = [(6, "curve", "demo-dc-320"), (6, "supply", "9 V")]
    assert "to its rated 12.0 V" in fix_of("flow-short", *changes)
    cured = check_of(changes[0], (6, "supply", "12 V"))
    assert cured.condensers[0].flow_low >= 0.99 * cured.condensers[0].needed_flow


def test_another_pump_is_judged_on_the_voltage_that_the_boat_has():
    changes: list[Change] = [(6, "supply", "10.5 V"), ("condenser", "flow_per_ton", "200 gal/h")]
    name = number(r"a pump like (\S+)", fix_of("flow-short", (6, "curve", "demo-dc-150"), *changes))
    cured = check_of((6, "curve", name), *changes)
    assert cured.condensers[0].flow >= cured.condensers[0].needed_flow


def test_fix_of_no_flow_names_a_height_that_cures_it():
    long: list[Change] = [(10, "length", "40 ft")]
    high = [*long, (10, "to", "16 ft"), (11, "height", "16 ft")]
    height = number(r"down to ([\d.]+ in)", fix_of("no-flow", *high))
    cured = check_of(*long, (10, "to", height), (11, "height", height))
    assert cured.condensers[0].flow_low >= cured.condensers[0].needed_flow


def test_a_scoop_that_faces_aft_is_mended_before_a_pump_is_told():
    fast: list[Change] = [("boat", "speed", "11 knot"), ("condenser", "flow_per_ton", "200 gal/h")]
    fix = fix_of("flow-marginal", *fast, (1, "facing", "aft"))
    assert "flush grate" in fix
    cured = check_of(*fast, (1, "facing", "flush"))
    assert cured.condensers[0].flow_low >= cured.condensers[0].needed_flow
    assert number(r": (\d+) gal/h", fix) == f"{cured.condensers[0].flow * 3600 / GALLON:.0f}"
    # Where a flush grate is not enough it is no cure.
    assert "flush grate" not in fix_of(
        "flow-short", fast[0], (1, "facing", "aft"), ("condenser", "flow_per_ton", "260 gal/h")
    )


def test_a_high_discharge_is_brought_down_before_a_pump_is_told():
    long: list[Change] = [(10, "length", "12 ft")]
    fix = fix_of("flow-short", *long, (10, "to", "70 in"), (11, "height", "70 in"))
    height = number(r"down from 70.0 in to ([\d.]+ in)", fix)
    cured = check_of(*long, (10, "to", height), (11, "height", height))
    assert cured.condensers[0].flow_low >= cured.condensers[0].needed_flow
    # And an inch higher is not enough.
    higher = f"{float(height.split()[0]) + 1.5} in"
    still = check_of(*long, (10, "to", higher), (11, "height", higher))
    assert still.condensers[0].flow_low < still.condensers[0].needed_flow


def test_fix_of_too_much_flow_names_a_valve_angle_that_leaves_what_it_says():
    small: Change = ("condenser", "cooling", "6000 BTU/h")
    fix = fix_of("flow-excess", small)
    left = with_valve(number(r"(\d+)° from", fix), small).point.flow
    said = parse(number(r"leaves (\d+ gal/h)", fix), "flow")
    assert left == pytest.approx(said, rel=5e-3)
    assert "flow-excess" not in codes(with_valve(number(r"(\d+)° from", fix), small))


def test_a_fast_tube_is_throttled_only_where_the_need_allows_it():
    narrow: Change = (9, "tube_bore", "0.4 in")
    angle = number(r"(\d+)° from", fix_of("tube-fast", narrow))
    eased = with_valve(angle, narrow)
    assert eased.condensers[0].flow >= eased.condensers[0].needed_flow
    # Within a whole degree of the limit.
    assert velocity(eased.condensers[0].flow, 0.4 * 0.0254) == pytest.approx(TUBE_MOST, rel=0.03)
    needy: Change = ("condenser", "flow_per_ton", "215 gal/h")
    bore = number(r"takes ([\d.]+ in) or more", fix_of("tube-fast", narrow, needy))
    wider = float(bore.split()[0]) + 0.06  # and for the flow above the need
    assert "tube-fast" not in codes(check_of((9, "tube_bore", f"{wider} in"), needy))


def test_a_slow_hose_or_tube_is_not_told_to_change_against_the_flow():
    slow: Change = (10, "bore", "1-1/2 in")
    bore = number(r"^([\d/-]+ in) hose carries", fix_of("hose-slow", slow))
    smaller = check_of((10, "bore", bore))
    assert "hose-slow" not in codes(smaller)
    assert smaller.condensers[0].flow_low >= smaller.condensers[0].needed_flow
    assert "hose carries" not in fix_of(
        "hose-slow", slow, ("condenser", "flow_per_ton", "225 gal/h")
    )
    wide: list[Change] = [(9, "tube_bore", "0.4 in"), (9, "tubes", 8)]
    assert "more than the unit has use for" in fix_of("tube-slow", *wide)


def test_only_an_intake_that_heel_lifts_is_told_to_move_inboard():
    shallow: list[Change] = [(1, "height", "-2 in"), (3, "length", "3 ft")]
    assert "off the centreline" not in fix_of("intake-shallow", *shallow)
    heeled = [(1, "off_centre", "40 in"), ("boat", "heel", "20 deg")]
    nearer = number(r"move it to ([\d.]+ ft) off", fix_of("intake-shallow", *heeled))
    assert "intake-shallow" not in codes(check_of((1, "off_centre", nearer), heeled[1]))


def test_a_discharge_is_told_how_far_to_come_up():
    low: list[Change] = [(10, "to", "-3 in"), (11, "height", "-3 in")]
    height = number(r"to ([\d.]+ in) above", fix_of("discharge-under-water", *low))
    cured = codes(check_of((10, "to", height), (11, "height", height)))
    assert not cured & {"discharge-under-water", "discharge-high"}
    level = check_of((10, "to", "0 in"), (11, "height", "0 in"))
    assert any("at the waterline" in f.message for f in level.findings)


def test_a_condensing_limit_below_what_the_sea_allows_is_told_as_such():
    limit: Change = ("condenser", "condensing_watch", "80 degF")
    above = number(r"set it above (\d+) °F", fix_of("condensing-high", limit))
    cured = check_of(("condenser", "condensing_watch", f"{int(above) + 1} degF"))
    assert "condensing-high" not in codes(cured)
    short = fix_of("condensing-high", limit, *CASES["flow-short"])
    assert short.startswith("bring the flow up to the need first, which makes it ")


def test_a_flow_too_small_for_any_ball_valve_takes_an_orifice():
    fix = fix_of("flow-excess", ("condenser", "cooling", "200 BTU/h"))
    assert "ball valve after" not in fix
    assert "fit an orifice of K" in fix


@pytest.mark.parametrize(("code", "hoses"), [("hose-fast", [8]), ("suction-fast", [3, 5])])
@pytest.mark.parametrize("bore", ["3/8 in", "1/2 in"])
def test_fix_of_a_fast_hose_names_a_bore_that_cures_it_though_more_flows(code, hoses, bore):
    strong: list[Change] = [(6, "curve", "demo-ac-1000"), (8, "length", "3 ft")]
    fix = fix_of(code, *strong, *((hose, "bore", bore) for hose in hoses))
    larger = number(r"fit ([\d/-]+ in) hose", fix)
    assert code not in codes(check_of(*strong, *((hose, "bore", larger) for hose in hoses)))


def test_a_bleed_that_draws_air_is_told_where_it_would_not():
    data = changed()
    data["part"].insert(5, {"kind": "bleed", "label": "suction bleed"})
    (fix,) = (f.fix for f in check(parse_job(data)).findings if f.code == "bleed-draws-air")
    assert fix == (
        "open it only with the pump stopped, or take it out: the pump's outlet has a bleed"
    )
    del data["part"][7]
    (fix,) = (f.fix for f in check(parse_job(data)).findings if f.code == "bleed-draws-air")
    assert fix.endswith("move it to just after the pump, at -10.0 in")


def test_no_condensing_temperature_is_told_that_no_unit_would_live_to_see():
    starved: list[Change] = [(4, "blocked", "98 %"), ("condenser", "cooling", "60000 BTU/h")]
    result = check_of(*starved, ("condenser", "condensing_stop", "115 degF"))
    assert result.condensers[0].condensing_temperature > 100
    (told,) = (f.message for f in result.findings if f.code == "condensing-high")
    assert "would condense over 140 °F, where it trips first" in told


@pytest.mark.parametrize(
    ("arrangement", "how", "heads", "flows", "length"),
    [("series", "in line", 2, 1, "650 ft"), ("parallel", "side by side", 1, 2, "230 ft")],
)
def test_what_two_pumps_must_give_is_told_of_the_two(
    arrangement: str, how: str, heads: int, flows: int, length: str
) -> None:
    """Two pumps that give it together, each its half of head or flow, cure what was short."""
    pair: list[Change] = [(6, "count", 2), (6, "arrangement", arrangement)]
    poor: list[Change] = [(6, "curve", "demo-dc-150"), (8, "length", length)]
    fix = fix_of("flow-short", *pair, *poor)
    found = re.search(rf"it takes 2 pumps {how} that together give about ([\d.]+ ft) at (\d+)", fix)
    assert found is not None, fix
    head, flow = parse(found[1], "length"), parse(f"{found[2]} gal/h", "flow")
    each = PumpCurve(
        name="demo-of-the-pair",
        drive="dc",
        rated_supply=12.0,
        port=0.0254,
        curve=Curve(
            flow=Series(unit="m3/s", values=tuple(s * flow / flows for s in (0.0, 0.5, 1.0, 1.5))),
            head=Series(unit="m", values=tuple(s * head / heads for s in (1.4, 1.25, 1.0, 0.5))),
        ),
    )
    cured = check_of(*pair, *poor, (6, "curve", each))
    assert cured.condensers[0].flow == pytest.approx(flow, rel=0.01)
    assert cured.condensers[0].flow_low == pytest.approx(cured.condensers[0].needed_flow, rel=0.05)


def test_a_pump_of_the_catalogue_is_told_for_each_of_a_group() -> None:
    pair: list[Change] = [(6, "count", 2), (6, "arrangement", "series"), (8, "length", "230 ft")]
    fix = fix_of("flow-short", *pair, (6, "curve", "demo-dc-150"))
    found = re.search(r"fit 2 pumps in line like ([\w-]+) \([\d.]+ ft each at shut-off\)", fix)
    assert found is not None, fix
    cured = check_of(*pair, (6, "curve", found[1]))
    assert cured.condensers[0].flow_low >= cured.condensers[0].needed_flow
