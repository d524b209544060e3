"""The pump's supply against its rating, the rules of the trade, and what its maker states."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from loop.check import check
from loop.margins.supply import SupplyFault, bearable, nominal, supply_faults
from loop.parts import Pump
from loop.pumps import PumpCurve, load_pump
from tests.loops import codes, job_of


def faults(name: str, **pump: object) -> tuple[SupplyFault, ...]:
    return supply_faults(Pump.model_validate({"curve": name, **pump}))


def stating(name: str, **stated: object) -> PumpCurve:
    return PumpCurve.model_validate({**load_pump(name).model_dump(), **stated})


@pytest.mark.parametrize(
    ("name", "supply", "kind"),
    [
        # ISO 10133 range, from memory: 75 to 133 % of 12 and of 24 V; AC within 10 %.
        ("demo-ac-350", 115.0, None),
        ("demo-ac-350", 104.0, None),
        ("demo-ac-350", 126.0, None),
        ("demo-ac-350", 103.0, "voltage"),
        ("demo-ac-350", 127.0, "voltage"),
        ("demo-ac-350", 230.0, "voltage"),
        ("demo-ac-350", 12.0, "voltage"),
        ("demo-dc-320", 9.0, None),
        ("demo-dc-320", 15.9, None),
        ("demo-dc-320", 8.9, "voltage"),
        ("demo-dc-320", 18.0, "voltage"),
        ("demo-dc24-450", 18.0, None),
        ("demo-dc24-450", 31.9, None),
        ("demo-dc24-450", 12.0, "voltage"),
        ("demo-dc-320", 115.0, "voltage"),
    ],
)
def test_voltage_by_the_rules_of_the_trade(name: str, supply: float, kind: str | None) -> None:
    found = faults(name, supply=supply)
    assert [fault.kind for fault in found] == ([] if kind is None else [kind])
    assert all(fault.level == "danger" for fault in found)


def test_another_frequency_is_a_danger_unless_the_maker_states_it() -> None:
    (fault,) = faults("demo-ac-350", frequency=50.0)
    assert (fault.kind, fault.level, fault.given) == ("frequency", "danger", 50.0)
    both = stating("demo-ac-350", frequencies=(50.0, 60.0))
    assert supply_faults(Pump(curve=both, frequency=50.0)) == ()
    assert faults("demo-ac-350", frequency=60.5) == ()  # an inverter's own error


def test_outside_what_the_maker_states_is_a_warning() -> None:
    narrow = stating("demo-dc-320", supply_range=(11.0, 14.0))
    (fault,) = supply_faults(Pump(curve=narrow, supply=15.0))
    assert (fault.kind, fault.level, fault.low, fault.high) == ("range", "warning", 11.0, 14.0)
    assert supply_faults(Pump(curve=narrow, supply=13.0)) == ()


def test_a_maker_who_states_more_is_taken_at_his_word() -> None:
    wide = stating("demo-dc-320", supply_range=(9.0, 32.0))
    assert supply_faults(Pump(curve=wide, supply=24.0)) == ()
    (fault,) = supply_faults(Pump(curve=wide, supply=34.0))
    assert fault.level == "danger"


def test_the_lowest_supply_counts_for_a_dc_pump() -> None:
    pump = Pump(curve=load_pump("demo-dc-320"), supply=12.0)
    assert supply_faults(pump, lowest=10.0) == ()
    (fault,) = supply_faults(pump, lowest=8.0)
    assert fault.given == 8.0
    assert supply_faults(Pump(curve=load_pump("demo-ac-350")), lowest=8.0) == ()


@given(st.floats(1.0, 300.0))
def test_a_pump_on_its_rating_has_no_fault(rated: float) -> None:
    for drive, frequency in (("ac", 60.0), ("dc", None)):
        made = stating("demo-ac-350", drive=drive, rated_supply=rated, rated_frequency=frequency)
        low, high = bearable(made)
        assert low < rated < high
        assert supply_faults(Pump(curve=made)) == ()


def test_ratings_near_a_nominal_voltage_mean_it() -> None:
    assert [nominal(volts) for volts in (12.8, 13.6, 24.0, 27.2, 110.0)] == [12, 12, 24, 24, 110]


@pytest.mark.parametrize(
    ("pump", "changes", "kinds"),
    [
        # Another country's mains, another bank: the pump is the wrong one.
        ("demo-ac50-30", {"supply": "115 V", "frequency": "60 Hz"}, ["change-pump", "set-supply"]),
        ("demo-dc24-450", {"supply": "12 V"}, ["change-pump", "set-supply"]),
        ("demo-ac-500", {"frequency": "50 Hz"}, ["change-pump", "set-supply"]),
        # A long thin wire: the supply is.
        ("demo-ac-500", {"supply": "95 V"}, ["set-supply"]),
    ],
)
def test_what_is_wrong_is_mended_pump_or_supply(
    pump: str, changes: dict[str, str], kinds: list[str]
) -> None:
    job = job_of((6, "curve", pump), *((6, key, value) for key, value in changes.items()))
    (found,) = [one for one in check(job).findings if one.code == "supply-wrong"]
    assert found.level == "danger"
    assert [[step.kind for step in action.steps] for action in found.actions] == [
        [kind] for kind in kinds
    ]
    assert "supply-wrong" not in codes(check(found.actions[0].apply(job)))
