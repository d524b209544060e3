"""Battery hours and the pump's share."""

import math

import pytest

from loop.job import Supply
from loop.pumps import load_pump
from loop.size import pump_draw, running, running_hours, usable_charge

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
    stages = running(BANK, present=4.0, pump=4.0)
    assert [stage.draw for stage in stages] == [47.0, 24.0]
    assert stages[1].pump_share == pytest.approx(4 / 24)


def test_a_thirstier_pump_costs_its_excess_at_every_stage() -> None:
    stages = running(BANK, present=4.0, pump=10.0)
    assert [stage.draw for stage in stages] == [53.0, 30.0]
    assert stages[0].hours == pytest.approx(510 / 53)


def test_hours_fall_as_draw_rises_and_charge_is_conserved() -> None:
    hours = [running_hours(BANK, draw) for draw in (5.0, 10.0, 40.0)]
    assert hours[0] > hours[1] > hours[2]
    assert hours[2] * 40.0 == pytest.approx(usable_charge(BANK))


def test_without_a_bank_or_a_power_there_are_no_hours() -> None:
    assert running(None, 4.0, 4.0) == ()
    assert all(math.isnan(stage.hours) for stage in running(BANK, math.nan, 4.0))
