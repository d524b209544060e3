"""How a call ends: what must have been done and read before it counts as fixed."""

import tomllib
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from loop.check import check
from loop.diagnose import Diagnosis, diagnose, prepare
from loop.diagnose.actions import BY_NAME
from loop.diagnose.as_built import traps_air
from loop.diagnose.call_end import LETS_AIR_OUT, OF_ALL_UNITS, TRIPS
from loop.diagnose.display import reading_text
from loop.diagnose.headline import fixed_fault, why_no_step
from loop.diagnose.how_to_measure import parts_present
from loop.diagnose.hypotheses import Study
from loop.diagnose.parse import parse_readings
from loop.diagnose.reading_kinds import KINDS
from loop.diagnose.root_cause import ROOT_CAUSE_CHECKS
from loop.diagnose.session import Session, to_toml
from loop.diagnose.statements import BY_TEXT, OF_SEVERAL, STATEMENTS, may_apply
from loop.hydraulics import build
from loop.job import parse_job, read_job, read_toml
from loop.words.diagnosis import SAY
from loop.words.faults import fix, title
from loop.words.had import Has
from loop.words.to_do import DOING, doing
from tests.said import is_said
from tests.studies import study_of, study_of_no_job
from tests.test_codes import JOBS

EXAMPLES = Path(__file__).parent.parent / "examples"
SHUT = {"did": "open-seacock", "saw": "was not fully open", "stream": "strong"}
BRANCH = {"did": "open-branch-valves", "saw": "one was not open", "stream": "strong"}
DIRTY = {"did": "clean-basket", "saw": "dirty", "stream": "strong"}
RESET = {"did": "reset-unit", "saw": "it starts", "unit": "cools"}
BLED = {"did": "bleed", "saw": "air came", "stream": "strong"}
SEATED = {"did": "seat-lid-and-clamps", "saw": "all was tight"}
WAS_OFF = {"did": "check-breaker", "saw": "was off", "stream": "strong"}
# From `check`: with these the pump runs dry, or never fills the line.
DRY = {"start-head-short", "suction-above-water", "pump-above-water"}
DEAD = {"stream": "none", "pump_sound": "rough"}
SILENT = {"stream": "none", "pump_sound": "silent"}


def call(study: Study, *steps: dict[str, str], **readings: Any) -> Diagnosis:
    return diagnose(study.instruments.job, readings | {"step": list(steps)}, study)


def asked(result: Diagnosis) -> list[str]:
    return [one.reading for one in result.next]


@pytest.mark.parametrize("said", ["high-pressure fault", "trips at noon only", None])
def test_a_unit_that_tripped_is_seen_to_cool_before_the_call_is_done(said: str | None) -> None:
    """A stream that is strong again says nothing about scale or film in the unit."""
    study = study_of("kittiwake")
    before = {"stream": "weak"} | ({"said": said} if said else {"unit": "trips"})
    result = call(study, SHUT, **before)
    assert (result.fixed_by, result.done, asked(result)) == ("open-seacock", False, ["unit"])
    step = SAY("step-brief", title=result.next[0].title, minutes=result.next[0].minutes)
    assert is_said(result.headline, SAY, "headline-fixed", step=step)
    assert fixed_fault(result) == ""  # nothing for the record yet
    cools = call(study, SHUT | {"unit": "cools"}, **before)
    assert cools.done
    assert not asked(cools)
    assert fixed_fault(cools) == "seacock-partly-shut"
    trips = call(study, SHUT | {"unit": "trips"}, **before)
    assert not trips.done
    assert trips.fixed_by == ""


def test_what_was_too_hot_is_read_again() -> None:
    hot = {"stream": "weak", "condensing_temperature": "125 degF"}
    result = call(study_of("kittiwake"), SHUT, **hot)
    assert (result.done, asked(result)) == (False, ["condensing_temperature"])
    assert call(study_of("kittiwake"), SHUT | {"condensing_temperature": "104 degF"}, **hot).done


@pytest.mark.parametrize(
    ("said", "step"),
    [("high-pressure fault", SHUT), ("only one of several units", BRANCH)],
)
def test_each_of_several_units_is_seen(said: str, step: dict[str, str]) -> None:
    study = study_of("razorbill-balanced")
    result = call(study, step, said=said, stream="weak")
    units = ["unit.wheelhouse", "unit.stateroom"]
    assert result.fixed_by == step["did"]
    assert (result.done, asked(result)) == (False, units)
    one = call(study, step | {units[0]: "cools"}, said=said, stream="weak")
    assert (one.done, asked(one)) == (False, units[1:])
    assert call(study, step | dict.fromkeys(units, "cools"), said=said, stream="weak").done


def test_valves_that_were_shut_for_a_test_are_open_before_the_call_ends() -> None:
    """No unit cools behind a shut valve: each is seen after the last valve was moved."""
    study, units = study_of("razorbill-balanced"), ["unit.wheelhouse", "unit.stateroom"]
    shut = {"did": "close-other-units", "saw": "the short unit comes to life", "stream": "strong"}
    ill = {"stream": "weak", "unit.stateroom": "trips"}
    alone = call(study, shut | {"unit.stateroom": "cools"}, **ill)
    assert (alone.fixed_by, alone.done, asked(alone)) == ("close-other-units", False, units[:1])
    assert call(study, shut | dict.fromkeys(units, "cools"), **ill).done
    later = {"did": "close-other-units", "saw": "no change"}
    opened = SHUT | dict.fromkeys(units, "cools")
    assert call(study, opened, **ill).done
    after = call(study, opened, later, **ill)
    assert (after.done, set(asked(after))) == (False, {"stream", *units})


def test_the_boat_at_speed_is_calculated_only_where_something_was_read_there() -> None:
    def asked_for() -> Study:
        raise LookupError("at speed")

    study = replace(study_of("kittiwake"), speeding=asked_for)
    assert call(study, SHUT | {"unit": "cools"}, stream="weak", unit="trips").fixed_by
    with pytest.raises(LookupError, match="at speed"):
        call(study, SHUT | {"under_way": {"stream": "weak"}}, stream="weak")


@pytest.mark.parametrize("said", [None, "trips at noon only"])
def test_a_lock_out_that_was_reset_is_no_end(said: str | None) -> None:
    """A unit always cools for its first minutes: the cause of its trip is read while it runs."""
    study = study_of("kittiwake")
    before = {"unit": "off", "stream": "strong", "sea_temperature": "84 degF"}
    before |= {"said": said} if said else {}
    result = call(study, RESET, **before)
    assert (result.fixed_by, result.done) == ("reset-unit", False)
    assert asked(result) == ["flow", "condensing_temperature"]
    unknown = SAY(ROOT_CAUSE_CHECKS["reset-unit"].unknown)
    assert is_said(result.headline, SAY, "headline-unknown", unknown=unknown)
    few = call(study, RESET, **before, tools="none")
    assert (few.done, few.next) == (False, ())
    assert few.headline.endswith(SAY(ROOT_CAUSE_CHECKS["reset-unit"].watch))
    assert why_no_step(few) == "next-watch"
    hot = call(study, RESET | {"flow": "233 gal/h", "condensing_temperature": "128 degF"}, **before)
    assert not hot.done


@pytest.mark.parametrize("before", [SILENT, {"stream": "strong", "pump_sound": "normal"}])
def test_a_unit_that_runs_again_is_off_no_more(before: dict[str, str]) -> None:
    """It tripped for a reason, with or without its pump running: hot is not "off"."""
    study = study_of("kittiwake")
    hot = {"stream": "strong", "flow": "233 gal/h", "condensing_temperature": "128 degF"}
    result = call(study, RESET | hot, **before | {"unit": "off"}, sea_temperature="84 degF")
    assert result.causes[0].fault != "unit-off"
    assert is_said(result.headline, SAY, "headline-unknown", unknown=SAY("unknown-trip"))


def test_behind_the_trip_of_one_unit_stands_what_ails_that_unit() -> None:
    """The others cool, so it is nothing in the line that supplies them all."""
    study = study_of("guillemot")
    units = {"unit.saloon": "off", "unit.owner's cabin": "cools"}
    again = {"did": "reset-unit", "saw": "it starts", "unit.saloon": "trips"}
    result = call(study, again, **units, stream="strong", flow="429 gal/h")
    behind = [one for one in result.causes if one.fault != "unit-off"]
    assert "saloon" in behind[0].where


def test_how_the_air_came_in_is_sought_unless_it_is_told() -> None:
    study = study_of("kittiwake")
    result = call(study, BLED, **DEAD)
    assert (result.fixed_by, result.done) == ("bleed", False)
    assert asked(result) == ["seat-lid-and-clamps"]
    assert is_said(
        result.headline, SAY, "headline-unknown", unknown=SAY(ROOT_CAUSE_CHECKS["bleed"].unknown)
    )
    looked = call(study, BLED, SEATED, **DEAD)
    assert (looked.done, looked.unread, asked(looked)[0]) == (
        False, "seat-lid-and-clamps", "stream",
    )  # fmt: skip
    assert call(study, BLED, SEATED | {"stream": "strong"}, **DEAD).done
    loose = call(study, BLED, SEATED | {"saw": "something was loose", "stream": "strong"}, **DEAD)
    assert (loose.done, loose.fixed_by) == (True, "seat-lid-and-clamps")
    for lid in ("since the strainer was cleaned", "new pump"):
        assert asked(call(study, BLED, **DEAD, said=lid)) == ["seat-lid-and-clamps"]
    purged = {"did": "fill-and-purge", "saw": "air came", "stream": "strong"}
    assert asked(call(study, purged, **DEAD)) == ["seat-lid-and-clamps"]
    for told in ROOT_CAUSE_CHECKS["bleed"].told:
        assert call(study, BLED, **DEAD, said=told).done
    shut = {"did": "open-seacock", "saw": "was not fully open", "stream": "none"}
    assert call(study, shut, BLED, **DEAD).done


def test_air_that_comes_twice_comes_in_somewhere() -> None:
    study, told = study_of("kittiwake"), "since haul-out"
    assert call(study, BLED, **DEAD, said=told).done
    twice = call(study, BLED, BLED, **DEAD, said=told)
    assert (twice.done, asked(twice)) == (False, ["seat-lid-and-clamps"])
    still_dry = BLED | {"stream": "none"}
    assert call(study, still_dry, BLED, **DEAD, said=told).done  # the same air, not all of it yet


@pytest.mark.parametrize(
    ("put_right", "ill"),
    [
        (SHUT, {"stream": "none"}),
        (DIRTY, {"stream": "weak"}),
        (WAS_OFF | {"pump_current": "0.57 A"}, SILENT),
        (BLED, DEAD | {"said": "since haul-out"}),
    ],
)
def test_a_unit_that_locked_itself_out_is_reset_once_the_water_is_back(
    put_right: dict[str, str], ill: dict[str, str]
) -> None:
    """Before any gauge or acid; and the fault fixed before is why it was off."""
    study = study_of("kittiwake")
    looked = {"did": "look-at-air-side", "saw": "clean, and it blows"}
    for word in ("trips", "off"):
        result = call(study, put_right | {"unit": word}, looked, **ill, unit=word)
        assert asked(result)[0] == "reset-unit"
    starts = {"did": "reset-unit", "saw": "it starts"}
    after = call(study, put_right | {"unit": "off"}, looked, starts, **ill, unit="trips")
    assert asked(after) == ["unit"]
    cools = call(study, put_right | {"unit": "off"}, looked, RESET, **ill, unit="trips")
    assert (cools.done, cools.fixed_by) == (True, put_right["did"])
    stops = call(study, put_right | {"unit": "off"}, RESET | {"unit": "trips"}, **ill)
    assert "reset-unit" not in asked(stops)[:1]


def test_a_unit_that_stands_takes_neither_gauges_nor_acid() -> None:
    result = call(study_of("kittiwake"), stream="strong", unit="off", pump_sound="normal")
    assert not {"measure-refrigerant", "descale"} & set(asked(result))


@pytest.mark.parametrize("said", [None, "high-pressure fault", "trips at noon only"])
def test_a_unit_that_runs_in_the_cool_of_the_evening_is_not_fixed(said: str | None) -> None:
    """If all readings are normal the cause is unseen: it returns with the heat."""
    study = study_of("kittiwake")
    before = {"unit": "off", "stream": "strong", "sea_temperature": "80 degF"}
    before |= {"said": said} if said else {}
    shown = RESET | {"stream": "strong", "flow": "233 gal/h", "outlet_temperature": "88 degF"}
    result = call(study, shown, **before)
    assert (result.done, result.unknown_why) == (False, "reset-unit")
    waits = said == "trips at noon only"
    assert asked(result) == (["run-until-it-fails"] if waits else [])
    if not waits:
        assert result.watch == ROOT_CAUSE_CHECKS["reset-unit"].well
        assert is_said(result.headline, SAY, "headline-unknown", then=SAY(result.watch))
    runs_on = {"did": "run-until-it-fails", "saw": "it runs on", "unit": "cools"}
    ran = call(study, shown, runs_on, **before)
    assert (ran.done, ran.next) == (False, ())


def test_what_is_too_warm_after_a_reset_is_traced() -> None:
    """Reading the sea takes a minute, and it explains every trip behind it."""
    hot = RESET | {"flow": "240 gal/h", "outlet_temperature": "104 degF"}
    tools = "bucket, thermometer"
    result = call(study_of("kittiwake"), hot, stream="strong", unit="trips", tools=tools)
    assert (result.done, asked(result)[0]) == (False, "sea_temperature")
    step = SAY("step-brief", title=result.next[0].title, minutes=result.next[0].minutes)
    assert is_said(result.headline, SAY, "headline-unknown", then=SAY("headline-next", step=step))


def test_to_see_that_there_is_no_power_under_way_mends_nothing() -> None:
    study = study_of("kittiwake")
    at_sea = {"said": "works at the dock, not under way", "under_way": {"stream": "none"}}
    seen = {"did": "supply-under-way", "saw": "no power there"}
    for read in ({}, {"stream": "strong", "flow": "233 gal/h", "unit": "cools"}):
        result = call(study, seen | read, **at_sea, stream="strong")
        assert (result.left, result.fixed_by) == ("no-power-under-way", "")
        assert (result.done, asked(result)) == (False, ["fix-no-power-under-way"])
        assert is_said(result.headline, SAY, "headline-found", cause=title("no-power-under-way"))
        assert result.headline.endswith(fix("no-power-under-way"))
    there = call(study, seen | {"saw": "power there"}, **at_sea, stream="strong")
    assert there.left == ""


def test_to_measure_refrigerant_mends_no_leak() -> None:
    low = {"did": "measure-refrigerant", "saw": "charge or circuit at fault", "unit": "cools"}
    aired = {"did": "look-at-air-side", "saw": "clean, and it blows"}
    well = {"stream": "strong", "flow": "233 gal/h", "condensing_temperature": "95 degF"}
    result = call(study_of("kittiwake"), aired, low, **well, unit="weak")
    assert (result.left, result.done) == ("refrigerant-low", False)


def test_a_flow_that_was_measured_short_is_measured_again() -> None:
    """No look replaces the bucket if it is at hand."""
    study, ill = study_of("kittiwake"), {"flow": "120 gal/h", "unit": "trips"}
    looks = DIRTY | {"unit": "cools"}
    result = call(study, looks, **ill, tools="bucket")
    assert (result.fixed_by, result.done, asked(result)) == ("clean-basket", False, ["flow"])
    assert call(study, looks | {"flow": "233 gal/h"}, **ill, tools="bucket").done
    assert not call(study, looks | {"flow": "165 gal/h"}, **ill, tools="bucket").done
    assert call(study, looks, **ill, tools="thermometer").done


def test_air_that_the_loop_holds_as_built_comes_again() -> None:
    """If `check` calls it a danger in the same file, the call does not end as fixed."""
    study = study_of("petrel")
    freed = {"did": "loosen-outlet-hose", "saw": "air came", "stream": "strong"}
    result = call(study, freed, **DEAD, said="since haul-out")
    assert (result.recurs, result.done, result.next) == (True, False, ())
    assert result.as_built == traps_air(study) != ""
    assert is_said(result.headline, SAY, "headline-recurs", built=result.as_built)
    # A basket does not explain air: it may be dirty on any boat.
    assert call(study, DIRTY, stream="weak").done


@pytest.mark.parametrize("name", ["petrel", "petrel-fixed", "kittiwake", *sorted(DRY)])
def test_a_loop_keeps_air_where_check_finds_that_it_runs_dry(name: str) -> None:
    job = JOBS[name]() if name in JOBS else read_job(EXAMPLES / f"{name}.toml")
    found = {one.code for one in check(job, fixes=False).findings if one.level == "danger"}
    assert bool(traps_air(prepare(job))) == bool(found & DRY)


def test_a_hose_that_was_only_eased_is_still_to_be_replaced() -> None:
    said = ["after it has run a while", "good again after a rest"]
    eased = {"did": "follow-hoses", "saw": "kinked or flat somewhere", "stream": "strong"}
    moved = {"did": "wiggle-hoses", "saw": "the water changes"}
    result = call(study_of("kittiwake"), moved, eased, said=said, stream="weak")
    assert (result.left, result.done) == ("suction-hose-collapsed", False)
    assert asked(result) == ["which-hose"]
    flat = {"did": "which-hose", "saw": "before the pump"}
    result = call(study_of("kittiwake"), moved, eased, flat, said=said, stream="weak")
    assert (result.left, result.done) == ("suction-hose-collapsed", False)
    assert result.headline.endswith(fix("suction-hose-collapsed"))


def test_why_a_breaker_went_is_measured_or_said_to_be_unknown() -> None:
    study = study_of("kittiwake")
    result = call(study, WAS_OFF, **SILENT)
    assert (result.fixed_by, result.done, asked(result)) == (
        "check-breaker", False, ["pump_current"],
    )  # fmt: skip
    assert call(study, WAS_OFF | {"pump_current": "0.57 A"}, **SILENT).done
    bare = call(study, WAS_OFF, **SILENT, tools="bucket")
    assert (bare.done, bare.next) == (False, ())
    assert bare.headline.endswith(SAY(ROOT_CAUSE_CHECKS["check-breaker"].watch))
    assert not call(study, WAS_OFF | {"pump_current": "0.9 A"}, **SILENT).done


def test_no_governor_is_set_before_its_hertz_were_read() -> None:
    """Low voltage at a pump may be from the dock, the wire or the generator."""
    study = study_of("kittiwake")
    other = {"did": "swap-supply", "saw": "the pump runs stronger", "stream": "strong"}
    low = {"stream": "weak", "supply": "92 V"}
    result = call(study, other, **low)
    both = f"{title('supply-low')}", f"{title('generator-slow')}"
    assert result.left in ("supply-low", "generator-slow")
    assert all(one in result.headline for one in both)
    assert fix("generator-slow") not in result.headline
    for known in ({"frequency": "48 Hz"}, {"said": "only on the generator"}):
        told = call(study, other, **low, **known)
        assert told.headline.endswith(fix(told.left))


def test_what_a_call_asks_for_can_be_had_and_said() -> None:
    for name, then in ROOT_CAUSE_CHECKS.items():
        assert name in BY_NAME
        wanted = {one.partition(":")[0] for want in then.wants for one in want}
        assert wanted <= BY_NAME.keys() | KINDS.keys()
        assert set(then.told) <= BY_TEXT.keys()
    assert set(TRIPS) <= BY_TEXT.keys()
    assert {*LETS_AIR_OUT, *OF_ALL_UNITS} <= BY_NAME.keys()


def test_what_was_found_is_said_beside_readings_that_are_well() -> None:
    study, dirty = study_of("kittiwake"), {"did": "clean-basket", "saw": "dirty"}
    well = {"stream": "strong", "unit": "cools"}
    clean = call(study, dirty | well | {"saw": "clean"}, **well)
    assert is_said(clean.headline, SAY, "headline-all-well")
    found = call(study, dirty | well, **well)
    assert found.well
    assert is_said(found.headline, SAY, "headline-all-well-but")
    assert f"{DOING['clean-basket'].title}, dirty" in found.headline


def test_a_sound_loop_that_leads_is_said_to_be_commoner_and_no_better() -> None:
    """Full flow and a unit that trips: a fault fits better, but each is rarer than a sound boat."""
    readings = {
        "stream": "strong", "unit": "trips", "flow": "233 gal/h", "sea_temperature": "82 degF",
        "outlet_temperature": "89 degF", "condensing_temperature": "99 degF",
    }  # fmt: skip
    result = call(study_of("kittiwake"), **readings)
    ranks = {cause.fault: place for place, cause in enumerate(result.causes)}
    why = result.causes[ranks["healthy"]].why
    assert not result.well
    assert why == SAY("why-healthy-leads" if ranks["healthy"] == 0 else "why-healthy-against")
    assert ranks["healthy"] == 0


def test_a_hose_is_moved_by_ear_where_no_stream_is_to_be_seen() -> None:
    seen, unseen = (doing("wiggle-hoses", Has(stream=one)).how for one in (True, False))
    assert seen != unseen
    tables = read_toml(EXAMPLES / "kittiwake.toml")
    assert parts_present(build(parse_job(tables))).stream
    *_, last, end = tables["part"]
    last["to"] = end["height"] = "-6 in"
    assert not parts_present(build(parse_job(tables))).stream


def test_a_boat_of_one_unit_is_not_offered_what_takes_several() -> None:
    one, two = (
        {said.text for said in STATEMENTS if may_apply(study_of(name), said)}
        for name in ("kittiwake", "guillemot")
    )
    assert two - one == set(OF_SEVERAL)
    assert all(may_apply(study_of_no_job(), said) for said in STATEMENTS)  # who knows how many


def test_a_unit_that_stops_all_the_same_is_looked_at_for_what_is_left() -> None:
    """The fault that was fixed is no longer the headline, and its path is not opened again."""
    study = study_of("kittiwake")
    put_right = {"did": "clean-basket", "saw": "dirty", "stream": "strong", "flow": "233 gal/h"}
    result = call(study, put_right | {"unit": "trips"}, stream="weak", flow="90 gal/h")
    assert (result.still_wrong, result.better, result.done) == ("unit", "clean-basket", False)
    assert is_said(result.headline, SAY, "headline-runs-again", done=DOING["clean-basket"].title)
    assert title("strainer-blocked") not in result.headline
    heat = {"condensing_temperature", "outlet_temperature", "sea_temperature"}
    assert heat & set(asked(result)[:3])
    assert not {"open-pump", "fit-sound-pump", "feed-from-bucket"} & set(asked(result)[:6])


@pytest.mark.parametrize("tools", ["none", "bucket", "bucket, thermometer"])
@pytest.mark.parametrize("name", ["kittiwake", "guillemot"])
def test_a_boat_with_nothing_wrong_is_read_and_left_alone(name: str, tools: str) -> None:
    """First the readings that show how it does, with what is at hand; then nothing is opened."""
    study = study_of(name)
    session = Session(study.instruments.job).entered(f"tools {tools}")
    minutes = 0.0
    for _ in range(12):
        result = diagnose(study.instruments.job, session.readings, study)
        if not result.next or (result.well and result.next[0].kind == "action"):
            break
        step = result.next[0]
        minutes += step.minutes
        key, healthy = step.reading, result.healthy
        answers = {"stream": "strong", "pump_sound": "normal"}
        answer = answers.get(key) or ("cools" if key.startswith("unit") else "")
        session = session.read(
            key, answer or reading_text(key, healthy[key], study.instruments.job.units)
        )
    assert (result.next, result.well) == ((), True)
    assert is_said(result.headline, SAY, "headline-sound")
    assert minutes < 20


@pytest.mark.parametrize("flow", ["233 gal/h", None])
def test_where_the_water_is_right_nothing_of_its_way_is_opened(flow: str | None) -> None:
    """A unit that is off though the bucket is full: first its reset, then its own faults."""
    study, off = study_of("kittiwake"), {"stream": "strong", "unit": "off"}
    water = off | ({"flow": flow} if flow else {})
    result = call(study, {"did": "reset-unit", "saw": "it does not"}, **water, tools="bucket")
    opened = {one for one in asked(result) if one in BY_NAME and BY_NAME[one].risk >= 2}
    assert bool(opened) == (flow is None)
    assert "fix-unit-off" in asked(result)


AT_SEA = {"said": "works at the dock, not under way", "stream": "strong"}


def test_what_fails_at_sea_is_seen_there_again_before_it_is_called_fixed() -> None:
    study = study_of("kittiwake")
    ill = AT_SEA | {"under_way": {"stream": "none"}}
    found = {"did": "supply-under-way", "saw": "no power there"}
    fixed = {"did": "fix-no-power-under-way", "saw": "at fault, put right"}
    docked = call(study, found, fixed | {"stream": "strong"}, **ill)
    assert (docked.done, asked(docked)) == (False, ["under_way.stream"])
    there = diagnose(
        study.instruments.job,
        ill | {"step": [found, fixed | {"under_way": {"stream": "strong"}}]},
        study,
    )
    assert (there.done, there.fixed_by) == (True, "fix-no-power-under-way")
    still = diagnose(
        study.instruments.job,
        ill | {"step": [found, fixed | {"stream": "strong", "under_way": {"stream": "none"}}]},
        study,
    )
    assert (still.done, still.fixed_by) == (False, "")


def test_what_is_read_under_way_after_a_step_is_of_the_loop_after_it() -> None:
    """It is saved, undone and reloaded with that step, and asked again after a change."""
    study = study_of("kittiwake")
    job = study.instruments.job
    begun = Session(job).entered(f"said {AT_SEA['said']}").entered("stream=strong")
    away = begun.read("under_way.stream", "sputtering")
    done = away.entered("did seat-lid-and-clamps: something was loose")
    assert "under_way.stream" in [
        one.reading for one in diagnose(job, done.readings, study).next
    ]  # fmt: skip
    again = done.entered("under way stream=strong")
    first, last = again.readings, again.readings.steps[-1]
    assert (first.at_speed.words["stream"], last.at_speed.words["stream"]) == (
        "sputtering", "strong",
    )  # fmt: skip
    assert parse_readings(tomllib.loads(to_toml(first)), job) == first
    assert Session.resumed(job, first).undo().readings == done.readings
    odds = [
        cause.present
        for one in (away, again)
        for cause in diagnose(job, one.readings, study).causes
        if cause.fault == "intake-air"
    ]
    assert odds[1] < odds[0]


def test_a_pump_that_brings_water_at_sea_has_its_power_there() -> None:
    study = study_of("kittiwake")
    for stream, asks in (("sputtering", False), ("none", True)):
        result = call(study, **AT_SEA, under_way={"stream": stream})
        assert ("supply-under-way" in asked(result)) == asks
