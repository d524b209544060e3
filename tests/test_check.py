"""Every finding: the loop that has it, the loop that lacks it, and the verdict."""

import math
from typing import Any

import pytest

from loop.check import check, to_json
from loop.job import Job, parse_job
from loop.parts import (
    Bleed,
    Condenser,
    Discharge,
    Hose,
    Intake,
    Part,
    Pump,
    Seacock,
    Strainer,
)
from loop.pumps import PumpCurve, Series
from loop.words.actions import ChangePump
from loop.words.cautions import BELOW_WATER
from tests.branches import branched
from tests.loops import changed, check_of, codes, found, job_of, plain_loop
from tests.test_codes import CASES, low_bleed, suction_bleed

Change = tuple[str | int, str, Any]
KINDS = (Bleed, Condenser, Discharge, Hose, Intake, Pump, Seacock, Strainer)


def test_plain_loop_is_good_and_has_nothing_worse_than_a_note():
    result = check(parse_job(plain_loop()))
    assert result.verdict == "good"
    assert {finding.level for finding in result.findings} <= {"note"}


def test_bleeds_are_judged_where_they_sit() -> None:
    (low,) = found(check(low_bleed()), "bleed-in-sag")
    assert low.at.part == "part[10]"
    result = check(suction_bleed())
    station = next(s for s in result.point.stations if s.label == "suction bleed")
    assert station.gauge_pressure < 0
    assert [one.at.part for one in found(result, "bleed-draws-air")] == ["part[6]"]


@pytest.mark.parametrize("side", ["in use", None])
@pytest.mark.parametrize(("at", "where"), [(3, ""), (7, "after"), (9, "drain"), (10, "drain")])
def test_a_tee_takes_from_the_units_before_it_is_past_the_last(
    at: int, where: str, side: str | None
) -> None:
    table = plain_loop()
    table["part"].insert(at, {"kind": "tee"} | ({} if side is None else {"side": side}))
    (one,) = found(check(parse_job(table), fixes=False), "tee-open")
    case = "-".join(word for word in (where, "used" if side else "") if word)
    assert one.values.get("case", "") == case
    assert one.level == ("warning" if side or not where else "note")


def with_rows(**rows: Series | None) -> PumpCurve:
    """The plain loop's pump under another name, with these rows of its curve."""
    pump = job_of().pump.curve
    fields = {name: getattr(pump, name) for name in PumpCurve.model_fields}
    curve = pump.curve.model_copy(update=rows)
    return PumpCurve(**{**fields, "name": "demo-odd", "curve": curve})


def test_cavitation_is_a_danger_below_the_pump_s_need_and_a_warning_just_above():
    pump = job_of().pump.curve
    available = check_of().pump.npsh_available
    for share, level in ((1.2, "danger"), (0.85, "warning"), (0.5, None)):
        head = share * available
        row = Series(unit="m", values=(head,) * len(pump.curve.flow.values))
        result = check_of((6, "curve", with_rows(npsh_required=row)))
        found = {f.level for f in result.findings if f.code == "cavitation"}
        assert found == ({level} if level else set())


def test_a_pump_that_needs_nearly_all_suction_head_there_is_gives_way_to_another() -> None:
    """No hose and no mounting gains 8 ft on a suction under water."""
    pump = job_of().pump.curve
    head = 0.97 * check_of().pump.npsh_available
    row = Series(unit="m", values=(head,) * len(pump.curve.flow.values))
    (finding,) = found(check(job_of((6, "curve", with_rows(npsh_required=row)))), "cavitation")
    assert isinstance(finding.actions[0], ChangePump)


@pytest.mark.parametrize("more", [1.0, 2.0])
def test_a_curve_that_ends_too_early_asks_for_a_pump_for_the_need(more: float) -> None:
    """Not for one that gives what the curve, drawn on in a straight line, promises."""
    rows = job_of().pump.curve.curve
    flow, head = (
        Series(unit=row.unit, values=tuple(factor * value for value in row.values[:3]))
        for row, factor in ((rows.flow, 1.0), (rows.head, more))
    )
    pump = with_rows(flow=flow, head=head, power=None, npsh_required=None)
    job = job_of((6, "curve", pump))
    (finding,) = found(check(job), "beyond-curve")
    first = finding.actions[0]
    assert isinstance(first, ChangePump)
    (unit,) = check(first.apply(job), fixes=False).condensers
    assert unit.needed_flow <= unit.flow_low <= unit.flow < 1.5 * unit.needed_flow


def test_self_priming_pump_may_stand_above_the_water():
    changes = CASES["pump-above-water"]
    assert "pump-above-water" in codes(check_of(*changes))
    pump = job_of().pump.curve.model_copy(update={"self_priming": True})
    assert "pump-above-water" not in codes(check_of(*changes, (6, "curve", pump)))


def test_self_priming_pump_blows_its_air_out_without_a_bleed():
    changes = CASES["bleed-missing"]
    pump = job_of().pump.curve.model_copy(update={"self_priming": True})
    assert "bleed-missing" in codes(check_of(*changes))
    assert "bleed-missing" not in codes(check_of(*changes, (6, "curve", pump)))


@pytest.mark.parametrize(
    ("outlet", "first"), [("5 in", ["remove-part", "set-height"]), ("-5 in", ["set-height"])]
)
def test_a_low_vented_loop_that_keeps_nothing_out_is_taken_out(
    outlet: str, first: list[str]
) -> None:
    table = changed((10, "to", outlet), (11, "height", outlet))
    table["part"].insert(10, {"kind": "seacock"})
    table["part"].insert(9, {"kind": "vented loop"})
    table["part"][7]["to"] = "-2 in"
    result = check(parse_job(table))
    (low,) = found(result, "part-order")
    assert low.values["case"] == "vent-low"
    assert [action.steps[0].kind for action in low.actions] == first
    assert not found(check(low.actions[0].apply(result.job)), "part-order")


@pytest.mark.parametrize(
    ("pump_at", "primes", "valve", "shut_in"),
    [
        ("6 in", True, 7, True),
        # At the end of the line no water stands over it; and under water the sea fills the pump.
        ("6 in", True, 11, False),
        ("-10 in", True, 7, False),
        ("-10 in", False, 7, False),
    ],
)
def test_a_pump_that_primes_itself_blows_no_air_out_under_a_check_valve(
    pump_at: str, primes: bool, valve: int, shut_in: bool
) -> None:
    table = changed((5, "to", pump_at), (8, "to", "20 in"))
    table["part"].insert(valve - 1, {"kind": "check valve"})
    pump = job_of().pump.curve.model_copy(update={"self_priming": primes})
    table["part"] = [{**p, "curve": pump} if p["kind"] == "pump" else p for p in table["part"]]
    result = check(parse_job(table))
    orders = found(result, "part-order")
    assert [one.values["case"] for one in orders] == ["shut-in"] * shut_in
    assert all(
        not found(check(a.apply(result.job)), "part-order") for f in orders for a in f.actions
    )
    assert all(one.actions for one in orders)


@pytest.mark.parametrize(
    ("dip", "valve", "feet"),
    [
        # From 3 ft to -1 ft and up to 7 ft: all 8 ft of the riser, and 3 ft of lift.
        ("-1 ft", False, 8.0),
        # From 3 ft to 2 ft: at most 2 ft of water, 5 ft with the lift; small pumps manage 1.5 m.
        ("2 ft", False, 2.0),
        ("2.5 ft", False, None),
        ("4 ft", False, None),
        # A foot valve keeps the pump full: it has no air to blow out.
        ("-1 ft", True, None),
    ],
)
def test_a_pump_that_primes_itself_blows_no_air_out_through_a_dip(
    dip: str, valve: bool, feet: float | None
) -> None:
    table = changed((5, "to", "3 ft"), (5, "length", "5 ft"), (6, "curve", "demo-dc-prime-400"))
    table["part"][7] |= {"length": "20 ft", "via": [dip], "to": "7 ft"}
    table["part"][9] |= {"length": "10 ft"}
    table["part"][2:2] = [{"kind": "check valve"}] * valve
    result = check(parse_job(table))
    orders = found(result, "part-order")
    assert [one.values["case"] for one in orders] == ["dip"] * (feet is not None)
    for one in orders:
        assert one.values["column"] == pytest.approx((feet or 0) * 0.3048)
        assert one.level == "warning"
        assert not found(check(one.actions[0].apply(result.job)), "part-order")


@pytest.mark.parametrize(("valves", "shut_in"), [(1, False), (2, True)])
def test_air_leaves_by_the_branch_that_lets_it_out(valves: int, shut_in: bool) -> None:
    """A check valve in one of two branches holds no air in the pump, and one in each does."""
    table = branched(2).model_dump(mode="json", exclude_none=True)
    table["part"][4].update(to=0.3, length=2.0)
    table["part"][5]["curve"] = "demo-dc-prime-400"
    table["part"][7].update(to=0.3)
    for number, way in enumerate(table["part"][8]["branch"]):
        way["part"][0].update(to=1.0, length=4.0)
        way["part"][2].update(length=4.0)
        way["part"][:0] = [{"kind": "check valve", "bore": "1/2 in"}] * (number < valves)
    orders = found(check(Job.model_validate(table), fixes=False), "part-order")
    assert [one.values["case"] for one in orders] == ["shut-in"] * (valves if shut_in else 0)


@pytest.mark.parametrize(
    ("cooling", "rated", "hose", "doubted"),
    [
        # 3.5 kW of cooling typed as the 1.1 kW that it draws: a third of the need.
        ("1.1 kW", "180 gal/h", "120 ft", True),
        ("3.5 kW", "180 gal/h", "120 ft", False),
        ("1.1 kW", "150 gal/h", "120 ft", False),
        # As much flows as the condenser is rated at: no need of it is missed.
        ("1.1 kW", "180 gal/h", "10 ft", False),
    ],
)
def test_a_need_far_under_the_flow_that_a_condenser_is_rated_at_is_doubted(
    cooling: str, rated: str, hose: str, doubted: bool
) -> None:
    coil = (9, "loss", f"1.5 psi at {rated}")
    result = check_of(("condenser", "cooling", cooling), coil, (8, "length", hose))
    cases = [one.values.get("case") for one in found(result, "need-doubtful")]
    assert cases == ["rated"] * doubted


@pytest.mark.parametrize(
    ("length", "bends", "radius", "kinked"),
    [
        # Three times 90 degrees in 6 in: 1.3 in of radius, of the 1.5 in of twice the bore.
        ("6 in", ["90 deg"] * 3, None, "short"),
        # Two barbs of 0.6 in keep 2.4 in straight: 5.6 in are left for the bends, then 7.6 in.
        ("8 in", ["90 deg"] * 3, None, "short"),
        ("10 in", ["90 deg"] * 3, None, None),
        ("8 in", ["90 deg"] * 3, "1 in", ""),
        ("10 ft", ["90 deg"] * 3, None, None),
    ],
)
def test_bends_that_a_hose_is_too_short_for_kink_it(
    length: str, bends: list[str], radius: str | None, kinked: str | None
) -> None:
    result = check_of((5, "length", length), (5, "sweeps", bends), (5, "bend_radius", radius))
    cases = [one.values.get("case") or "" for one in found(result, "hose-kinked")]
    assert cases == ([] if kinked is None else [kinked])


@pytest.mark.parametrize(
    ("needed", "per_ton", "doubted"),
    [
        ("150 gal/h", "280 gal/h", True),
        ("280 gal/h", "150 gal/h", False),
        ("280 gal/h", "280 gal/h", False),
        ("150 gal/h", None, False),
        # Enough by both.
        ("150 gal/h", "180 gal/h", False),
    ],
)
def test_a_need_stated_twice_is_doubted_where_the_greater_is_not_met(
    needed: str, per_ton: str | None, doubted: bool
) -> None:
    stated: list[Change] = [("condenser", "flow_needed", needed)]
    stated += [("condenser", "flow_per_ton", per_ton)] if per_ton else []
    cases = [one.values["case"] for one in found(check_of(*stated), "need-doubtful")]
    assert cases == ["twice"] * doubted


def test_parts_built_in_code_take_the_defaults_as_text_too():
    written = plain_loop()
    kinds: dict[str, type[Part]] = {part.model_fields["kind"].default: part for part in KINDS}
    built = [kinds[part["kind"]](**part) for part in written["part"]]
    assert check(Job(**{**written, "part": built})).point.flow == check_of().point.flow


def test_the_start_is_judged_on_the_lowest_supply_that_the_job_names():
    changes: list[Change] = [(6, "curve", "demo-dc-320"), (8, "via", ["3.8 ft"])]
    assert "start-head-short" not in codes(check_of(*changes))
    result = check_of(*changes, ("sizing", "lowest_supply", "7 V"))
    # 10.5 ft x (7/12)^2
    (finding,) = found(result, "start-head-short")
    assert finding.values["supply"] == 7.0
    assert finding.values["held"] == pytest.approx(10.5 * 0.3048 * (7 / 12) ** 2, rel=0.01)
    # An AC pump's speed does not follow its voltage.
    assert "start-head-short" not in codes(check_of(changes[1], ("sizing", "lowest_supply", "7 V")))


def test_json_holds_the_contract_and_no_number_that_json_lacks():
    for changes in ([], CASES["no-flow"]):
        table = to_json(check_of(*changes))
        assert set(table) >= {
            "units",
            "verdict",
            "pump",
            "condensers",
            "stations",
            "findings",
            "cautions",
        }
        assert set(table["pump"]) >= {
            "name",
            "flow",
            "head",
            "power",
            "shutoff_head",
            "start_head",
            "npsh_available",
            "npsh_required",
        }
        for row in (table["pump"], *table["condensers"], *table["stations"]):
            assert all(math.isfinite(v) for v in row.values() if isinstance(v, float))


def test_caution_about_open_fittings_needs_an_intake_below_the_water():
    assert BELOW_WATER in check_of().cautions


def test_unknown_part_of_the_plain_loop_is_not_silently_dropped():
    with pytest.raises(ValueError, match="unknown kind 'hoze'"):
        parse_job(changed((3, "kind", "hoze")))


def test_what_burns_or_sinks_comes_before_what_runs_the_pump_dry() -> None:
    """A high point above the water, wrong mains, and no seacock: each is a danger."""
    hump = [(5, "length", "9 ft"), (5, "via", ["12 in"])]
    mains = check_of(*hump, (6, "supply", "230 V"))
    assert [one.code for one in mains.findings[:2]] == ["supply-wrong", "suction-above-water"]
    table = changed(*hump)
    del table["part"][1]
    hull = check(parse_job(table), fixes=False)
    assert [one.code for one in hull.findings[:2]] == ["seacock-missing", "suction-above-water"]
