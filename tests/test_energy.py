"""What the water costs in battery: draw, hours, the pump's share, and the best flow."""

import math
import re
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from CoolProp.CoolProp import PropsSI
from hypothesis import given
from hypothesis import strategies as st
from pydantic import ValidationError

from loop.check import check
from loop.draw import draw
from loop.hydraulics import Cases, solve, solve_flows
from loop.job import Job, JobError, Supply, Unit, parse_job
from loop.job.electrical import MIN_CONDENSING, Draw
from loop.margins.battery import pump_draw, running_hours, running_stages, usable_charge
from loop.margins.energy import COMPARED, at_condensing, draw_curve, energy
from loop.margins.heat import Exchanger, condensing_temperature, conductance, unit_rise
from loop.margins.warming import inlet_rises
from loop.pumps import load_pump
from loop.seawater import Water
from loop.sheet.inputs import as_toml, tables
from loop.size import size, with_sizing
from loop.units import parse, show
from loop.words.check_report import SAY
from loop.words.figures import SAY as FIGURE
from tests.command_line import loop
from tests.drawn_jobs import assert_words_apart, text_boxes
from tests.loops import changed, job_of
from tests.said import pattern

BANK = Supply(battery=300.0, batteries=2, voltage=12.0, draw=(47.0, 24.0))


@pytest.mark.parametrize(("draw", "low", "high"), [(47.0, 10.0, 11.0), (24.0, 20.5, 21.5)])
def test_hours_of_the_trades_two_batteries(draw: float, low: float, high: float) -> None:
    # Common practice, no source: two 300 A.h lithium batteries, 85 % usable, run a little over
    # 10 hours at 47 A in all, and about 21 at 24 A.
    assert low < running_hours(BANK, draw) < high


def test_usable_charge_by_hand() -> None:
    assert usable_charge(BANK) == pytest.approx(2 * 300 * 0.85)


def test_an_ac_pump_is_fed_through_the_inverter_and_a_dc_pump_is_not() -> None:
    assert pump_draw(BANK, load_pump("demo-ac-350"), 54.0) == pytest.approx(54 / 12 / 0.9)
    assert pump_draw(BANK, load_pump("demo-dc-320"), 54.0) == pytest.approx(54 / 12)


def test_the_same_pump_leaves_the_draw_as_stated() -> None:
    stages = running_stages(BANK, pump_included=4.0, pump=4.0)
    assert [stage.draw for stage in stages] == [47.0, 24.0]
    assert stages[1].pump_share == pytest.approx(4 / 24)


def test_a_thirstier_pump_costs_its_excess_at_every_stage() -> None:
    stages = running_stages(BANK, pump_included=4.0, pump=10.0)
    assert [stage.draw for stage in stages] == [53.0, 30.0]
    assert stages[0].hours == pytest.approx(510 / 53)


def test_hours_fall_as_draw_rises_and_charge_is_conserved() -> None:
    hours = [running_hours(BANK, draw) for draw in (5.0, 10.0, 40.0)]
    assert hours[0] > hours[1] > hours[2]
    assert hours[2] * 40.0 == pytest.approx(usable_charge(BANK))


def test_without_a_bank_or_a_power_there_are_no_hours() -> None:
    assert running_stages(None, 4.0, 4.0) == ()
    assert all(math.isnan(stage.hours) for stage in running_stages(BANK, math.nan, 4.0))


# The compressor by its condensing temperature


def unit(**fields: Any) -> Unit:
    plain = {"name": "saloon", "cooling": "9000 BTU/h", "electrical": "620 W at 100 degF"}
    return Unit.model_validate({**plain, **fields}, context={"text": True})


def cycle_work(fluid: str, condensing: float, evaporating: float = 7.0) -> float:
    """Work for cooling [-] of a vapor-compression cycle; temperatures in °C.

    Superheat 5 K, subcooling 3 K, isentropic efficiency 0.65; properties by CoolProp.
    """
    low, high = evaporating + 273.15, condensing + 273.15
    suction = PropsSI("P", "T", low, "Q", 1, fluid)
    discharge = PropsSI("P", "T", high, "Q", 1, fluid)
    start = PropsSI("H", "T", low + 5, "P", suction, fluid)
    ideal = PropsSI(
        "H", "S", PropsSI("S", "T", low + 5, "P", suction, fluid), "P", discharge, fluid
    )
    liquid = PropsSI("H", "T", high - 3, "P", discharge, fluid)
    return float((ideal - start) / 0.65 / (start - liquid))


@pytest.mark.parametrize(("fluid", "ratio"), [("R410A", 2.21), ("R32", 2.14), ("R134a", 2.12)])
def test_power_follows_condensing_within_a_fifth_of_a_compression_cycle(
    fluid: str, ratio: float
) -> None:
    assert cycle_work(fluid, 50) / cycle_work(fluid, 30) == pytest.approx(ratio, abs=0.01)
    line = unit(evaporating="7 degC", electrical="600 W at 40 degC").power_line
    assert line is not None
    assert line.power(50) / line.power(30) == pytest.approx(43 / 23)
    for hot in range(25, 60, 5):
        cycle = cycle_work(fluid, hot) / cycle_work(fluid, 40)
        assert line.power(hot) / 600 == pytest.approx(cycle, rel=0.2)


def test_two_stated_points_lie_on_the_line_and_the_fan_draws_the_same_at_each() -> None:
    line = unit(electrical=["500 W at 30 degC", "700 W at 40 degC"]).power_line
    assert line is not None
    assert [line.power(at) for at in (30.0, 35.0, 40.0)] == pytest.approx([500, 600, 700])
    with_fan = unit(electrical="620 W at 100 degF", evaporating="45 degF", fan="60 W").power_line
    assert with_fan is not None
    # Worked by hand: 60 + 560 (80 − 45)/(100 − 45).
    assert with_fan.power(parse("80 degF", "temperature")) == pytest.approx(60 + 560 * 35 / 55)
    assert with_fan.power(0.0) == with_fan.power(MIN_CONDENSING)


@pytest.mark.parametrize(
    ("fields", "why"),
    [
        ({"electrical": "620 W"}, "is not a power at a condensing temperature"),
        ({"electrical": 620}, "620"),
        ({"electrical": ["600 W at 40 degC", "700 W at 30 degC"]}, "two points must rise"),
        ({"electrical": "620 W at 45 degF"}, "must be above evaporating"),
        ({"fan": "700 W"}, "fan must be less than electrical"),
        ({"stage": [{"name": "low", "cooling": "9 kW", "electrical": "1 W at 90 degF"}]},
         "a stage cools no more than the unit"),
        ({"electrical": None, "stage": [
            {"name": "low", "cooling": "1 kW", "electrical": "9 W at 90 degF"}]},
         "electrical of the full stage must be given too"),
    ],
)  # fmt: skip
def test_a_draw_that_cannot_be_is_refused(fields: dict[str, Any], why: str) -> None:
    with pytest.raises(ValidationError, match=why):
        unit(**fields)


@given(st.floats(0.3, 3.0), st.floats(5, 32), st.floats(0.5, 1.5))
def test_heat_and_power_are_solved_together(share: float, sea: float, heat: float) -> None:
    """The compressor's power at that temperature is rejected along with the cooling load."""
    one, water = unit(), Water(temperature=sea, salinity=35.0)
    flow = share * one.needed_flow
    hot = float(condensing_temperature(one, flow, sea, water, Exchanger(heat=heat)))
    rise = float(unit_rise(one, flow, sea, water, Exchanger(heat=heat)))
    line = one.power_line
    assert line is not None
    carried = water.density * water.heat_capacity * flow
    assert rise * carried == pytest.approx(heat * (one.cooling + line.power(hot)))
    effectiveness = -math.expm1(-float(conductance(one, flow, water)) / carried)
    assert hot == pytest.approx(sea + rise / effectiveness)


def boat(sea: str = "75 degF", **fields: Any) -> Job:
    rated = {"electrical": "620 W at 100 degF", "cooling": "9000 BTU/h", **fields}
    low = {"name": "low", "cooling": "4500 BTU/h", "electrical": "260 W at 90 degF"}
    bank = {"battery": "300 Ah", "batteries": 2, "voltage": "12.8 V"}
    saloon = {"name": "saloon", **rated, "stage": [low]}
    loop = changed(("water", "temperature", sea), (6, "curve", "demo-ac-250"))
    return parse_job({**loop, "condenser": [saloon], "supply": bank})


def test_the_check_and_the_battery_have_one_condensing_temperature() -> None:
    result = check(boat())
    found = energy(result.point)
    assert found is not None
    assert found.stages[0].units[0].condensing_temperature == pytest.approx(
        result.condensers[0].condensing_temperature
    )


def test_the_check_shows_draw_and_hours_where_they_are_stated(tmp_path: Path) -> None:
    result = check(boat())
    assert result.energy == energy(result.point)
    (unit,) = result.to_dict()["condensers"]
    assert unit["electrical"] == pytest.approx(energy(result.point).stages[0].units[0].power)  # type: ignore[union-attr]
    assert result.to_dict()["energy"]["stages"][1]["stage"] == "low"
    assert check(job_of()).to_dict()["energy"] is None
    path = tmp_path / "boat.toml"
    path.write_text(as_toml(tables(boat())), "utf-8")
    shown = " ".join(loop("check", path).stdout.split())
    assert f"{result.energy.stages[0].hours:.1f}" in shown  # type: ignore[union-attr]
    assert pattern(SAY, "draw", stage="low").search(shown)


def test_a_small_unit_draws_what_the_trade_says() -> None:
    # Common practice, no source: a unit of 9,000 BTU/h on an inverter draws some 600 W at full
    # stage and 300 W at low, pump included, and condenses near 80 °F in a mild sea when healthy.
    found = energy(solve(boat("65 degF")))
    assert found is not None
    full, low = found.stages
    assert (full.stage, low.stage) == ("full", "low")
    assert parse("76 degF", "temperature") < full.units[0].condensing_temperature
    assert full.units[0].condensing_temperature < parse("86 degF", "temperature")
    assert 450 < full.power < 650
    assert 200 < low.power < 350
    assert full.hours == pytest.approx(2 * 300 * 0.85 * 12.8 / full.power)


def test_the_same_loop_runs_shorter_where_it_condenses_too_hot() -> None:
    # Near 80 °F is healthy and 105 to 110 °F is not: the same boat in a warm sea, its flow short.
    mild, warm = energy(solve(boat("65 degF"))), energy(solve(starved()))
    assert mild is not None
    assert warm is not None
    assert warm.stages[0].units[0].condensing_temperature > parse("105 degF", "temperature")
    assert warm.stages[0].hours < 0.75 * mild.stages[0].hours


def test_hours_by_condensing_temperature_stand_side_by_side(tmp_path: Path) -> None:
    # Common practice: near 80 °F is healthy in a mild sea, 105 to 110 °F is not.
    job = boat("65 degF")
    point = solve(job)
    mild, hot, hotter = (at_condensing(point, at) for at in COMPARED)
    full = energy(point).stages[0]  # type: ignore[union-attr]
    (unit,) = full.units
    assert mild.hours > hot.hours > hotter.hours
    # By the unit's one stated point: 620 W at 100 °F, nothing at 45 °F; the pump as it is.
    pump = point.power / 0.9
    for stage, at in ((mild, 80), (hot, 105), (hotter, 110)):
        assert stage.power == pytest.approx(pump + 620 * (at - 45) / 55 / 0.9)
        assert stage.hours == pytest.approx(2 * 300 * 0.85 * 12.8 / stage.power)
    assert at_condensing(point, unit.condensing_temperature) == full
    path = tmp_path / "boat.toml"
    path.write_text(as_toml(tables(job)), "utf-8")
    few = ("--bores", "3/4 in", "--pumps", "demo-ac-250", "--service-blocked", "0 %")
    shown = " ".join(loop("size", path, *few).stdout.split())
    rows = [shown.index(f"{at} °F {stage.power:,.0f} {stage.hours:.1f}")
            for at, stage in ((80, mild), (105, hot), (110, hotter))]  # fmt: skip
    assert rows == sorted(rows)


def starved() -> Job:
    job = boat("85 degF")
    return Job.model_validate(
        {
            **{name: value for name, value in job if name not in ("part", "defaults")},
            "part": tuple(
                part.model_copy(update={"blocked": 0.93}) if part.kind == "strainer" else part
                for part in job.part
            ),
        }
    )


def test_beyond_the_best_flow_a_watt_of_pump_saves_less_than_a_watt_of_compressor() -> None:
    point = solve(boat())
    found, curve = energy(point), draw_curve(point)
    assert found is not None
    assert np.all(np.diff(curve.pump) > 0)
    assert np.all(np.diff(curve.units) < 0)
    spent, saved = np.diff(curve.pump), -np.diff(curve.units)
    beyond = curve.flow[:-1] >= found.best_flow
    before = curve.flow[1:] <= found.best_flow
    assert beyond.any()
    assert before.any()
    assert np.all(saved[beyond] < spent[beyond])
    assert np.all(saved[before] > spent[before])
    assert found.best_power <= curve.total.min() * (1 + 1e-9)


def test_the_curve_goes_through_the_loop_as_it_is() -> None:
    point = solve(boat())
    found, curve = energy(point), draw_curve(point)
    assert found is not None
    total = np.interp(point.flow, curve.flow, curve.total)
    assert total == pytest.approx(found.stages[0].power, rel=2e-3)


def test_the_figure_shows_the_draw_as_it_is_and_at_its_least() -> None:
    figure = draw(boat(), "energy")
    assert_words_apart(figure)
    words = " ".join(text for text, _ in text_boxes(figure))
    found = energy(solve(boat()))
    assert found is not None
    flow = show(solve(boat()).flow, "flow", "us")
    as_is = pattern(FIGURE, "energy-mark-listed", name=FIGURE("energy-as-is"), flow=flow)
    assert as_is.search(" ".join(words.split()))
    now = pattern(FIGURE, "energy-now", hours=f"{found.stages[0].hours:.1f}")
    assert now.search(" ".join(words.split()))
    assert draw(starved(), "energy").get_label() != figure.get_label()
    with pytest.raises(JobError, match=re.escape(FIGURE.rows["energy-trips"].partition("}")[2])):
        draw(boat(electrical="2.6 kW at 25 degC", approach="30 degF"), "energy")


def test_the_figure_of_a_sizing_marks_choice_runner_up_and_least_draw() -> None:
    job = with_sizing(boat(), {"bores": "5/8 in, 3/4 in", "pumps": "demo-ac-250, demo-ac-350"})
    result = size(job, draws=2)
    figure = draw(result, "energy")
    assert_words_apart(figure)
    words = " ".join(" ".join(text for text, _ in text_boxes(figure)).split())
    named = {result.choice: "energy-choice", result.least_draw: "energy-least-passes"}
    assert len(named) == 2
    for position, row in named.items():
        option = result.options[position or 0]
        assert option.energy is not None
        power = f"{option.energy.stages[0].power:,.0f}"
        name = FIGURE("energy-option", names="", pump=option.choice.pump.name)
        mark = {"name": name, "flow": show(option.flow, "flow", "us"), "power": power}
        assert FIGURE("energy-mark-listed", **mark) in words
        assert FIGURE(row) in words
    (panel, *_) = figure.axes
    assert panel.get_ylim()[0] == 0


def test_what_runs_on_dc_needs_no_inverter() -> None:
    through, straight = (energy(solve(boat(drive=drive))) for drive in ("ac", "dc"))
    assert through is not None
    assert straight is not None
    saved = through.stages[0].power - straight.stages[0].power
    assert saved == pytest.approx(through.stages[0].units[0].power * (1 / 0.9 - 1))


def test_without_a_statement_there_is_no_answer_and_a_tripped_unit_has_no_hours() -> None:
    assert energy(solve(job_of())) is None
    found = energy(solve(boat(electrical="2.6 kW at 40 degC", approach="30 degF")))
    assert found is not None
    assert math.isnan(found.stages[0].hours)


def test_an_unknown_pump_power_is_estimated_to_the_dear_side_and_said() -> None:
    job = boat()
    rows = job.pump.curve.model_dump()
    rows["curve"] |= {"power": None}
    parts = list(job.part)
    at = next(i for i, part in enumerate(parts) if part.kind == "pump")
    parts[at] = parts[at].model_copy(update={"curve": type(job.pump.curve).model_validate(rows)})
    known = energy(solve(job))
    unknown = energy(solve(job.model_copy(update={"part": tuple(parts)})))
    assert known is not None
    assert unknown is not None
    assert (known.pump_estimated, unknown.pump_estimated) == (False, True)
    assert math.isfinite(unknown.stages[0].hours)


def test_water_that_a_unit_warms_makes_the_next_draw_more() -> None:
    """Units in series: the second condenses in water that the first has warmed with its heat."""
    job = boat()
    network = solve(job).network
    flows = solve_flows(network, Cases(speed=np.array([0.6, 1.0]))).line_flow
    assert np.all(inlet_rises(network, flows, 20.0) == 0)
    first = float(unit_rise(job.condenser[0], flows[1, 0], 20.0, network.water))
    hot = [
        float(condensing_temperature(job.condenser[0], flows[1, 0], at, network.water))
        for at in (20.0, 20.0 + first)
    ]
    # The warmer the water, the more heat: more than the rise itself is added.
    assert hot[1] - hot[0] > first
    assert Draw.read("600 W at 40 degC").as_text() == "600.0 W at 40.0 degC"
