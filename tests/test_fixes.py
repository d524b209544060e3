"""A named fault has a fix that can be reported, and the call then ends by what is read."""

from typing import Any

import pytest

from loop.diagnose import Diagnosis, diagnose
from loop.diagnose.action import CallAction
from loop.diagnose.actions import ACTIONS
from loop.diagnose.fixes import FIXES
from loop.diagnose.hypotheses import Study
from loop.words.diagnosis import SAY
from loop.words.to_do import DOING, FIX
from tests.said import is_said
from tests.studies import study_of

DONE, NOT_IT = FIXES[0].answers
FLAT = {"did": "follow-hoses", "saw": "kinked or flat somewhere", "stream": "weak"}
STRONGER = {"did": "swap-supply", "saw": "the pump runs stronger", "stream": "strong"}
OFF = {"did": "reset-unit", "saw": "it does not"}
GAUGED = {"did": "measure-refrigerant", "saw": "charge or circuit at fault", "unit": "weak"}
SILENT = {"stream": "none", "pump_sound": "silent", "unit": "trips"}
WATER = {"stream": "strong", "flow": "233 gal/h"}
# A fault, how its call goes until it is named, and what is read once it was put right.
CALLS: list[tuple[str, dict[str, Any], dict[str, str]]] = [
    ("suction-hose-collapsed",
     {"stream": "weak", "step": [FLAT, {"did": "which-hose", "saw": "before the pump"}]},
     {"stream": "strong"}),
    ("supply-low", {"stream": "weak", "supply": "75 V", "frequency": "60 Hz", "step": [STRONGER]},
     {"stream": "strong"}),
    ("generator-slow", {"stream": "weak", "said": "only on the generator", "step": [STRONGER]},
     {"stream": "strong"}),
    ("no-power", {**SILENT, "supply": "0 V", "step": [{"did": "check-breaker", "saw": "was on"}]},
     {"stream": "strong", "supply": "115 V", "unit": "cools"}),
    ("motor-dead", {**SILENT, "supply": "115 V"}, {"stream": "strong", "unit": "cools"}),
    ("unit-off", {**WATER, "unit": "off", "step": [OFF]}, {"unit": "cools"}),
    ("not-water-side",
     {**WATER, "unit": "weak", "condensing_temperature": "118 degF", "step": [GAUGED]},
     {"unit": "cools", "condensing_temperature": "99 degF"}),
]  # fmt: skip


def call(study: Study, *steps: dict[str, str], **readings: Any) -> Diagnosis:
    begun = readings.pop("step", [])
    return diagnose(study.instruments.job, {**readings, "step": [*begun, *steps]}, study)


@pytest.mark.parametrize(("fault", "before", "after"), CALLS)
def test_what_is_named_is_put_right_read_again_and_ends_the_call(
    fault: str, before: dict[str, Any], after: dict[str, str]
) -> None:
    study, name = study_of("kittiwake"), f"{FIX}{fault}"
    named = call(study, **before)
    assert name in [one.reading for one in named.next]
    step = next(one for one in named.next if one.reading == name)
    assert step.how.startswith(step.hazard)
    unread = call(study, {"did": name, "saw": DONE}, **before)
    assert not unread.done
    assert unread.next[0].kind == "reading"
    fixed = call(study, {"did": name, "saw": DONE, **after}, **before)
    assert (fixed.fixed_by, fixed.done, fixed.next) == (name, True, ())
    assert is_said(fixed.headline, SAY, "headline-done", done=DOING[name].title)
    sound = call(study, {"did": name, "saw": NOT_IT}, **before)
    assert not sound.done
    odds = [
        sum(cause.present for cause in one.causes if cause.fault == fault) for one in (named, sound)
    ]
    assert odds[1] < odds[0]


def test_a_fix_is_named_where_its_fault_leads_or_was_found_and_nowhere_else() -> None:
    study = study_of("kittiwake")
    begun = call(study, stream="weak", unit="cools")
    assert not any(one.reading.startswith(FIX) for one in begun.next)
    for action in FIXES:
        assert not action.may_follow(())
        assert action.may_follow((), [action.effects[0][0]])


def test_a_named_fault_that_no_other_step_ends_for_good_has_a_fix() -> None:
    """Except those that nobody fixes on a call: a warm sea, a healthy loop, the unknown."""
    lacks = {"sea-warm", "healthy", "something-else"}

    def mends(action: CallAction, fault: str) -> bool:
        return action.cure_probability(fault) >= 0.6

    for fault in (name.removeprefix(FIX) for name in DOING if name.startswith(FIX)):
        assert (fault in lacks) != any(mends(action, fault) for action in ACTIONS), fault


@pytest.mark.parametrize(
    ("saw", "hose"),
    [("before the pump", "suction-hose-collapsed"), ("after the pump", "pressure-hose-kinked")],
)
def test_which_hose_went_flat_is_asked_and_told(saw: str, hose: str) -> None:
    study = study_of("kittiwake")
    moved = {"did": "wiggle-hoses", "saw": "the water changes"}
    asked = call(study, moved, stream="weak")
    assert asked.next[0].reading == "which-hose"
    told = call(study, moved, {"did": "which-hose", "saw": saw}, stream="weak")
    assert told.causes[0].fault == hose
    assert "which-hose" not in [one.reading for one in call(study, stream="weak").next]


def test_which_hose_it_was_is_asked_before_one_is_bought_though_the_water_is_back() -> None:
    """It says which hose moved the water, not how that is now."""
    study = study_of("kittiwake")
    moved = {"did": "wiggle-hoses", "saw": "the water changes", "stream": "strong"}
    asked = call(study, moved, stream="weak")
    assert [one.reading for one in asked.next] == ["which-hose"]
    before = {cause.fault: cause.present for cause in asked.causes}
    for saw, hose, other in (
        ("before the pump", "suction-hose-collapsed", "pressure-hose-kinked"),
        ("after the pump", "pressure-hose-kinked", "suction-hose-collapsed"),
    ):
        told = call(study, moved, {"did": "which-hose", "saw": saw}, stream="weak")
        present = {cause.fault: cause.present for cause in told.causes}
        assert told.causes[0].fault == hose
        assert present[hose] > 1.3 * before[hose]
        assert present.get(other, 0.0) < 0.3 * before[other]


def test_a_dirty_filter_that_was_not_the_trouble_leaves_the_charge_suspected() -> None:
    """A soiled filter is as common on a boat whose charge is at fault as on any other."""
    study = study_of("kittiwake")
    hot = {"condensing_temperature": "118 degF"}
    water = {"sea_temperature": "82 degF", "outlet_temperature": "90 degF", "flow": "233 gal/h"}
    before, after = (
        {
            cause.fault: cause.present
            for cause in call(study, *step, **{**WATER, **water, **hot}).causes
        }
        for step in ([], [{"did": "look-at-air-side", "saw": "filter or fan at fault", **hot}])
    )
    sides = ("not-water-side", "condenser-film")
    was, now = (one[sides[0]] / one[sides[1]] for one in (before, after))
    assert 0.7 * was < now < 1.3 * was


def test_a_weak_motor_has_a_look_of_its_own_whatever_it_runs_on() -> None:
    for name in ("kittiwake", "guillemot"):
        study, worn = study_of(name), {"did": "look-at-motor", "saw": "hot, stiff or worn"}
        weak = {"stream": "weak", "pump_sound": "rough"}
        found = [
            sum(cause.present for cause in one.causes if cause.fault == "motor-weak")
            for one in (call(study, **weak), call(study, worn, **weak))
        ]
        assert found[1] > 2 * found[0]


def test_no_motor_is_mended_before_the_volts_at_it_were_read() -> None:
    """Whoever brings the meter, and however certain the customer's words make the cause."""
    was_on = {"did": "check-breaker", "saw": "was on"}
    readings = SILENT | {"said": "good again after a rest", "tools": "none"}
    result = call(study_of("kittiwake"), was_on, **readings)
    asked = [one.reading for one in result.next]
    assert asked.index("supply") < asked.index("fix-motor-dead")
