"""The pump's supply against its rating, the rules of the trade, and the manufacturer's data."""

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from loop.check import check
from loop.check.pump_changes import others_on_supply
from loop.job import Put, parse_job
from loop.job.edit import edit
from loop.job.questions import pumps_that_fit
from loop.parts import Pump
from loop.pumps import PumpCurve, catalogue, load_pump
from loop.pumps.supply import (
    PowerSupply,
    SupplyFault,
    nominal_voltage,
    supply_faults,
    supply_suits,
    tolerated_range,
)
from loop.size.fit_choice import with_choice
from loop.size.options import present_loop, pumps
from loop.words.action_words import action_text
from loop.words.actions import ChangePump, FitPumpRated, SetSupply
from loop.words.hazards import LOCKED
from loop.words.said import say
from loop.words.speaker import Speaker
from tests.loops import changed, check_of, codes, found, job_of


def faults(name: str, **pump: object) -> tuple[SupplyFault, ...]:
    return of(Pump.model_validate({"curve": name, **pump}))


def of(pump: Pump) -> tuple[SupplyFault, ...]:
    return supply_faults(pump.curve, pump.power_supply)


def stating(pump: str, /, **stated: object) -> PumpCurve:
    return PumpCurve.model_validate({**load_pump(pump).model_dump(), **stated})


@pytest.mark.parametrize(
    ("volts", "hertz", "kinds"),
    [
        # V/Hz over the rating's: 1.04; 1.2, it saturates; 0.79, too weak; and no mains at all.
        ("100 V", "50 Hz", ["scaled"]),
        ("115 V", "50 Hz", ["frequency"]),
        ("76 V", "50 Hz", ["voltage", "frequency"]),
        ("58 V", "30 Hz", ["voltage", "frequency"]),
    ],
)
def test_other_mains_of_the_same_volts_per_hertz_burn_no_motor(
    volts: str, hertz: str, kinds: list[str]
) -> None:
    supply = {"supply": volts, "frequency": hertz}
    assert [one.kind for one in faults("demo-ac-350", **supply)] == kinds
    (told,) = found(check_of(*((6, key, value) for key, value in supply.items())), "supply-wrong")
    assert told.level == ("warning" if kinds == ["scaled"] else "danger")
    assert told.actions


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
    assert of(Pump(curve=both, frequency=50.0)) == ()
    assert faults("demo-ac-350", frequency=60.5) == ()  # an inverter's own error


@pytest.mark.parametrize(
    ("hertz", "volts", "level"),
    [
        # NEMA MG 1, 12.44: 5 % of the frequency; the volts' share and its own make 10 % at most.
        (57.1, 115.0, "note"),
        (62.9, 115.0, "note"),
        (62.4, 108.5, "note"),
        (62.4, 107.5, "warning"),
        (57.5, 105.0, "warning"),
        (56.9, 115.0, "danger"),
        (63.1, 115.0, "danger"),
        # At the limit itself: |57/60 − 1| is a little over 0.05 in floating point.
        (57.0, 115.0, "note"),
        (63.0, 115.0, "note"),
        (57.0, 109.25, "note"),
        (63.0, 120.75, "note"),
    ],
)
def test_a_generator_off_its_speed_is_set_to_it(hertz: float, volts: float, level: str) -> None:
    job = job_of((6, "frequency", f"{hertz} Hz"), (6, "supply", f"{volts} V"))
    [found] = [one for one in check(job).findings if one.code == "supply-wrong"]
    [fix] = found.actions
    assert (found.level, fix) == (level, SetSupply("part[6]", None, 60.0))
    assert supply_suits(job.pump.power_supply, load_pump("demo-ac-500")) == (level == "note")
    assert f"{hertz:g} Hz" not in action_text(fix, Speaker(job))  # no pump is made for that


def test_the_supply_is_corrected_on_a_locked_out_pump_in_the_same_words_everywhere() -> None:
    """As the action of one finding, and as the advice of another."""
    job = job_of((6, "curve", "demo-dc-320"), (6, "supply", "10.6 V"))
    (low,) = found(check(job), "supply-low")
    assert not low.actions
    text = action_text(SetSupply("part[6]", 12.0), Speaker(job))
    assert text.startswith(f"with {LOCKED}, ")
    assert say(low, job).fix.endswith(f"; {text}")


def test_another_pump_for_another_frequency_is_fitted_with_the_sea_shut_out() -> None:
    text = action_text(SetSupply("part[6]", None, 60.0), Speaker(job_of((6, "frequency", "50 Hz"))))
    assert text.startswith(f"with {LOCKED} and the seacock shut, ")


def test_outside_what_the_maker_states_is_a_warning() -> None:
    narrow = stating("demo-dc-320", supply_range=(11.0, 14.0))
    (fault,) = of(Pump(curve=narrow, supply=15.0))
    assert (fault.kind, fault.level, fault.low, fault.high) == ("range", "warning", 11.0, 14.0)
    assert of(Pump(curve=narrow, supply=13.0)) == ()


def test_a_maker_who_states_more_is_taken_at_his_word() -> None:
    wide = stating("demo-dc-320", supply_range=(9.0, 32.0))
    assert of(Pump(curve=wide, supply=24.0)) == ()
    (fault,) = of(Pump(curve=wide, supply=34.0))
    assert fault.level == "danger"


@given(st.floats(1.0, 300.0))
def test_a_pump_on_its_rating_has_no_fault(rated: float) -> None:
    for drive, frequency in (("ac", 60.0), ("dc", None)):
        made = stating("demo-ac-350", drive=drive, rated_supply=rated, rated_frequency=frequency)
        low, high = tolerated_range(made)
        assert low < rated < high
        assert of(Pump(curve=made)) == ()


def test_ratings_near_a_nominal_voltage_mean_it() -> None:
    assert [nominal_voltage(volts) for volts in (12.8, 13.6, 24.0, 27.2, 110.0)] == [
        12,
        12,
        24,
        24,
        110,
    ]


@pytest.mark.parametrize(
    ("pump", "changes", "kinds"),
    [
        # Another country's mains, another bank: the pump is the wrong one.
        ("demo-ac50-30", {"supply": "115 V", "frequency": "60 Hz"}, ["change-pump", "set-supply"]),
        ("demo-dc24-450", {"supply": "12 V"}, ["change-pump", "set-supply"]),
        ("demo-ac-500", {"supply": "230 V", "frequency": "50 Hz"}, ["change-pump", "set-supply"]),
        # No pump is made for 115 V of 50 Hz.
        ("demo-ac-500", {"frequency": "50 Hz"}, ["set-supply"]),
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


def test_what_another_supply_starves_has_the_pump_for_it_first() -> None:
    """Both findings of a 24 V pump on 12 V: no wire turns one into the other."""
    result = check_of((6, "curve", "demo-dc24-450"), (6, "supply", "12 V"))
    wrong, short = (found(result, code)[0] for code in ("supply-wrong", "flow-short"))
    assert isinstance(wrong.actions[0], ChangePump)
    assert short.actions[0] == wrong.actions[0]


# What `loop new`, check and size offer for a supply is what no finding calls wrong.

PUMPS = [load_pump(name) for name in catalogue()]


@pytest.mark.parametrize("volts", [12.0, 14.4, 15.5, 24.0, 28.8, 100.0, 110.0, 120.0, 220.0, 240.0])
def test_one_supply_has_the_same_pumps_everywhere(volts: float) -> None:
    """The same pumps as for a pump made for it: AC is AC, whatever the voltage."""
    drive, hertz = ("dc", None) if volts < 60 else ("ac", 60.0 if volts < 200 else 50.0)
    stated = {"drive": drive, "rated_supply": volts, "rated_frequency": hertz}
    own = stating("demo-ac-350", name="own", note="of a file", **stated)
    job = edit(job_of(), [Put("part[6].curve", own)])
    suited = {one.name for one in PUMPS if not faults_on(one, drive, volts, hertz)}
    assert {one.name for one in others_on_supply(job.pump)} == suited
    assert {one.name for one in pumps(job)} == suited | {"own"}
    answers = {"cooling": "2000 BTU/h", "supply": f"{volts} V"}
    assert {one.name for one in pumps_that_fit(answers)} == suited


def faults_on(pump: PumpCurve, drive: str, volts: float, hertz: float | None) -> bool:
    """By the finding itself, on a loop with this pump."""
    if pump.drive != drive:
        return True
    stated = [(6, "supply", f"{volts} V"), *([(6, "frequency", f"{hertz} Hz")] if hertz else [])]
    return "supply-wrong" in codes(check(job_of((6, "curve", pump.name), *stated), fixes=False))


def test_a_pump_of_two_frequencies_keeps_that_of_the_boat() -> None:
    """It is rated for 60 Hz; on the boat's 50 it runs at five sixths of its speed."""
    both = stating("demo-ac-1500", name="both", rated_supply=230.0, frequencies=(50.0, 60.0))
    job = job_of((6, "curve", "demo-ac50-30"))
    assert supply_suits(PowerSupply("ac", 230.0, 50.0), both)
    change = ChangePump("part[6]", "both", both).apply(job)
    assert change.pump.speed == pytest.approx(5 / 6)
    choice = replace(present_loop(job), pump=both, as_is=False)
    assert with_choice(job, choice).pump.speed == pytest.approx(5 / 6)


@pytest.mark.parametrize(
    ("volts", "level"),
    [("10.2 V", "warning"), ("10.5 V", "warning"), ("10.7 V", "note"), ("10.9 V", None)],
)
def test_a_bank_that_is_empty_or_a_wire_that_takes_over_a_tenth_is_said(
    volts: str, level: str | None
) -> None:
    low = found(check_of((6, "curve", "demo-dc-600"), (6, "supply", volts)), "supply-low")
    assert [one.level for one in low] == ([] if level is None else [level])


def test_a_makers_range_is_no_word_about_the_bank() -> None:
    wide = stating("demo-dc-600", supply_range=(9.0, 16.0))
    job = edit(job_of((6, "supply", "9.5 V")), [Put("part[6].curve", wide)])
    assert [one.level for one in found(check(job, fixes=False), "supply-low")] == ["note"]


@pytest.mark.parametrize(
    ("pump", "lowest", "level"),
    [
        ("demo-dc-320", "11 V", "warning"),
        ("demo-dc-600", "11 V", "note"),
        ("demo-dc-600", "9 V", "warning"),
        ("demo-dc-600", "12 V", None),
        ("demo-ac-350", "11 V", None),
    ],
)
def test_a_loop_is_judged_on_the_lowest_supply_that_its_file_states(
    pump: str, lowest: str, level: str | None
) -> None:
    job = job_of((6, "curve", pump), ("sizing", "lowest_supply", lowest))
    result = check(job)
    sags = found(result, "supply-sags")
    assert [one.level for one in sags] == ([] if level is None else [level])
    for one in sags:
        on_it = check(job.replace({"part[6].supply": lowest}), fixes=False)
        assert (on_it.verdict == "good") == (level == "note") == (result.verdict == "good")
        assert one.values["low"] == on_it.condensers[0].flow_low
        for action in one.actions:
            after = found(check(action.apply(job), fixes=False), "supply-sags")
            assert all(left.level == "note" for left in after)
            assert not any(step.kind == "set-supply" for step in action.steps)


def test_a_pump_asked_for_by_its_duty_is_made_for_what_the_one_that_is_there_is() -> None:
    """A pump for 50 and 60 Hz, on 50: no hose is enough, and the catalogue has none for 115 V."""
    both = stating("demo-ac-350", name="both", frequencies=(50.0, 60.0))
    job = edit(
        job_of((8, "length", "11 ft")),
        (Put("part[6].curve", both), Put("part[6].frequency", 50.0)),
    )
    short = found(check(job), "flow-marginal")[0]
    pumps = [one for one in short.actions if isinstance(one, FitPumpRated)]
    assert pumps
    after = check(pumps[0].apply(job), fixes=False)
    assert after.verdict == "good"
    assert "supply-wrong" not in codes(after)


@pytest.mark.parametrize(
    ("bank", "told"), [("12.8 V", True), ("12 V", False), (None, False), ("25.6 V", False)]
)
def test_a_drop_counts_from_the_voltage_of_the_bank(bank: str | None, told: bool) -> None:
    """11.3 V are 88 % of 12.8 V and 94 % of 12 V; a tenth is the most that wire may take."""
    table = changed((6, "curve", "demo-dc-600"), (6, "supply", "11.3 V"))
    if bank is not None:
        table["supply"] = {"battery": "200 Ah", "voltage": bank}
    low = found(check(parse_job(table), fixes=False), "supply-low")
    assert [one.values["case"] for one in low] == ["wire"] * told
