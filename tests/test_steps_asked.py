"""The order of steps: free looks first, nothing twice unless something it depends on changed."""

from typing import Any

import pytest

from loop.diagnose import Diagnosis, diagnose
from loop.diagnose.action import OPENS
from loop.diagnose.actions import BY_NAME, available_actions
from loop.diagnose.hypotheses import Study, prepare
from loop.job import parse_job, read_toml
from tests.command_line import EXAMPLES
from tests.studies import study_of, study_of_no_job


@pytest.fixture(scope="module")
def study() -> Study:
    return study_of("kittiwake")


@pytest.fixture(scope="module")
def unknown() -> Study:
    return study_of_no_job()


def call(study: Study, **readings: Any) -> Diagnosis:
    return diagnose(study.instruments.job, readings, study)


def steps(result: Diagnosis) -> list[str]:
    return [one.reading for one in result.next]


def odds(result: Diagnosis) -> dict[str, float]:
    return {cause.fault: cause.present for cause in result.causes}


def did(name: str, saw: str = "", **readings: str) -> dict[str, str]:
    return {"did": name, **({"saw": saw} if saw else {}), **readings}


DRY = {"stream": "none", "pump_sound": "rough"}
LAUNCHED = "since haul-out"
# What is at hand on most calls.
HAND = "bucket, thermometer"


def test_a_pump_is_bled_again_once_the_seacock_was_found_shut(study: Study) -> None:
    """Through a shut seacock no water drives the air out: that first try proves nothing."""
    bled = did("bleed", "water only")
    shut, open_ = (
        call(study, said=LAUNCHED, **DRY, step=[bled, did("open-seacock", saw, **DRY)])
        for saw in ("was not fully open", "was fully open")
    )
    opened = did("open-seacock", "was not fully open", **DRY)
    never = call(study, said=LAUNCHED, **DRY, step=[opened])
    assert steps(shut)[0] == "bleed"
    assert odds(shut)["pump-air-bound"] == pytest.approx(odds(never)["pump-air-bound"])
    assert "bleed" not in steps(open_)
    assert odds(open_)["pump-air-bound"] < 0.7 * odds(shut)["pump-air-bound"]
    again = call(study, said=LAUNCHED, **DRY, step=[bled, opened, bled])
    assert "bleed" not in steps(again)


def test_the_seacock_is_looked_at_before_the_pump_is_bled(study: Study) -> None:
    assert steps(call(study, said=LAUNCHED, **DRY))[:2] == ["open-seacock", "bleed"]


@pytest.mark.parametrize("dc", [False, True])
def test_a_pump_found_wrong_or_reversed_is_put_right_and_not_bought_again(dc: bool) -> None:
    unknown = study_of_no_job(drive="dc" if dc else "ac")
    label = did("read-label", "wrong or reversed")
    found = call(unknown, said="new pump", stream="weak", step=[label])
    assert steps(found)[0] == "set-pump-right"
    assert "fit-sound-pump" not in steps(found)
    assert "set-pump-right" not in steps(call(unknown, said="new pump", stream="weak"))
    mended = call(
        unknown, said="new pump", stream="weak",
        step=[label, did("set-pump-right", "the stream is strong", stream="strong", unit="cools")],
    )  # fmt: skip
    assert mended.fixed_by == "set-pump-right"


def test_no_pump_is_opened_before_water_is_known_to_reach_it(study: Study) -> None:
    before = [did("bleed", "water only"), did("open-seacock", "was fully open")]
    asked = steps(call(study, said="suddenly", **DRY, unit="trips", tools=HAND, step=before))
    assert asked[:4] == ["clean-basket", "look-at-grate", "let-water-in", "open-pump"]
    seen = [*before, did("clean-basket", "clean"), did("look-at-grate", "clean")]
    trips = DRY | {"unit": "trips"}
    for saw, opened in (("it wells up", True), ("it hardly comes", False)):
        let_in = [*seen, did("let-water-in", saw, stream="none")]
        first = steps(call(study, said="suddenly", **trips, tools=HAND, step=let_in))[0]
        assert (first == "open-pump") == opened


def test_a_pump_is_not_bought_before_what_acquits_it_for_nothing(study: Study) -> None:
    looked = [did("bleed", "water only"), did("clean-basket", "clean"),
              did("open-seacock", "was fully open")]  # fmt: skip
    opened = [*looked, did("open-pump", "sound", stream="none")]
    asked = steps(call(study, **DRY, tools=HAND, step=opened))
    assert asked.index("feed-from-bucket") < asked.index("fit-sound-pump")
    assert asked.index("seat-lid-and-clamps") < asked.index("fit-sound-pump")
    fed = [*opened, did("feed-from-bucket", "no change", stream="none")]
    assert "fit-sound-pump" in steps(call(study, **DRY, tools=HAND, step=fed))
    fed[-1] = did("feed-from-bucket", "the pump runs stronger", stream="none")
    assert "fit-sound-pump" not in steps(call(study, **DRY, tools=HAND, step=fed))
    pump = BY_NAME["fit-sound-pump"]
    assert pump.cost > 2 * pump.minutes  # a new part is not had for the time to fit it


def test_nobody_dives_before_the_grate_was_looked_at(study: Study) -> None:
    before = [did("clean-basket", "clean"), did("open-seacock", "was fully open")]
    said = ["suddenly", "after weed, mud or jellyfish"]
    asked = steps(call(study, said=said, stream="weak", unit="trips", step=before))
    assert asked.index("look-at-grate") < asked.index("clear-intake")
    assert asked.index("back-flush") < asked.index("clear-intake")


LATER = ["after it has run a while", "good again after a rest"]
WELL = {"stream": "strong", "unit": "cools", "flow": "200 gal/h", "pump_sound": "normal"}


def test_where_all_is_well_nothing_is_opened_and_it_is_run_until_it_fails(unknown: Study) -> None:
    looks = [
        did("clean-basket", "clean"), did("open-seacock", "was fully open"),
        did("wiggle-hoses", "no change"), did("follow-hoses", "sound all along"),
        did("look-at-grate", "clean"), did("look-at-air-side", "clean, and it blows"),
    ]  # fmt: skip
    found = call(unknown, said=LATER, **WELL, step=looks)
    assert found.well
    actions = [BY_NAME[one] for one in steps(found) if one in BY_NAME]
    assert actions
    assert all(action.risk < OPENS for action in actions)
    assert "run-until-it-fails" in steps(found)
    assert "run-until-it-fails" not in steps(call(unknown, **WELL, step=looks))


def test_what_was_read_before_it_failed_says_nothing_of_the_trouble(unknown: Study) -> None:
    fails = did("run-until-it-fails", "it fails", stream="weak", unit="trips")
    looked = did("follow-hoses", "sound all along")
    late, alone = (call(unknown, said=LATER, **read, step=[*some, fails])
                   for read, some in ((WELL, [looked]), ({}, [])))  # fmt: skip
    assert odds(late) == pytest.approx(odds(alone), abs=1e-6)
    assert {"follow-hoses", "flow"} <= set(steps(late))  # both may show something now
    runs = call(unknown, said=LATER, **WELL, step=[looked, did("run-until-it-fails", "it runs on")])
    assert "follow-hoses" not in steps(runs)
    assert odds(runs)["healthy"] > 5 * odds(late).get("healthy", 0.0)


def test_what_comes_earlier_stands_before_it_on_any_call(study: Study, unknown: Study) -> None:
    streams, sounds = ("weak", "none", "sputtering"), ("normal", "rough")
    words = [{"stream": one, "pump_sound": sound} for one in streams for sound in sounds]
    some = 0
    for loop in (study, unknown):
        for read in words:
            for done in ([], [did("open-pump", "sound")]):
                asked = steps(call(loop, **read, step=done))
                for name in asked:
                    for earlier in BY_NAME[name].earlier if name in BY_NAME else ():
                        if earlier in asked:
                            some += 1
                            assert asked.index(earlier) < asked.index(name), (read, earlier, name)
    assert some > 20


def test_a_weak_unit_whose_water_is_right_is_handed_to_the_refrigerant_side(study: Study) -> None:
    right = {"stream": "strong", "flow": "233 gal/h", "pump_sound": "normal",
             "sea_temperature": "82 degF", "condensing_temperature": "99 degF",
             "tools": "bucket, thermometer, display"}  # fmt: skip
    looks = [did("open-seacock", "was fully open"), did("clean-basket", "clean")]
    weak = call(study, **right, unit="weak", outlet_temperature="89 degF", step=looks)
    assert weak.causes[0].fault == "refrigerant-low"
    opened = [BY_NAME[one] for one in steps(weak) if one in BY_NAME and BY_NAME[one].risk >= OPENS]
    assert opened == []  # neither acid nor a pump: the water is as it should be
    assert {"look-at-air-side", "measure-refrigerant"} <= set(steps(weak))
    air = [*looks, did("look-at-air-side", "clean, and it blows", unit="weak")]
    asked = steps(call(study, **right, unit="weak", outlet_temperature="89 degF", step=air))
    assert "measure-refrigerant" in asked[:3]
    cools = call(study, **right, unit="cools", outlet_temperature="90 degF", step=looks)
    assert odds(cools).get("refrigerant-low", 0.0) < 0.1


def test_a_motor_that_hums_though_its_rotor_is_free_has_its_capacitor_tested(study: Study) -> None:
    hums = {"stream": "none", "pump_sound": "hums", "tools": "bucket, thermometer, multimeter"}
    free, stuck = (call(study, **hums, step=[did("open-pump", saw)])
                   for saw in ("sound", "damaged or jammed"))  # fmt: skip
    assert free.causes[0].fault == "motor-no-start"
    asked = steps(free)
    assert asked[0] == "test-capacitor"
    assert odds(stuck)["pump-jammed"] > odds(stuck)["motor-no-start"]
    assert "test-capacitor" not in steps(call(study, **hums))  # the rotor comes first
    dc = call(study_of_no_job(drive="dc"), **hums, step=[did("open-pump", "sound")])
    assert "motor-no-start" not in odds(dc)  # a DC motor has none


def test_a_pump_that_is_silent_at_sea_alone_has_no_power_there(study: Study) -> None:
    dock = {"stream": "strong", "unit": "cools", "flow": "233 gal/h"}
    said = "works at the dock, not under way"
    for silent, fault in (("silent", "no-power-under-way"), ("rough", "intake-air")):
        at_sea = {"stream": "none", "pump_sound": silent}
        assert call(study, said=said, **dock, under_way=at_sea).causes[0].fault == fault
    dark = call(study, said=said, **dock, under_way={"stream": "none", "pump_sound": "silent"})
    assert steps(dark)[0] == "supply-under-way"
    assert "supply-under-way" not in steps(call(study, stream="weak"))


def test_a_basket_that_was_seen_clean_is_not_the_likeliest(unknown: Study) -> None:
    """Everything that a look shows was seen, and the pump runs stronger from a bucket."""
    looks = [
        did("open-seacock", "was fully open"), did("clean-basket", "clean"),
        did("wiggle-hoses", "no change"), did("look-at-grate", "clean"),
        did("follow-hoses", "sound all along"), did("clear-intake", "clear"),
        did("seat-lid-and-clamps", "all was tight", stream="weak", flow="100 gal/h"),
        did("feed-from-bucket", "the pump runs stronger"),
    ]  # fmt: skip
    inner = call(unknown, stream="weak", tools=HAND, pump_sound="normal", unit="cools", step=looks)
    assert inner.causes[0].fault == "suction-blocked-inside"
    assert "look-through-suction" in steps(inner)
    assert odds(inner)["strainer-blocked"] < 0.7 * odds(inner)["suction-blocked-inside"]
    looks[-1] = did("feed-from-bucket", "no change")
    after = call(unknown, stream="weak", tools=HAND, pump_sound="normal", unit="cools", step=looks)
    assert "look-through-suction" not in steps(after)


def test_a_lining_that_is_drawn_in_as_it_runs_is_thought_of_like_a_soft_hose(study: Study) -> None:
    """Its trouble comes with heat and goes with a rest; a new hose ends both."""
    lining, hose = "suction-blocked-inside", "suction-hose-collapsed"
    stronger = did("feed-from-bucket", "the pump runs stronger")
    looked = [did("open-seacock", "was fully open"), did("clean-basket", "clean"), stronger]
    short = {"stream": "weak", "flow": "116 gal/h", "pump_sound": "normal", "tools": HAND}
    plain, later = (call(study, said=said, **short, step=looked) for said in ([], LATER))
    of_hose = odds(plain)[lining] / odds(plain)[hose]
    assert odds(later)[lining] / odds(later)[hose] > 0.25 * of_hose
    replaced = did(f"fix-{hose}", "at fault, put right", **{**WELL, "flow": "233 gal/h"})
    whole = [*looked, did("look-through-suction", "blocked inside"), replaced]
    assert call(study, said=LATER, **short, step=whole).done


def test_what_stops_the_stream_may_be_the_grate_or_the_basket(study: Study) -> None:
    """A bag over the whole grate: nothing comes, and neither seacock nor bleed shows why."""
    before = [did("bleed", "water only"), did("open-seacock", "was fully open")]
    stopped = call(study, **DRY, tools=HAND, step=before)
    assert odds(stopped)["intake-fouled"] + odds(stopped)["strainer-blocked"] > 0.2
    seen = call(study, **DRY, tools=HAND, step=[*before, did("look-at-grate", "fouled")])
    assert seen.causes[0].fault == "intake-fouled"
    assert seen.causes[0].severity > 0.9


def test_a_pump_above_the_water_is_filled_and_not_bled() -> None:
    high = study_of_no_job(pump_height=0.6)
    asked = steps(call(high, **DRY))
    assert "prime" in asked[:4]
    assert not {"bleed", "loosen-outlet-hose"} & set(asked)
    assert "prime" not in steps(call(study_of_no_job(), **DRY))
    assert "prime" not in steps(call(high, stream="weak"))  # it has its water


def test_a_current_that_no_motor_draws_is_doubted(study: Study) -> None:
    """A stuck motor draws two to four times its current: twenty times is a clamp on other wires."""
    healthy = float(call(study, stream="weak").healthy["pump_current"])
    absurd = call(study, pump_current=f"{20 * healthy:.2f} A")
    assert absurd.misfit
    assert steps(absurd)[0] == "pump_current"
    stuck = call(study, pump_current=f"{3 * healthy:.2f} A")
    assert not stuck.misfit
    assert {stuck.causes[0].fault, stuck.causes[1].fault} == {"pump-jammed", "motor-no-start"}


def test_water_below_the_units_need_is_not_as_it_should_be(unknown: Study) -> None:
    """However uncertain the flow of a boat without a job file is."""
    need = unknown.instruments.units[0].needed_flow
    short, enough = (
        call(
            unknown, said="slow over two seasons", tools="bucket", **WELL | {"flow": f"{flow} m3/s"}
        )
        for flow in (0.9 * need, 1.02 * need)
    )
    assert enough.well
    assert not short.well


def test_more_water_than_a_healthy_loops_is_no_trouble(study: Study) -> None:
    """Neither acid nor gauges for a loop that cools, with a sixth more than a healthy flow."""
    healthy = float(call(study, stream="strong").healthy["flow"])
    read = {"said": "high-pressure fault", "stream": "strong", "unit": "cools", "tools": HAND,
            "sea_temperature": "76 degF", "outlet_temperature": "84 degF"}  # fmt: skip
    much, little = (
        call(study, **read, flow=f"{share * healthy} m3/s", step=[did("clean-basket", "clean")])
        for share in (1.16, 0.6)
    )
    assert much.well
    assert not little.well
    assert steps(much) == []


def test_readings_at_hand_come_before_gauges_and_acid() -> None:
    two = study_of("guillemot")
    units = {"saloon": "weak", "owner's cabin": "cools"}
    looked = [did("look-at-air-side", "clean, and it blows"), did("wiggle-hoses", "no change")]
    asked = steps(call(
        two, said=["only one of several units", "high-pressure fault"], stream="strong",
        pump_sound="normal", flow="429 gal/h", unit=units, tools=HAND, step=looked,
    ))  # fmt: skip
    assert asked.index("outlet_temperature.saloon") < asked.index("measure-refrigerant")
    assert asked[0] not in {"measure-refrigerant", "descale"}


def test_a_gauge_that_tells_little_for_its_minutes_does_not_hold_up_what_ends_the_call(
    study: Study,
) -> None:
    """Film or the refrigerant: ten minutes at the pump's inlet tell a twelfth of a bit."""
    looked = [did("open-seacock", "was fully open"), did("look-at-air-side", "clean, and it blows")]
    asked = steps(call(
        study, stream="strong", unit="weak", pump_sound="normal", strainer_seen="clean",
        sea_temperature="73 degF", outlet_temperature="81 degF", flow="230 gal/h",
        condensing_temperature="107 degF", step=looked,
    ))  # fmt: skip
    assert asked.index("measure-refrigerant") < asked.index("pump_inlet_pressure")


def test_acid_is_for_a_fair_lead_of_scale(study: Study) -> None:
    trips = {"stream": "strong", "unit": "trips", "flow": "233 gal/h", "tools": "bucket"}
    guess = call(study, **trips)
    assert odds(guess)["condenser-scaled"] + odds(guess)["condenser-film"] < 0.4
    assert "descale" not in steps(guess)
    scaled = call(
        study, said="slow over two seasons", **trips,
        step=[did("look-at-air-side", "clean, and it blows")],
    )  # fmt: skip
    assert odds(scaled)["condenser-scaled"] + odds(scaled)["condenser-film"] > 0.5
    assert "descale" in steps(scaled)


def test_nobody_dives_before_the_pump_has_drunk_from_a_bucket(study: Study) -> None:
    before = [did("open-seacock", "was fully open"), did("clean-basket", "clean"),
              did("look-at-grate", "clean"), did("back-flush", "nothing came")]  # fmt: skip
    asked = steps(call(
        study, said="slow over two seasons", stream="weak", unit="trips", tools=HAND,
        flow="30 gal/h", step=before,
    ))  # fmt: skip
    assert asked.index("feed-from-bucket") < asked.index("clear-intake")


@pytest.mark.parametrize("tools", [HAND, "none"])
def test_a_silent_pump_has_its_volts_measured_before_it_is_opened(study: Study, tools: str) -> None:
    """Whoever brings the meter: a new pump does not fix a relay."""
    silent = {"stream": "none", "pump_sound": "silent", "unit": "trips", "tools": tools}
    was_on = did("check-breaker", "was on")
    asked = steps(call(study, **silent, step=[was_on]))
    assert asked[0] == "supply"
    assert "supply" not in steps(call(study, stream="weak", pump_sound="normal", tools=tools))
    opened = steps(call(study, **silent, step=[was_on, did("open-pump", "sound")]))
    assert opened.index("supply") < opened.index("fit-sound-pump")
    dead = call(study, **silent, supply="0 V", step=[was_on, did("reset-unit", "it does not")])
    assert dead.causes[0].fault == "no-power"
    assert not {"open-pump", "fit-sound-pump"} & set(steps(dead))


def test_what_waits_for_the_trouble_is_not_asked_while_it_is_there(study: Study) -> None:
    wait = "run-until-it-fails"
    for bad in ({"stream": "weak"}, {"unit": "trips"}, {"stream": "none"}):
        asked = steps(call(study, said=LATER, **{**WELL, "flow": "233 gal/h", **bad}, tools=HAND))
        assert wait not in asked, bad
    two = study_of("guillemot")
    one = {"saloon": "trips", "owner's cabin": "cools"}
    assert wait not in steps(call(two, said=LATER, stream="strong", unit=one))


def test_what_comes_later_is_waited_for_first_where_all_reads_well(study: Study) -> None:
    """What is wiggled and looked at before it fails says nothing about the trouble."""
    well = {"stream": "strong", "unit": "cools", "pump_sound": "normal", "tools": HAND}
    assert steps(call(study, said=LATER, **well))[0] == "run-until-it-fails"
    unseen = steps(call(study, said=LATER, pump_sound="normal", tools=HAND))
    assert unseen.index("stream") < unseen.index("run-until-it-fails")
    assert "run-until-it-fails" not in steps(call(study, **well))


def test_a_cause_that_is_known_is_not_waited_for(study: Study) -> None:
    known = call(study, said="good again after a rest", pump_current="0.76 A",
                 shutoff_pressure="2.1 psi", tools="bucket, meter, gauge")  # fmt: skip
    assert odds(known)["motor-weak"] > 0.9
    assert "run-until-it-fails" not in steps(known)


def test_a_weak_motor_has_its_capacitor_tested_without_the_pump_opened(study: Study) -> None:
    read = {"stream": "weak", "unit": "cools", "pump_sound": "normal",
            "tools": "bucket, meter, gauge"}  # fmt: skip
    looked = [did("wiggle-hoses", "no change"), did("clean-basket", "clean")]
    weak = call(study, **read, pump_current="0.76 A", shutoff_pressure="2.1 psi", step=looked)
    assert weak.causes[0].fault == "motor-weak"
    assert "test-capacitor" in steps(weak)
    assert "test-capacitor" not in steps(call(study, **read, step=looked))
    sound = did("test-capacitor", "sound", stream="weak")
    rest = call(
        study, **read, pump_current="0.76 A", shutoff_pressure="2.1 psi", step=[*looked, sound]
    )
    assert "fit-sound-pump" in steps(rest)  # its winding or its bearings are left


def test_no_hose_is_wiggled_while_the_pump_runs_dry(study: Study) -> None:
    kinked = {"pump_sound": "normal", "tools": HAND}
    assert "wiggle-hoses" not in steps(call(study, stream="none", **kinked))
    assert "wiggle-hoses" in steps(call(study, stream="weak", **kinked))


def test_a_pump_that_leads_may_be_opened_though_the_water_is_enough_still() -> None:
    """Everything is healthy except for a trifle, and every other cause was checked."""
    share, dc = 0.9, study_of_no_job(drive="dc")
    read = {"said": "slow over two seasons", "stream": "strong", "unit": "cools",
            "pump_sound": "normal", "tools": f"{HAND}, gauge, meter",
            "sea_temperature": "82 degF"}  # fmt: skip
    healthy = call(dc, **read).healthy
    looked = [did("clean-basket", "clean"), did("look-at-grate", "clean"),
              did("open-seacock", "was fully open"), did("look-at-discharge", "clear"),
              did("follow-hoses", "sound all along"), did("read-label", "right"),
              did("seat-lid-and-clamps", "all was tight"), did("swap-supply", "no change"),
              did("look-at-air-side", "clean, and it blows"),
              did("loosen-outlet-hose", "water only"), did("wiggle-hoses", "no change"),
              did("feed-from-bucket", "no change")]  # fmt: skip
    worn = call(
        dc, **read, flow=f"{share * float(healthy['flow'])} m3/s", step=looked,
        shutoff_pressure=f"{share**2 * float(healthy['shutoff_pressure'])} Pa",
        pump_outlet_pressure=f"{share**2 * float(healthy['pump_outlet_pressure'])} Pa",
    )  # fmt: skip
    assert worn.well
    assert worn.causes[0].fault == "pump-worn"
    assert worn.causes[0].present > 0.5
    assert "open-pump" in steps(worn)
    assert not {"descale", "open-header", "clear-intake"} & set(steps(worn))


@pytest.fixture(scope="module")
def sunk() -> Study:
    """A boat whose water leaves below the waterline, where nobody sees a stream."""
    tables = read_toml(EXAMPLES / "kittiwake.toml")
    tables["part"][-2]["to"] = tables["part"][-1]["height"] = "-3 in"
    return prepare(parse_job(tables, "under water", str(EXAMPLES)))


def test_an_outlet_under_water_is_gone_round_and_then_cleared(study: Study, sunk: Study) -> None:
    """No look shows what is in it: routed over the side, the water shows whether it is blocked."""
    led, clear = "lead-over-side", "clear-outlet"
    half = {"pump_sound": "normal", "tools": f"{HAND}, flow meter", "flow": "110 gal/h"}
    looked = [did("open-seacock", "was fully open"), did("clean-basket", "clean"),
              did("wiggle-hoses", "no change"),
              did("feed-from-bucket", "no change", flow=half["flow"])]  # fmt: skip
    none, more, same = (
        call(sunk, **half, unit="weak", step=[*looked, *one])
        for one in ([], [did(led, "the pump runs stronger")], [did(led, "no change")])
    )
    assert "look-at-discharge" not in steps(none)
    assert steps(none).index("look-at-outlet") < steps(none).index(led)
    assert more.causes[0].fault == more.left == "discharge-blocked"
    assert steps(more)[0] == clear
    seen = call(sunk, **half, unit="weak", step=[*looked, did("look-at-outlet", "fouled")])
    assert seen.causes[0].fault == "discharge-blocked"
    assert steps(seen)[0] in (led, clear)
    assert odds(same).get("discharge-blocked", 0.0) < 0.3 * odds(none)["discharge-blocked"]
    healthy = f"{float(none.healthy['flow'])} m3/s"
    cleared = did(clear, "fouled", flow=healthy, unit="cools")
    done = call(
        sunk, **half, unit="weak", step=[*looked, did(led, "the pump runs stronger"), cleared]
    )
    assert done.done
    assert not {"look-at-outlet", led, clear} & {
        one.name for one in available_actions(study)
    }  # its stream is seen
