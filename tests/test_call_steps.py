"""The steps of a call: what is done again, what is not done in vain, and how causes are listed."""

import re
from typing import Any

import pytest

from loop.diagnose import Diagnosis, diagnose
from loop.diagnose.actions import ACTIONS, BY_NAME
from loop.diagnose.display import any_of
from loop.diagnose.groups import LISTED
from loop.diagnose.hypotheses import Study
from loop.diagnose.reading_kinds import TOOLS
from loop.diagnose.session import Session
from loop.diagnose.step_order import FIXABLE, KNOWN, LEADS
from loop.words.fault_rows import WORDS
from loop.words.to_do import FIX
from tests.studies import study_of, study_of_no_job

FIXED = BY_NAME["fix-supply-low"].answers


@pytest.fixture(scope="module")
def study() -> Study:
    return study_of("kittiwake")


def call(study: Study, **readings: Any) -> Diagnosis:
    return diagnose(study.instruments.job, readings, study)


def steps(result: Diagnosis) -> list[str]:
    return [one.reading for one in result.next]


def test_a_purge_in_vain_is_done_once_more_while_the_air_is_likely() -> None:
    cabin = "unit.owner's cabin"
    vain = {"did": "fill-and-purge", "saw": "water only", cabin: "trips"}
    begun = {"said": ["only one of several units"], "stream": "strong", cabin: "trips"} | {
        "flow.owner's cabin": "3 gal/h"
    }
    study = study_of("guillemot")
    offered = [
        "fill-and-purge" in steps(call(study, **begun, step=[vain] * times)) for times in range(3)
    ]
    assert offered == [True, True, False]


def test_only_what_luck_decides_is_done_twice() -> None:
    """A second look at the same thing shows the same."""
    assert all(0 < cure < 0.9 for one in ACTIONS if one.twice for _, _, cure in one.effects if cure)
    assert not any(one.twice for one in ACTIONS if one.looks)


def test_a_grate_that_was_seen_fouled_needs_no_more_proof(study: Study) -> None:
    """Otherwise the pump is fed from a bucket before anybody dives."""
    begun: dict[str, Any] = {"stream": "weak", "pump_outlet_pressure": "1.4 psi"}
    begun |= {"flow": "105 gal/h", "pump_sound": "normal"}
    free = [
        {"did": "open-seacock", "saw": "was fully open"},
        {"did": "clean-basket", "saw": "clean", "stream": "weak"},
    ]
    for saw, first in (("clean", "feed-from-bucket"), ("fouled", "clear-intake")):
        found = steps(call(study, **begun, step=[*free, {"did": "look-at-grate", "saw": saw}]))
        assert min("feed-from-bucket", "clear-intake", key=found.index) == first


def test_what_proves_a_fault_by_eye_needs_no_check_first() -> None:
    """Each such proof is one of the checks that it makes needless, and shows this fault alone."""
    for action in ACTIONS:
        for line in action.shown_by:
            check, _, saw = line.partition(": ")
            assert check in action.earlier
            assert saw == BY_NAME[check].answers[0]
            assert {name for name, *_ in BY_NAME[check].effects} == {
                name for name, _, cure in action.effects if cure
            }


def test_the_fix_of_what_was_bypassed_shows_which_fault_it_was(study: Study) -> None:
    swapped = {"did": "swap-supply", "saw": "the pump runs stronger", "stream": "strong"}

    def low_supply(*more: dict[str, str]) -> float:
        causes = call(study, flow="180 gal/h", step=[swapped, *more]).causes
        return next(cause.present for cause in causes if cause.fault == "supply-low")

    at_fault, in_order = ({"did": "fix-supply-low", "saw": saw} for saw in FIXED)
    assert low_supply(in_order) < 0.5 * low_supply()
    assert low_supply(at_fault) > 2 * low_supply()


def test_a_fix_that_follows_a_finding_waits_until_its_fault_leads() -> None:
    """A third is enough for any other: what is left to do is then to fix it."""
    cabin = "unit.owner's cabin"
    vain = {"did": "fill-and-purge", "saw": "water only", cabin: "trips"}
    begun = {"said": ["only one of several units"], "stream": "strong", cabin: "trips"} | {
        "flow.owner's cabin": "3 gal/h"
    }
    sound = [
        {"did": "wiggle-hoses", "saw": "no change"},
        {"did": "follow-hoses", "saw": "sound all along"},
    ]
    found = call(study_of("guillemot"), **begun, step=[*sound, vain, vain])
    second = next(cause for cause in found.causes if cause.fault == "branch-blocked")
    assert FIXABLE <= second.present < LEADS
    assert "fix-branch-blocked" in steps(found)
    unsure = call(
        study_of("kittiwake"), stream="strong", unit="weak", condensing_temperature="112 F"
    )
    for cause in unsure.causes:
        own = BY_NAME.get(f"{FIX}{cause.fault}")
        if own and own.after and cause.present < LEADS:
            assert own.name not in steps(unsure)


def test_no_motor_is_replaced_before_it_was_looked_at(study: Study) -> None:
    found = steps(call(study, stream="none", pump_sound="silent", unit="trips", supply="115 V"))
    assert found.index("look-at-motor") < found.index("fix-motor-dead")


def test_the_likeliest_causes_are_in_two_lines(study: Study) -> None:
    found = call(study, stream="weak", flow="150 gal/h")
    named = [found.causes[i].fault for line in found.lines for i in line.causes]
    likeliest = dict.fromkeys(cause.fault for cause in found.causes)
    assert named == list(likeliest)[: 2 * LISTED]


def test_where_all_reads_well_a_healthy_loop_is_named(study: Study) -> None:
    readings = {"stream": "strong", "unit": "cools", "flow": "230 gal/h"}
    found = call(study, **readings, sea_temperature="82 F", outlet_temperature="90 F")
    assert found.well
    assert "healthy" in [found.causes[i].fault for i in found.lines[0].causes]


@pytest.mark.parametrize("fault", WORDS)
def test_a_title_in_a_list_is_one_item(fault: str) -> None:
    """Outside brackets it has no comma, so that a list of causes can be read in one way only."""
    name = WORDS[fault].title
    assert "," not in re.sub(r"\(.*?\)", "", name)
    assert re.split(r", or |, (?![^(]*\))", any_of([name, "a", "b"])) == [name, "a", "b"]


def test_old_and_new_names_of_a_fix_are_read(study: Study) -> None:
    begun = Session(study.instruments.job)
    for name in ("fix: refrigerant low, or too little air over the coil", "fix-refrigerant-low"):
        assert begun.do(name, "").readings.steps[0].did == "fix-refrigerant-low"


def test_who_skips_the_basket_is_not_asked_to_look_at_it(study: Study) -> None:
    job, session = study.instruments.job, Session(study.instruments.job).read("stream", "weak")
    for skipped in ({"flow"}, {"clean-basket"}):
        found = steps(diagnose(job, session.readings, study, skipped))
        assert not set(found) & skipped
        assert ("strainer_seen" in found) == (skipped == {"flow"})


@pytest.mark.parametrize("tools", [TOOLS, TOOLS[:2]])
def test_a_known_cause_leaves_the_strainer_shut(study: Study, tools: tuple[str, ...]) -> None:
    """A warm sea is measured; that a second fault might be cured by luck opens nothing."""
    found = call(study, sea_temperature="95 degF", stream="strong", unit="weak", tools=[*tools])
    assert found.causes[0].fault == "sea-warm"
    assert found.causes[0].present > KNOWN
    assert "flow" in steps(found)
    assert not {"clean-basket", "strainer_seen"} & set(steps(found))


def test_the_sea_let_into_the_strainer_shows_on_which_side_the_trouble_is(study: Study) -> None:
    clean = {"did": "clean-basket", "saw": "clean", "stream": "weak"}
    before = call(study, stream="weak", step=[clean])
    assert "let-water-in" in steps(before)

    def chances(saw: str) -> dict[str, float]:
        found = call(study, stream="weak", step=[clean, {"did": "let-water-in", "saw": saw}])
        return {cause.fault: cause.present for cause in found.causes}

    hardly, wells = map(chances, BY_NAME["let-water-in"].answers)
    was = {cause.fault: cause.present for cause in before.causes}
    for fault in ("intake-fouled", "suction-blocked-inside"):
        assert hardly[fault] > was[fault] > wells[fault]
    for fault in ("pump-worn", "pressure-hose-kinked", "suction-air-leak"):
        assert hardly[fault] < was[fault] < wells[fault]


def test_no_sea_runs_into_a_strainer_above_it() -> None:
    for height, there in ((-0.3, True), (0.3, False)):
        high = study_of_no_job(pump_height=height)
        assert ("let-water-in" in steps(call(high, stream="weak"))) == there
