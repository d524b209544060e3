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
from tests.loops import changed, check_of, codes, job_of, plain_loop

Change = tuple[str | int, str, Any]
KINDS = (Bleed, Condenser, Discharge, Hose, Intake, Pump, Seacock, Strainer)

# What to change on the plain loop (part number, key, value), and the code that this must bring.
CASES = {
    "flow-short": [("defaults", "bore", "1/2 in"), (8, "length", "30 ft")],
    "flow-marginal": [("condenser", "flow_per_ton", "225 gal/h")],
    "flow-excess": [("condenser", "cooling", "6000 BTU/h")],
    "no-flow": [(2, "open", "0 %")],
    "beyond-curve": [
        ("boat", "speed", "14 knot"),
        (1, "facing", "forward"),
        ("defaults", "bore", "1-1/4 in"),
        (9, "loss", "0.2 psi at 240 gal/h"),
    ],
    "intake-shallow": [
        (1, "height", "-12 in"),
        (1, "off_centre", "40 in"),
        ("boat", "heel", "20 deg"),
    ],
    "intake-facing-aft": [(1, "facing", "aft"), ("boat", "speed", "6 knot")],
    "suction-hump": [(3, "length", "5 ft"), (3, "via", ["-4 in", "-14 in"])],
    "suction-above-water": [(3, "length", "5 ft"), (3, "via", ["3 in"])],
    "pump-above-water": [(5, "to", "2 in"), (5, "length", "3 ft")],
    "strainer-above-water": [(3, "to", "2 in"), (3, "length", "3 ft"), (5, "to", "3 in")],
    "start-head-short": [(8, "via", ["8 ft", "-6 in", "8 ft"]), (8, "length", "60 ft")],
    "air-held": [
        ("defaults", "bore", "1-1/4 in"),
        (8, "via", ["34 in", "4 in"]),
        (8, "length", "15 ft"),
    ],
    "bleed-missing": [(7, "kind", "tee")],
    "bleed-in-sag": [],  # needs parts of its own: see below
    "bleed-draws-air": [],
    "cavitation": [],
    "suction-fast": [(3, "bore", "1/2 in"), (5, "bore", "1/2 in")],
    "hose-fast": [
        (8, "bore", "3/8 in"),
        (9, "loss", "0.1 psi at 240 gal/h"),
        (8, "length", "3 ft"),
    ],
    "hose-slow": [(10, "bore", "1-1/2 in")],
    "tube-fast": [(9, "tube_bore", "0.4 in")],
    "tube-slow": [(9, "tube_bore", "0.4 in"), (9, "tubes", 6)],
    "condensing-high": [("condenser", "condensing_watch", "80 degF")],
    "discharge-under-water": [(10, "to", "-3 in"), (11, "height", "-3 in")],
    "discharge-high": [(10, "to", "30 in"), (11, "height", "30 in")],
    "bore-step": [(10, "bore", "1/2 in")],
}


def test_plain_loop_is_good_and_has_nothing_worse_than_a_note():
    result = check(parse_job(plain_loop()))
    assert result.verdict == "good"
    assert {finding.level for finding in result.findings} <= {"note"}


@pytest.mark.parametrize("code", [code for code, changes in CASES.items() if changes])
def test_each_code_comes_from_its_own_mistake_only(code):
    assert code not in codes(check_of())
    result = check_of(*CASES[code])
    assert code in codes(result)
    finding = next(f for f in result.findings if f.code == code)
    assert finding.where
    assert finding.message
    assert finding.fix
    assert finding.source


def test_bleed_in_sag_and_bleed_that_draws_air():
    data = plain_loop()
    data["part"][7:8] = [
        {"kind": "hose", "length": "4 ft", "to": "12 in"},
        {"kind": "hose", "length": "4 ft", "to": "-8 in"},
        {"kind": "bleed", "label": "low bleed"},
        {"kind": "hose", "length": "4 ft", "to": "10 in"},
    ]
    assert any(
        f.code == "bleed-in-sag" and "low bleed" in f.where for f in check(parse_job(data)).findings
    )
    data = plain_loop()
    data["part"].insert(5, {"kind": "bleed", "label": "suction bleed"})
    result = check(parse_job(data))
    station = next(s for s in result.point.stations if s.label == "suction bleed")
    assert station.gauge_pressure < 0
    assert any(f.code == "bleed-draws-air" and "suction bleed" in f.where for f in result.findings)


def test_cavitation_is_a_danger_below_the_pump_s_need_and_a_warning_just_above():
    pump = job_of().pump.curve
    fields = {name: getattr(pump, name) for name in PumpCurve.model_fields}
    available = check_of().pump.npsh_available
    for share, level in ((1.2, "danger"), (0.85, "warning"), (0.5, None)):
        head = share * available
        row = Series(unit="m", values=(head,) * len(pump.curve.flow.values))
        curve = pump.curve.model_copy(update={"npsh_required": row})
        result = check_of((6, "curve", PumpCurve(**{**fields, "curve": curve})))
        found = {f.level for f in result.findings if f.code == "cavitation"}
        assert found == ({level} if level else set())


def test_verdict_follows_the_rule_of_the_contract():
    for changes in CASES.values():
        result = check_of(*changes)
        levels = {finding.level for finding in result.findings}
        short = any(c.flow < c.needed_flow for c in result.condensers)
        low = any(c.flow_low < c.needed_flow for c in result.condensers)
        if short or "danger" in levels:
            expected = "bad"
        elif low or "warning" in levels:
            expected = "attention"
        else:
            expected = "good"
        assert result.verdict == expected


def test_self_priming_pump_may_stand_above_the_water():
    changes = CASES["pump-above-water"]
    assert "pump-above-water" in codes(check_of(*changes))
    pump = job_of().pump.curve.model_copy(update={"self_priming": True})
    assert "pump-above-water" not in codes(check_of(*changes, (6, "curve", pump)))


def test_parts_built_in_code_take_the_defaults_as_text_too():
    written = plain_loop()
    kinds: dict[str, type[Part]] = {part.model_fields["kind"].default: part for part in KINDS}
    built = [kinds[part["kind"]](**part) for part in written["part"]]
    assert check(Job(**{**written, "part": built})).point.flow == check_of().point.flow


def test_the_start_is_judged_on_the_lowest_supply_that_the_job_names():
    changes: list[Change] = [(6, "curve", "demo-dc-320"), (8, "via", ["3.8 ft"])]
    assert "start-head-short" not in codes(check_of(*changes))
    result = check_of(*changes, ("sizing", "lowest_supply", "7 V"))
    (short,) = (f for f in result.findings if f.code == "start-head-short")
    assert "3.6 ft at no flow on 7.0 V, the lowest supply" in short.message  # 10.5 ft x (7/12)^2
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
    assert any("sinks boats" in text for text in check_of().cautions)


def test_unknown_part_of_the_plain_loop_is_not_silently_dropped():
    with pytest.raises(ValueError, match="unknown kind 'hoze'"):
        parse_job(changed((3, "kind", "hoze")))
