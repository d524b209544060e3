"""The commonest calls, worked as a technician works them, each with its right end."""

from functools import cache
from pathlib import Path
from typing import Any

import pytest

from loop.check import check
from loop.diagnose import Diagnosis, diagnose, prepare, read_readings
from loop.diagnose.actions import BY_NAME
from loop.diagnose.hypotheses import Study
from loop.diagnose.session import Session
from loop.diagnose.step_order import is_drastic
from loop.diagnose.unknown_loop import LoopKind, prepare_unit
from loop.job import Job, parse_job, read_job, read_toml
from loop.units import show
from loop.words.cautions import OPENS
from loop.words.diagnosis import SAY
from loop.words.fault_rows import WORDS
from loop.words.faults import fix, title
from loop.words.had import ALL
from loop.words.measuring import MEASURING
from loop.words.template import capital
from loop.words.to_do import DOING
from tests.loops import job_of
from tests.said import is_said, leads_with, pattern
from tests.studies import study_of

EXAMPLES = Path(__file__).parent.parent / "examples"
FETCHED = {"flow", "sea_temperature", "outlet_temperature"}
ON_THE_STREAM = {"flow", "outlet_temperature", "strainer_drop", "shutoff_pressure"}


@pytest.fixture(scope="module")
def study() -> Study:
    return prepare(read_job(EXAMPLES / "kittiwake.toml"))


@pytest.fixture(scope="module")
def without_bleed() -> Study:
    tables = read_toml(EXAMPLES / "kittiwake.toml")
    tables["part"] = [part for part in tables["part"] if part["kind"] != "bleed"]
    return prepare(parse_job(tables))


def three_cabins(valves: bool = False) -> Job:
    def branch(name: str) -> dict[str, object]:
        return {
            "name": name,
            "part": [
                *([{"kind": "seacock"}] if valves else []),
                {"kind": "hose", "length": "5 ft", "to": "6 in"},
                {"kind": "condenser", "serves": name, "loss": "1.2 psi at 110 gal/h"},
                {"kind": "hose", "length": "4 ft", "to": "4 in"},
                {"kind": "discharge", "height": "4 in"},
            ],
        }

    names = ("forward", "saloon", "aft")
    return parse_job(
        {
            "water": {"temperature": "84 degF"},
            "defaults": {"bore": "1 in"},
            "condenser": [{"name": n, "cooling": "6000 BTU/h"} for n in names],
            "part": [
                {"kind": "intake", "height": "-16 in"},
                {"kind": "seacock"},
                {"kind": "hose", "length": "2 ft", "to": "-12 in"},
                {"kind": "strainer", "loss": "0.3 psi at 500 gal/h"},
                {"kind": "hose", "length": "2 ft", "to": "-10 in"},
                {"kind": "pump", "curve": "demo-ac-500"},
                {"kind": "hose", "length": "4 ft", "to": "-2 in"},
                {"kind": "manifold", "branch": [branch(name) for name in names]},
            ],
        }
    )


@cache
def cabins(valves: bool) -> Study:
    return prepare(three_cabins(valves))


def call(study: Study, **readings: Any) -> Diagnosis:
    return diagnose(study.instruments.job, readings, study)


def odds(result: Diagnosis, *faults: str) -> float:
    """Probability of each of these faults, alone or with another, added up."""
    return sum(cause.present for cause in result.causes if cause.fault in faults)


def steps(result: Diagnosis) -> list[str]:
    return [one.reading for one in result.next]


def test_trips_at_noon_only(study: Study) -> None:
    begun = call(study, said="trips at noon only", unit="trips", stream="strong")
    assert "outlet_temperature" not in steps(begun)  # no ten minutes on a unit that trips
    result = call(
        study, said="trips at noon only", unit="trips", stream="strong",
        sea_temperature="93 degF", flow="231 gal/h", condensing_temperature="111 degF",
    )  # fmt: skip
    assert result.causes[0].fault == "sea-warm"
    assert leads_with(result.headline, title("sea-warm"))


def test_weak_since_haul_out(study: Study) -> None:
    begun = call(study, said="since haul-out", stream="weak")
    assert steps(begun)[0] == "open-seacock"
    result = call(
        study, said="since haul-out", stream="weak",
        step=[{"did": "open the seacock", "saw": "was not fully open", "stream": "strong"}],
    )  # fmt: skip
    assert result.causes[0].fault == "seacock-partly-shut"
    assert is_said(result.headline, SAY, "headline-done", done=DOING["open-seacock"].title)
    assert result.fixed > 0.7
    assert result.actions_tried[0].saw == "was not fully open"


def test_air_bound_after_the_strainer_was_cleaned(study: Study, without_bleed: Study) -> None:
    said = "since the strainer was cleaned"
    for loop, freed in ((study, "bleed"), (without_bleed, "loosen-outlet-hose")):
        begun = call(loop, said=said, stream="none", pump_sound="rough")
        assert begun.causes[0].fault == "pump-air-bound"
        assert freed in steps(begun)[:3]
        result = call(
            loop, said=said, stream="none", pump_sound="rough",
            step=[{"did": freed, "saw": "air came", "stream": "strong"}],
        )  # fmt: skip
        assert result.fixed > 0.7
    texts = " ".join(
        [one.how for one in begun.next] + [cause.fix + cause.look for cause in begun.causes]
    )
    assert "open the bleed" not in texts


def test_works_at_the_dock_and_trips_under_way(study: Study) -> None:
    result = call(
        study, said="works at the dock, not under way", stream="strong", flow="229 gal/h",
        under_way={"stream": "sputtering", "flow": "120 gal/h"},
    )  # fmt: skip
    assert result.causes[0].fault == "intake-air"
    # Where none comes the pump has lost its prime, or has no power at sea: seen first.
    none = call(
        study, said="works at the dock, not under way", stream="strong", unit="cools",
        under_way={"stream": "none"},
    )  # fmt: skip
    assert odds(none, "intake-air") > odds(none, "no-power-under-way")
    assert steps(none)[0] == "supply-under-way"
    # The same at both is no fault of the intake.
    same = call(
        study, stream="sputtering", flow="120 gal/h",
        under_way={"stream": "sputtering", "flow": "120 gal/h"},
    )  # fmt: skip
    assert odds(same, "intake-air") < 0.02


def test_it_hums_and_no_water_comes(study: Study) -> None:
    result = call(study, stream="none", pump_sound="hums")
    assert result.causes[0].fault == "pump-jammed"
    assert not set(steps(result)) & ON_THE_STREAM
    assert result.causes[0].fix.startswith(DOING["open-pump"].hazard)
    sure = call(study, stream="none", pump_sound="hums", pump_current="1.9 A")
    assert odds(sure, "pump-jammed", "motor-no-start") > 0.9
    assert odds(sure, "pump-jammed") > odds(sure, "motor-no-start")


@pytest.mark.parametrize(
    ("sound", "volts", "fault"),
    [
        ("silent", "115 V", "motor-dead"),
        ("silent", "0 V", "no-power"),
        ("hums", "115 V", "pump-jammed"),
        ("hums", None, "pump-jammed"),
        ("normal", "115 V", "pump-air-bound"),
    ],
)
def test_no_stream_and_what_the_pump_does_with_its_volts(
    study: Study, sound: str, volts: str | None, fault: str
) -> None:
    """Silent with voltage at its terminals means the motor; without it, the supply."""
    meter = {} if volts is None else {"supply": volts}
    result = call(study, stream="none", pump_sound=sound, **meter)
    assert result.causes[0].fault == fault
    if sound == "silent":
        assert leads_with(result.headline, title(fault))
        assert not set(steps(result)) & ON_THE_STREAM


def test_a_silent_pump_is_asked_for_its_volts_before_it_is_opened(study: Study) -> None:
    begun = steps(call(study, stream="none", pump_sound="silent"))
    assert {"supply", "check-breaker"} & set(begun[:2])
    assert "open-pump" not in begun[:2]
    dead = call(study, stream="none", pump_sound="silent", supply="115 V", pump_current="0 A")
    assert odds(dead, "motor-dead") > 0.9
    assert "fit-sound-pump" not in steps(dead)
    fix = dead.causes[0].fix
    assert fix.startswith(DOING["check-breaker"].hazard)
    assert fix.index(ALL.text(OPENS)) < fix.index(WORDS["motor-dead"].then[1:])
    fitted = call(
        study, stream="none", pump_sound="silent", supply="115 V",
        step=[{"did": "open-pump", "saw": "sound"},
              {"did": "fit-sound-pump", "saw": "the stream is strong", "stream": "strong"}],
    )  # fmt: skip
    assert fitted.causes[0].fault == "motor-dead"
    assert fitted.fixed > 0.7


@pytest.mark.parametrize("valves", [True, False])
def test_one_of_three_cabins_is_short(valves: bool) -> None:
    """Air, or a shut valve if there is one; steps that need valves are asked only if there are."""
    study = cabins(valves)
    readings = {
        "said": "only one of several units",
        "flow": {"forward": "20 gal/h", "saloon": "165 gal/h", "aft": "166 gal/h"},
        "unit": {"forward": "trips", "saloon": "cools"},
    }
    result = call(study, **readings)
    assert result.causes[0].fault == "branch-air"
    assert valves == ("branch-valve-shut" in {cause.fault for cause in result.causes})
    assert all("forward" in cause.where for cause in result.causes[:3])
    cure = "close-other-units" if valves else "fill-and-purge"
    assert cure in steps(result)[:4]
    if not valves:
        assert not {"close-other-units", "open-branch-valves"} & set(steps(result))
        assert "valve" not in " ".join(c.title + c.fix + c.look for c in result.causes[:1])
    assert "outlet_temperature.forward" not in steps(result)
    assert "outlet_temperature.aft" in steps(result)
    result = call(
        study, **readings,
        step=[{"did": cure, "saw": "the short unit comes to life" if valves else "air came",
               "flow": {"forward": "128 gal/h"}}],
    )  # fmt: skip
    assert result.causes[0].fault == "branch-air"
    assert result.fixed > 0.5


def test_a_branch_without_water_may_have_a_valve_shut_only_where_it_has_one() -> None:
    readings = {"flow": {"forward": "0 gal/h", "saloon": "165 gal/h", "aft": "166 gal/h"}}
    air = []
    for valves in (True, False):
        result = call(cabins(valves), **readings)
        air.append(odds(result, "branch-air"))
        assert (odds(result, "branch-valve-shut") > 0.1) == valves
        assert (steps(result)[0] == "open-branch-valves") == valves
    assert air[0] < air[1]


@pytest.mark.parametrize("valves", [True, False])
def test_a_branch_whose_water_others_take_is_one_that_is_not_balanced(valves: bool) -> None:
    """Nothing obstructs it: the others have more than a blocked branch would leave them."""
    study = prepare(three_cabins(valves))
    readings = {"flow": {"forward": "90 gal/h", "saloon": "180 gal/h", "aft": "180 gal/h"}}
    result = call(study, **readings)
    lead = result.causes[0]
    assert (lead.fault, lead.where) == ("branches-unbalanced", "branch forward")
    assert ("set-branch-valves" in steps(result)) == valves
    assert lead.fix.startswith(DOING["set-branch-valves"].hazard) == valves
    assert lead.fix.endswith(capital(WORDS["branches-unbalanced"].then))
    blocked = {"flow": {"forward": "60 gal/h", "saloon": "145 gal/h", "aft": "146 gal/h"}}
    assert odds(call(study, **blocked), "branches-unbalanced") < 0.2
    units = {"unit": {"forward": "weak", "saloon": "cools", "aft": "cools"}}
    added, before = call(study, **units, said="since a unit was added"), call(study, **units)
    assert added.causes[0].fault == "branches-unbalanced" != before.causes[0].fault


def test_a_loop_without_branches_has_none_to_balance(study: Study) -> None:
    assert "branches-unbalanced" not in {one.name for one in study.instances}
    said = [call(study, stream="weak", **more) for more in ({}, {"said": "a unit was added"})]
    assert said[0].causes[0].fault == said[1].causes[0].fault


def test_an_open_valve_in_a_branch_makes_its_air_no_likelier() -> None:
    """Compared with the branch's other faults, which are possible with and without the valve."""
    studies = [cabins(valves) for valves in (True, False)]
    for flow in ("5 gal/h", "20 gal/h", "40 gal/h"):
        readings = {"flow": {"forward": flow, "saloon": "165 gal/h", "aft": "166 gal/h"}}
        found = [call(study, **readings) for study in studies]
        air, rest = ([odds(one, *names) for one in found] for names in (
            ["branch-air"], ["branch-air", "branch-blocked", "condenser-header-blocked"]
        ))  # fmt: skip
        assert air[0] / rest[0] == pytest.approx(air[1] / rest[1], abs=0.05)


@pytest.mark.parametrize("stream", ["weak", None])
def test_a_trickle_is_explained(study: Study, stream: str | None) -> None:
    """Every flow from none to healthy is what some listed fault gives."""
    for flow in (0, 2, 5, 10, 15, 20, 30, 45, 70, 110, 160, 220):
        said = {"stream": stream} if stream else {}
        assert not call(study, flow=f"{flow} gal/h", **said).misfit, flow


def test_a_shut_seacock_stops_the_stream(study: Study) -> None:
    """It is checked first, since that takes a minute and its fault justifies the look."""
    result = call(study, stream="none", pump_sound="normal", said="since haul-out")
    assert "open-seacock" in steps(result)[:2]
    assert odds(result, "seacock-partly-shut") > 0.1


def test_what_is_likeliest_and_not_sure_is_not_said_to_be_singled_out(study: Study) -> None:
    for readings in (
        {"stream": "strong", "flow": "225 gal/h", "under_way": {"stream": "sputtering"}},
        {"stream": "sputtering", "flow": "160 gal/h"},
    ):
        result = call(study, **readings)
        for group in result.groups:
            if len(group.causes) == 1:
                row = "group-single" if group.probability >= 0.7 else "group-likeliest"
                assert is_said(group.sentence, SAY, row)


def test_what_was_read_under_way_is_among_the_reasons(study: Study) -> None:
    result = call(
        study, stream="strong", flow="225 gal/h",
        under_way={"stream": "sputtering", "flow": "120 gal/h"},
    )  # fmt: skip
    assert result.causes[0].fault == "intake-air"
    under_way = pattern(SAY, "why-under-way")
    assert len([one for one in result.causes[0].why.split("; ") if under_way.fullmatch(one)]) == 2
    dock = call(study, stream="sputtering", flow="120 gal/h")
    assert not any(under_way.fullmatch(one) for one in dock.causes[0].why.split("; "))


def test_a_reading_after_a_step_is_among_the_reasons(study: Study) -> None:
    """Under the step that it followed; what a step cured says nothing of readings after it."""
    after = pattern(SAY, "why-after")
    basket = {"did": "clean-basket", "saw": "dirty"}
    low = call(study, stream="weak", step=[basket | {"flow": "150 gal/h"}])
    lead = next(one for one in low.causes if one.fault == "pump-worn")
    told = [one for one in map(after.fullmatch, lead.why.split("; ")) if one]
    assert [one["done"] for one in told] == ["clean the strainer basket"]
    assert is_said(told[0]["said"], SAY, "why-number")
    again = call(study, stream="weak", step=[basket | {"stream": "weak"}])
    lead = next(one for one in again.causes if one.fault == "intake-fouled")
    assert [bool(after.fullmatch(one)) for one in lead.why.split("; ")] == [True]
    fixed = call(study, flow="120 gal/h", step=[basket | {"stream": "strong", "unit": "off"}])
    assert fixed.causes[0].fault == "strainer-blocked"
    assert not any(map(after.fullmatch, fixed.causes[0].why.split("; ")))


def test_slow_decline_over_two_seasons(study: Study) -> None:
    readings = {
        "said": "slow over two seasons", "stream": "weak", "flow": "160 gal/h",
        "sea_temperature": "82 degF", "outlet_temperature": "94 degF",
    }  # fmt: skip
    lead = call(study, **readings)
    assert {cause.fault for cause in lead.causes[:2]} == {"condenser-scaled", "pump-worn"}
    result = call(
        study, **readings, condensing_temperature="117 degF", pump_outlet_pressure="4.3 psi"
    )
    assert result.causes[0].fault == "condenser-scaled"
    assert result.causes[0].fix.startswith(DOING["descale"].hazard)


def test_new_pump_and_still_weak(study: Study) -> None:
    result = call(
        study, said="new pump", stream="weak", flow="130 gal/h", pump_outlet_pressure="1.6 psi",
        shutoff_pressure="2.8 psi", pump_current="0.52 A",
    )  # fmt: skip
    assert result.causes[0].fault == "wrong-pump"
    assert odds(result, "pump-worn") < 0.1


def test_what_was_wrong_once(study: Study, without_bleed: Study) -> None:
    """Calls that a technician tried, where the answer was wrong."""
    dead = call(study, stream="none", supply="0 V")
    assert dead.causes[0].fault == "no-power"
    assert odds(dead, "no-power", "unit-off") > 0.9  # a pump that is not called for has none
    stuck = call(study, stream="none", pump_current="1.8 A")
    assert stuck.causes[0].fault == "pump-jammed"
    nothing = call(study, stream="none")
    assert not set(steps(nothing)) & ON_THE_STREAM
    one = call(study, frequency="59.9 Hz")
    assert is_said(one.headline, SAY, "headline-all-well")
    tripped = call(study, flow="232 gal/h", sea_temperature="80 degF", outlet_temperature="81 degF")
    assert tripped.causes[0].fault == "unit-off"
    assert not tripped.misfit


def test_a_silent_pump_that_nothing_calls_for_is_no_dead_motor(study: Study) -> None:
    """First the unit, then the breaker; neither air nor another supply is of any help."""
    quiet = call(study, stream="none", pump_sound="silent")
    assert steps(quiet)[:2] == ["unit", "check-breaker"]
    assert not set(steps(quiet)) & {
        "bleed", "loosen-outlet-hose", "fill-and-purge", "swap-supply", "pump_current",
    }  # fmt: skip
    off = call(study, stream="none", pump_sound="silent", unit="off")
    assert off.causes[0].fault == "unit-off"
    assert odds(off, "motor-dead") < 0.5 * odds(quiet, "motor-dead")
    assert steps(off)[0] == "reset-unit"
    again = {"did": "reset-unit", "saw": "it starts", "stream": "strong"}
    started = call(study, stream="none", pump_sound="silent", unit="off", step=[again])
    assert started.fixed_by == "reset-unit"
    # One unit of several that is off leaves the pump to the others.
    several = cabins(valves=False)
    off = call(several, pump_sound="silent", unit={"forward": "off"})
    assert odds(off, "unit-off") < odds(off, "motor-dead")


def test_a_pump_on_a_battery_has_its_volts_measured_early() -> None:
    """A technician does that in a minute or two, and voltage is low more often than on mains."""
    loops = {drive: prepare_unit(LoopKind(2637.7, drive=drive)) for drive in ("ac", "dc")}
    found = {drive: call(loop, stream="weak", tools="multimeter") for drive, loop in loops.items()}
    assert odds(found["dc"], "supply-low") > 1.5 * odds(found["ac"], "supply-low")
    assert steps(found["dc"]).index("supply") < min(3, steps(found["ac"]).index("supply"))
    volts = {drive: next(s for s in r.next if s.reading == "supply") for drive, r in found.items()}
    assert (volts["ac"].hazard, volts["dc"].hazard) == (MEASURING["supply"].hazard, "")
    assert volts["dc"].minutes < volts["ac"].minutes


def test_a_unit_that_is_off_again_after_its_reset_was_not_just_left_off(study: Study) -> None:
    found = {"stream": "strong", "unit": "off"}
    reset = [{"did": "reset-unit", "saw": "it starts"}]
    once = odds(call(study, **found, step=reset), "unit-off")
    again = odds(call(study, **found, step=[{**reset[0], "unit": "off"}]), "unit-off")
    assert again > max(once, 0.7)


def test_what_shows_only_at_sea_is_less_likely_where_nobody_says_so(study: Study) -> None:
    """All reads well at the dock: a customer with trouble at sea mostly says that it is there."""
    well = {"stream": "strong", "unit": "cools", "pump_sound": "normal", "flow": "233 gal/h"}
    plain = call(study, **well)
    said = call(study, **well, said="works at the dock, not under way")
    seen = call(study, **well, under_way={"stream": "weak"})
    assert odds(plain, "intake-air") < 0.3 * odds(plain, "healthy")
    assert odds(said, "intake-air") > 3 * odds(said, "healthy")
    assert odds(seen, "intake-air") > 1.5 * odds(plain, "intake-air")


def test_which_unit_is_asked_first_where_one_of_several_is_the_trouble() -> None:
    several = cabins(valves=False)
    said = {"said": "only one unit"}
    asked = steps(call(several, **said))
    assert {name.partition(".")[0] for name in asked[:3]} == {"unit"}
    rest = steps(call(several, **said, unit={"aft": "cools"}))
    assert {name.partition(".")[0] for name in rest[:2]} == {"unit"}
    known = steps(call(several, **said, unit={"forward": "trips"}))
    assert {name.partition(".")[0] for name in known[:2]} != {"unit"}


@pytest.mark.parametrize("said", ["works at the dock, not under way", "when she heels"])
def test_what_shows_at_speed_is_looked_at_there(study: Study, said: str) -> None:
    """Once the stream was seen at the dock, and until it was read under way."""
    key = "under_way.stream"
    assert key in steps(call(study, said=said))
    begun = call(study, said=said, stream="strong", unit="cools")
    assert begun.next[0].reading == key
    assert "sputtering" in begun.next[0].answers
    assert begun.next[0].hazard
    read = Session(study.instruments.job).read(key, "sputtering").readings
    assert read.under_way is not None
    assert dict(read.under_way.words) == {"stream": "sputtering"}
    away = {"stream": "sputtering"}
    after = call(study, said=said, stream="strong", unit="cools", under_way=away)
    assert key not in steps(after)
    assert after.causes[0].fault == "intake-air"
    assert key not in steps(call(study, stream="strong"))


@pytest.mark.parametrize("loop", ["turnstone", "razorbill"])
def test_a_loop_that_is_short_as_built_is_said_to_be_that(loop: str, study: Study) -> None:
    """With the flow from loop check; nothing about it if every unit is served."""
    job = read_job(EXAMPLES / f"{loop}.toml")
    worst = min(check(job).condensers, key=lambda unit: unit.flow / unit.needed_flow)
    flow = show(worst.flow, "flow", job.units).split()[0]
    result = diagnose(job, {"stream": "strong"})
    assert flow in result.as_built
    assert show(worst.needed_flow, "flow", job.units) in result.as_built
    assert is_said(result.headline, SAY, "headline-as-built")
    assert result.headline.startswith(result.as_built)
    assert result.notes[0] == f"{result.as_built}."
    assert call(study, stream="strong").as_built == ""


@pytest.mark.parametrize(
    ("change", "row"),
    [
        ((4, "blocked", "85 %"), "stated-blocked"),
        ((2, "open", "32 %"), "stated-open"),
        ((1, "grate_open", "20 %"), "stated-growth"),
    ],
)
def test_dirt_that_the_file_states_is_named_before_readings_are_held_against_it(
    change: tuple[int, str, str], row: str
) -> None:
    result = diagnose(job_of(change), {"stream": "strong"})
    assert is_said(result.headline, SAY, "headline-as-built")
    (part,) = pattern(SAY, "dirty-as-built").findall(result.as_built)
    assert is_said(part, SAY, row)
    half = diagnose(job_of((4, "blocked", "30 %")), {"stream": "strong"})
    assert half.as_built == ""


def test_a_clamp_on_flow_meter_is_no_multimeter() -> None:
    job = read_job(EXAMPLES / "guillemot.toml")
    loop = prepare(job)
    for tools, asked in (("multimeter", False), ("flow meter", True), ("bucket", False)):
        found = steps(diagnose(job, {"tools": tools}, loop))
        assert ("flow.saloon" in found) == asked, tools


def test_more_air_looks_more_like_air(study: Study) -> None:
    air = [
        odds(call(study, stream="sputtering", flow=f"{q} gal/h"), "suction-air-leak", "intake-air")
        for q in (160, 125, 40)
    ]
    assert air == sorted(air)
    assert air[0] > 0.5


def test_a_cause_is_never_certain_by_elimination(study: Study) -> None:
    result = call(study, strainer_drop="2.5 psi", flow="130 gal/h", strainer_seen="dirty")
    assert result.unknown > 0
    assert result.causes[0].probability < 1.0
    assert "100 in 100" not in result.headline


def test_a_severity_is_not_taken_for_a_probability(study: Study) -> None:
    result = call(study, stream="weak", flow="110 gal/h", strainer_drop="3.4 psi")
    assert leads_with(result.headline, title("strainer-blocked"))
    said = pattern(SAY, "headline-cause").fullmatch(result.headline)
    assert "%" in said["bad"]
    assert "%" not in said["odds"]


def test_where_the_leading_causes_would_read_alike_one_that_would_not_is_given() -> None:
    study = study_of("guillemot")
    job = study.instruments.job
    result = diagnose(job, read_readings(EXAMPLES / "readings-guillemot.toml", job), study)
    volts = next(one for one in result.next if one.reading == "supply").expected
    low = volts.pop("supply-low")
    assert float(low) < min(map(float, volts.values())) - 0.3
    flow = next(one for one in result.next if one.reading == "flow").expected
    assert len(flow) == len(volts)


def test_the_example_of_a_call_ends_fixed(study: Study) -> None:
    job = study.instruments.job
    result = diagnose(job, read_readings(EXAMPLES / "readings-call.toml", job), study)
    assert result.causes[0].fault == "strainer-blocked"
    assert result.fixed > 0.7
    assert [one.saw for one in result.actions_tried] == ["was fully open", "dirty"]


def test_tools_limit_what_is_asked(study: Study) -> None:
    result = call(study, stream="weak", tools="bucket, thermometer")
    asked = {one.reading for one in result.next if one.kind == "reading"}
    assert asked <= {"flow", "sea_temperature", "outlet_temperature", "pump_sound", "unit",
                     "strainer_seen"}  # fmt: skip
    assert result.tools == ("bucket", "thermometer")
    bare = [one for one in call(study, tools="none").next if one.kind == "reading"]
    assert {one.reading for one in bare} <= {
        "stream", "pump_sound", "unit", "strainer_seen", *FETCHED,
    }  # fmt: skip


def test_a_bucket_or_a_thermometer_is_fetched_before_acid_a_diver_or_a_part(study: Study) -> None:
    """And before nothing else."""
    weak = {"stream": "strong", "unit": "weak"}
    looked = [
        {"did": "look-at-air-side", "saw": "clean, and it blows"},
        {"did": "clean-basket", "saw": "clean"}, {"did": "open-seacock", "saw": "was fully open"},
    ]  # fmt: skip
    for readings in ({"stream": "weak"}, weak, weak | {"step": looked}):
        asked = steps(call(study, **readings, tools="none"))
        drastic = [n for n, name in enumerate(asked) if (a := BY_NAME.get(name)) and is_drastic(a)]
        fetched = [n for n, name in enumerate(asked) if name in FETCHED]
        assert bool(fetched) == bool(drastic)
        assert max(fetched, default=0) <= min(drastic, default=0)
        between = asked[min(fetched, default=0) : min(drastic, default=0)]
        assert set(between) <= FETCHED | {"pump_sound"}
    assert fetched


def test_after_something_was_done_the_readings_are_taken_again(study: Study) -> None:
    before = call(study, stream="weak", flow="120 gal/h")
    assert not {"stream", "flow"} & set(steps(before))
    after = call(study, stream="weak", flow="120 gal/h", step=[{"did": "open-seacock"}])
    assert {"stream", "flow"} <= set(steps(after))
    assert "open-seacock" not in steps(after)


def test_no_step_that_shows_nothing_changed_makes_a_fault_likelier(study: Study) -> None:
    """A basket cleaned without effect counts against the basket, even a dirty one."""
    before = call(study, stream="weak", flow="110 gal/h")
    after = call(
        study, stream="weak", flow="110 gal/h",
        step=[{"did": "clean-basket", "saw": "dirty", "flow": "111 gal/h"}],
    )  # fmt: skip
    assert odds(after, "strainer-blocked") < 0.5 * odds(before, "strainer-blocked")
    cured = call(
        study, stream="weak", flow="110 gal/h",
        step=[{"did": "clean-basket", "saw": "dirty", "flow": "229 gal/h"}],
    )  # fmt: skip
    assert cured.causes[0].fault == "strainer-blocked"


def test_every_unit_of_a_large_boat_is_looked_at() -> None:
    names = [f"cabin {i}" for i in range(9)]

    def branch(name: str) -> dict[str, object]:
        return {
            "name": name,
            "part": [
                {"kind": "hose", "length": "5 ft", "to": "6 in", "bore": "5/8 in"},
                {"kind": "condenser", "serves": name, "loss": "1 psi at 100 gal/h"},
                {"kind": "hose", "length": "4 ft", "to": "4 in", "bore": "5/8 in"},
                {"kind": "discharge", "height": "4 in", "bore": "5/8 in"},
            ],
        }

    job = parse_job(
        {
            "water": {"temperature": "84 degF"},
            "defaults": {"bore": "2 in"},
            "condenser": [{"name": n, "cooling": "5000 BTU/h"} for n in names],
            "part": [
                {"kind": "intake", "height": "-16 in"},
                {"kind": "hose", "length": "2 ft", "to": "-10 in"},
                {"kind": "pump", "curve": "demo-ac-1500"},
                {"kind": "hose", "length": "4 ft", "to": "-2 in"},
                {"kind": "manifold", "branch": [branch(name) for name in names]},
            ],
        }
    )
    result = diagnose(
        job,
        {
            "flow": dict.fromkeys(names[:8], "60 gal/h") | {"cabin 8": "8 gal/h"},
            "unit": {"cabin 8": "trips"},
        },
    )
    # All have too little water, and cabin 8 has next to none: two faults at once.
    assert any("cabin 8" in cause.where for cause in result.causes[:2])
    assert "condensing_temperature.cabin 8" in result.healthy


def test_the_same_read_again_is_no_new_evidence(study: Study) -> None:
    """A step that changes nothing, then the same reading, leave the odds almost unchanged."""
    once = call(study, stream="weak", flow="110 gal/h", step=[{"did": "wiggle-hoses"}])
    again = call(
        study, stream="weak", flow="110 gal/h",
        step=[{"did": "wiggle-hoses", "flow": "110 gal/h", "stream": "weak"}],
    )  # fmt: skip
    for one in once.causes[:4]:
        same = next(other for other in again.causes if other.fault == one.fault)
        assert same.present == pytest.approx(one.present, abs=0.05)


def test_two_faults_are_two_lines_and_no_sure_cause_is_passed_over(study: Study) -> None:
    result = call(
        study, stream="weak", flow="70 gal/h", strainer_drop="1.5 psi", shutoff_pressure="2.9 psi",
        sea_temperature="84 degF", pump_outlet_pressure="1.1 psi",
    )  # fmt: skip
    first, second = result.causes[:2]
    assert {first.fault, second.fault} == {"strainer-blocked", "pump-worn"}
    assert first.present >= second.present > 0.5
    said = pattern(SAY, "headline-cause").fullmatch(result.headline)
    assert said["other"] == second.title
    assert all(" + " not in cause.fault for cause in result.causes)
    present = [cause.present for cause in result.causes]
    assert present == sorted(present, reverse=True)


def test_what_no_fault_gives_is_something_else(study: Study) -> None:
    """Full flow, and twice the heat: a second source of heat that is not in the job."""
    result = call(
        study, stream="strong", flow="231 gal/h", sea_temperature="80 degF",
        outlet_temperature="98 degF", condensing_temperature="112 degF",
        pump_outlet_pressure="3.3 psi",
    )  # fmt: skip
    assert result.unknown > 0.5
    assert is_said(result.headline, SAY, "headline-no-fit")


def test_where_nothing_fits_the_reading_that_fits_worst_is_taken_again(study: Study) -> None:
    others = {"stream": "strong", "flow": "230 gal/h", "strainer_drop": "0.2 psi"}
    misread = call(study, **others, pump_outlet_pressure="25 psi")
    assert misread.next[0].reading == "pump_outlet_pressure"
    assert misread.next[0].title in misread.headline
    assert "pump_outlet_pressure" not in steps(misread)[1:]
    right = call(study, **others, pump_outlet_pressure="3.3 psi")
    assert "pump_outlet_pressure" not in steps(right)
    after = call(study, **others, step=[{"did": "wiggle-hoses", "pump_outlet_pressure": "25 psi"}])
    assert after.next[0].reading == "pump_outlet_pressure"


def test_the_sea_says_the_same_before_and_after_something_was_done(study: Study) -> None:
    """A check that finds nothing says equally little about the sea whenever it is made."""
    done = {"did": "look-at-discharge", "saw": "clear"}
    warm = {"sea_temperature": "96 degF"}
    first = call(study, **warm, step=[done])
    last = call(study, step=[done | warm])
    assert odds(last, "sea-warm") == pytest.approx(odds(first, "sea-warm"), abs=1e-6)
    assert odds(last, "sea-warm") > 0.7


def test_a_pump_that_hums_is_switched_off_first_and_never_started_again(study: Study) -> None:
    """It burns while it hums: what comes next is the pump itself, off at its breaker."""
    result = call(study, stream="none", pump_sound="hums")
    assert is_said(result.headline, SAY, "headline-hums")
    assert result.next
    assert {one.reading for one in result.next} <= {
        "open-pump", "fit-sound-pump",
    }  # fmt: skip
    assert result.next[0].reading == "open-pump"


@pytest.mark.parametrize(
    ("steps", "ordered"),
    [
        ([{"did": "check-breaker", "saw": "was on"}], True),
        ([{"did": "open-pump", "saw": "damaged or jammed", "pump_sound": "normal"}], False),
        ([{"did": "open-pump"},
          {"did": "fit-sound-pump", "saw": "the stream is strong", "stream": "strong"}], False),
        ([{"did": "fit-sound-pump", "saw": "the stream is strong", "pump_sound": "hums"}], True),
    ],
)  # fmt: skip
def test_the_order_to_switch_off_holds_until_the_hum_is_cured(
    study: Study, steps: list[dict[str, str]], ordered: bool
) -> None:
    result = call(study, stream="none", pump_sound="hums", step=steps)
    assert is_said(result.headline, SAY, "headline-hums") == result.hums == ordered


def test_a_pump_that_was_opened_stays_off_and_is_not_ordered_off_again(study: Study) -> None:
    opened = {"did": "open-pump", "saw": "sound"}
    hums = {"stream": "none", "pump_sound": "hums"}
    result = call(study, **hums, step=[opened])
    assert result.hums
    assert is_said(result.headline, SAY, "headline-hums-off")
    heard = call(study, **hums, step=[opened | {"pump_sound": "hums"}, {"did": "read-label"}])
    assert is_said(heard.headline, SAY, "headline-hums")
    told = call(study, stream="none", pump_sound="hums", pump_current="1.9 A")
    assert leads_with(
        pattern(SAY, "headline-hums").fullmatch(told.headline)["said"], title("pump-jammed")
    )
    assert WORDS["pump-jammed"].severity not in told.headline


# Cured by one step, and the actions after it found nothing.
CURED: list[tuple[str, dict[str, Any]]] = [
    ("look-at-discharge", {"stream": "weak", "step": [
        {"did": "clean-basket", "saw": "clean"},
        {"did": "look-at-discharge", "saw": "blocked", "stream": "strong"},
        {"did": "wiggle-hoses", "saw": "no change"},
        {"did": "clean-basket", "saw": "clean"}]}),
    ("bleed", {"said": "since haul-out", "stream": "none", "step": [
        {"did": "bleed", "saw": "air came", "stream": "strong"},
        {"did": "swap-supply", "saw": "no change", "stream": "strong"},
        {"did": "open-pump", "saw": "sound", "unit": "cools"}]}),
    ("look-at-air-side", {"stream": "strong", "unit": "weak", "step": [
        {"did": "look-at-air-side", "saw": "filter or fan at fault", "unit": "cools"}]}),
]  # fmt: skip


@pytest.mark.parametrize(("by", "readings"), CURED)
def test_what_cured_it_is_credited_and_the_call_is_done(
    study: Study, by: str, readings: dict[str, Any]
) -> None:
    result = call(study, **readings)
    assert (result.fixed_by, result.done, result.next) == (by, True, ())
    assert is_said(result.headline, SAY, "headline-done", done=DOING[by].title)
    assert result.to_dict()["fixed_by"] == by


def test_what_may_have_cured_it_is_seen_before_anything_else(study: Study) -> None:
    """After taking weed out of the basket one looks at the stream, not for more weed there."""
    dirty = {"did": "clean-basket", "saw": "dirty"}
    weed, stream = {"said": "after weed, mud or jellyfish", "stream": "weak"}, "stream"
    after = call(study, **weed, step=[dirty])
    assert is_said(after.headline, SAY, "headline-unread", done=DOING["clean-basket"].title)
    assert steps(after)[0] == stream
    assert steps(after).count(stream) == 1
    for nothing in (dirty | {"saw": "clean"}, dirty | {"stream": "weak"}):
        result = call(study, **weed, step=[nothing])
        assert not is_said(result.headline, SAY, "headline-unread")


def test_a_cause_that_the_customer_alone_speaks_for_is_seen_at_speed(study: Study) -> None:
    """One answer: the likeliest cause, and the stream under way, which shows it."""
    said = {"said": "not under way, when she heels", "stream": "strong", "flow": "1 gal in 16 s"}
    result = call(study, **said)
    assert leads_with(result.headline, title("intake-air"))
    assert steps(result)[0] == "under_way.stream"


def test_a_supply_that_proved_the_generator_has_not_mended_it(study: Study) -> None:
    other = {"did": "swap-supply", "saw": "the pump runs stronger", "stream": "strong"}
    result = call(study, said="only on the generator", stream="weak", step=[other])
    assert (result.left, result.done, steps(result)) == (
        "generator-slow", False, ["fix-generator-slow"],
    )  # fmt: skip
    assert is_said(result.headline, SAY, "headline-left", cause=title("generator-slow"))
    assert fix("generator-slow") in result.headline


def test_what_let_the_air_in_is_sought_before_it_is_called_fixed(study: Study) -> None:
    said = {"said": "since the strainer was cleaned", "stream": "sputtering"}
    bled = {"did": "bleed", "saw": "air came", "stream": "strong"}
    seated = {"did": "seat-lid-and-clamps", "saw": "something was loose"}
    result = call(study, **said, step=[bled])
    assert (result.left, result.done, steps(result)) == (
        "suction-air-leak", False, ["seat-lid-and-clamps"],
    )  # fmt: skip
    assert is_said(result.headline, SAY, "headline-perhaps-left")
    tightened = call(study, **said, step=[bled, seated])
    assert not tightened.done
    assert is_said(tightened.headline, SAY, "headline-unread")
    assert steps(tightened)[0] == "stream"
    assert call(study, **said, step=[bled, seated | {"stream": "strong"}]).done
    # A pump that lost its prime at haul-out did so for a known reason: no joint is suspected.
    assert call(study, said="since haul-out", stream="none", step=[bled]).done


def test_a_basket_that_was_clean_cured_nothing(study: Study) -> None:
    done = {"did": "clean-basket", "saw": "clean", "stream": "strong"}
    assert call(study, stream="weak", step=[done]).fixed_by != "clean-basket"
    dirty = call(study, stream="weak", step=[done | {"saw": "dirty"}])
    assert dirty.fixed_by == "clean-basket"


def test_until_what_was_wrong_is_read_again_the_call_is_not_done(study: Study) -> None:
    """A pump's sound does not prove enough water, nor does a unit that cools at first."""
    handle = {"did": "open-seacock", "saw": "was not fully open"}
    before = {"said": "since haul-out", "stream": "weak", "flow": "90 gal/h"}
    for read, done in (
        ({"pump_sound": "normal"}, False), ({"stream": "strong"}, False),
        ({"unit": "cools"}, False), ({"flow": "231 gal/h"}, True),
    ):  # fmt: skip
        result = call(study, **before, step=[handle | read])
        assert result.fixed > 0.7
        row = "headline-done" if done else "headline-fixed"
        assert is_said(result.headline, SAY, row, done=DOING["open-seacock"].title)
        assert result.done == done
        assert steps(result) == ([] if done else ["flow"])  # no look stands for the bucket
    known = prepare(study.instruments.job, {"seacock-partly-shut": 5.0})
    again = call(known, stream="strong", unit="trips", step=[handle | {"stream": "strong"}])
    assert again.fixed_by == "open-seacock"
    assert not again.done  # a stream that was strong all along shows no unit that cools


@pytest.mark.parametrize("since", [{"stream": "none", "flow": "1 gal in 16 s"}, {"stream": "none"}])
def test_what_contradicts_itself_since_is_not_called_fixed(
    study: Study, since: dict[str, str]
) -> None:
    basket = {"did": "clean-basket", "saw": "dirty"}
    result = call(study, stream="weak", unit="trips", step=[basket | since])
    assert (result.fixed_by, result.done) == ("", False)
    assert is_said(result.headline, SAY, "headline-pair") == (len(since) == 2)
    if len(since) == 2:
        assert [one.reading for one in result.next[:2]] == ["stream", "flow"]


def test_what_nothing_done_since_can_have_changed_is_not_asked_again(study: Study) -> None:
    """A look along the hoses changes no stream; opening a shut seacock does."""
    for did, saw, again in (
        ("wiggle-hoses", "no change", False),
        ("look-at-discharge", "clear", False),
        ("open-seacock", "was not fully open", True),
    ):
        result = call(study, stream="weak", step=[{"did": did, "saw": saw}])
        assert ("stream" in steps(result)) == again, did


def test_a_unit_that_cools_weakly_is_not_reset(study: Study) -> None:
    assert "reset-unit" not in steps(call(study, stream="strong", unit="weak"))
    assert "reset-unit" in steps(call(study, stream="strong", unit="trips"))


@pytest.mark.parametrize(
    "readings",
    [
        {"stream": "none", "flow": "200 gal/h"},
        {"pump_sound": "silent", "flow": "230 gal/h"},
        {"unit": "weak", "flow": "230 gal/h", "stream": "strong"},
    ],
)
def test_what_no_healthy_loop_shows_is_not_called_as_it_should_be(
    readings: dict[str, str], study: Study
) -> None:
    assert not call(study, **readings).well
    assert call(study, flow="233 gal/h", stream="strong").well
