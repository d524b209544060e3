"""Two readings that no fault gives together are reported as such; others are not."""

from typing import Any

import numpy as np
import pytest

from loop.diagnose import Diagnosis, Study, diagnose, parse_readings
from loop.diagnose.contradiction import contradiction
from loop.diagnose.faults import UNKNOWN
from loop.diagnose.measured import Measured
from loop.diagnose.readings import ReadingSet
from loop.words.diagnosis import SAY
from tests.said import is_said
from tests.studies import study_of, study_of_no_job

# By physics: if nothing turns, or nothing comes, there is no water to measure; no condenser cools
# the sea; a suction that takes 5 psi passes no full flow; a pump without voltage stands still.
# A full bucket rules out a dry outlet, and a strong stream a trickle, on any loop.
EVERYWHERE = [
    ({"stream": "none", "flow": "200 gal/h"}, ("stream", "flow")),
    ({"stream": "strong", "flow": "15 gal/h"}, ("stream", "flow")),
    ({"pump_sound": "silent", "stream": "strong"}, ("stream", "pump_sound")),
    ({"pump_sound": "hums", "stream": "strong"}, ("stream", "pump_sound")),
    ({"pump_sound": "hums", "stream": "weak"}, ("stream", "pump_sound")),
    ({"pump_sound": "hums", "flow": "200 gal/h"}, ("pump_sound", "flow")),
    ({"pump_sound": "silent", "pump_current": "0.57 A"}, ("pump_sound", "pump_current")),
    (
        {"sea_temperature": "92 degF", "outlet_temperature": "88 degF"},
        ("sea_temperature", "outlet_temperature"),
    ),
    # 200 gal/h that rise by 35 degF absorb 58,000 BTU/h, four times what a unit of 12,000 rejects;
    # those that leave at 125 degF were warmed by at least 27, as no sea is over 98.
    (
        {"sea_temperature": "80 degF", "outlet_temperature": "115 degF", "flow": "200 gal/h"},
        ("outlet_temperature", "flow"),
    ),
    (
        {"outlet_temperature": "125 degF", "flow": "200 gal/h"},
        ("outlet_temperature", "flow"),
    ),
    ({"stream": "none", "unit": "cools"}, ("stream", "unit")),
]
IMPOSSIBLE = [
    *EVERYWHERE[1:2],
    *EVERYWHERE[3:],
    ({"stream": "none", "flow": "200 gal/h"}, ("stream", "flow")),
    ({"pump_sound": "silent", "flow": "200 gal/h"}, ("pump_sound", "flow")),
    ({"pump_sound": "silent", "stream": "strong"}, ("stream", "pump_sound")),
    ({"supply": "0 V", "stream": "strong"}, ("stream", "supply")),
    ({"supply": "0 V", "pump_sound": "hums"}, ("pump_sound", "supply")),
    (
        {"sea_temperature": "85 degF", "outlet_temperature": "70 degF"},
        ("sea_temperature", "outlet_temperature"),
    ),
    ({"pump_inlet_pressure": "-5 psi", "flow": "230 gal/h"}, ("flow", "pump_inlet_pressure")),
]
# Odd, but explained by some fault, a trickle or an hour of running on.
POSSIBLE: list[dict[str, Any]] = [
    {"stream": "none", "flow": "8 gal/h"},
    {"stream": "weak", "flow": "90 gal/h"},
    {"stream": "sputtering", "flow": "40 gal/h"},
    {"pump_sound": "hums", "stream": "none", "pump_current": "1.2 A"},
    {"pump_sound": "silent", "supply": "115 V", "stream": "none"},
    {"pump_sound": "silent", "pump_current": "0 A", "stream": "none"},
    {"pump_sound": "silent", "pump_current": "1.9 A", "stream": "none"},  # stuck, and not heard
    {"sea_temperature": "85 degF", "outlet_temperature": "84 degF"},
    {"stream": "strong", "flow": "90 gal/h"},
    {"stream": "none", "unit": "weak"},
    {"flow": "230 gal/h", "unit": "trips"},
    {"flow": "150 gal/h", "outlet_temperature": "92 degF", "sea_temperature": "80 degF"},
]


@pytest.fixture(scope="module")
def study() -> Study:
    return study_of("kittiwake")


def answer(study: Study, readings: dict[str, Any]) -> Diagnosis:
    job = study.instruments.job
    return diagnose(job, parse_readings(readings, job), study)


@pytest.mark.parametrize(("readings", "pair"), IMPOSSIBLE)
def test_two_that_cannot_both_be_right_are_said_and_read_again(
    study: Study, readings: dict[str, Any], pair: tuple[str, str]
) -> None:
    found = answer(study, readings)
    assert found.contradiction == pair
    assert found.to_dict()["contradiction"] == list(pair)
    assert is_said(found.misfit, SAY, "misfit-pair")
    if is_said(found.headline, SAY, "headline-pair"):
        assert tuple(step.reading for step in found.next[:2]) == pair
    else:
        assert is_said(found.headline, SAY, "headline-doubtful")
        assert found.causes[0].present >= 0.5


@pytest.mark.parametrize(("readings", "pair"), EVERYWHERE)
def test_without_a_job_file_too(readings: dict[str, Any], pair: tuple[str, str]) -> None:
    assert answer(study_of_no_job(), readings).contradiction == pair


def test_a_pump_that_brings_water_is_not_ordered_off_for_its_hum(study: Study) -> None:
    """Every AC pump hums. One that hums without turning delivers no water: listen again first."""
    for more in ({}, {"said": "suddenly"}):
        result = answer(study, {"stream": "strong", "pump_sound": "hums"} | more)
        assert not result.hums
        assert is_said(result.headline, SAY, "headline-pair")
        assert [one.reading for one in result.next[:2]] == ["stream", "pump_sound"]
        assert len(result.next) > 10  # and nothing is ruled out for it
    assert answer(study, {"pump_sound": "hums"}).hums
    since = {"did": "swap-supply", "stream": "weak"}
    assert not answer(study, {"pump_sound": "hums", "step": [since]}).hums


def test_a_dock_that_is_low_at_its_own_hertz_contradicts_nothing(study: Study) -> None:
    """A hot evening's brownout: 97 V at 60 Hz; only a slow generator lowers both."""
    noon = {"said": "trips at noon only", "stream": "strong"}
    dock, before = (
        answer(study, noon | more) for more in ({"supply": "97 V", "frequency": "60 Hz"}, {})
    )
    assert (dock.contradiction, dock.misfit) == ((), "")
    low, unread, slow = (
        sum(cause.present for cause in result.causes if cause.fault == fault)
        for result, fault in (
            (dock, "supply-low"),
            (before, "supply-low"),
            (dock, "generator-slow"),
        )
    )
    assert low > 3 * unread
    assert low > 3 * slow
    both = answer(study, {"supply": "97 V", "frequency": "51 Hz", "stream": "weak"})
    assert (both.contradiction, both.causes[0].fault) == ((), "generator-slow")


def test_a_motor_that_hums_on_low_volts_contradicts_nothing(study: Study) -> None:
    """Its torque goes with their square: it may not start. It is off first, and not heard again."""
    found = answer(study, {"stream": "none", "pump_sound": "hums", "supply": "97 V"})
    assert (found.contradiction, found.misfit, found.hums) == ((), "", True)
    assert "pump_sound" not in [step.reading for step in found.next]
    named = [cause for cause in found.causes if cause.fault == "supply-low"]
    assert [cause.present > 0.5 for cause in named] == [True]
    usual = answer(study, {"stream": "none", "pump_sound": "hums", "supply": "113 V"})
    assert usual.causes[0].fault == "pump-jammed"


def test_a_dock_of_another_frequency_contradicts_nothing(study: Study) -> None:
    found = answer(study, {"supply": "116 V", "frequency": "50 Hz", "stream": "weak"})
    assert (found.contradiction, found.misfit) == ((), "")
    assert found.causes[0].fault == "frequency-low"


@pytest.mark.parametrize("heard", [{}, {"pump_sound": "silent"}, {"pump_sound": "rough"}])
def test_a_motor_that_draws_several_times_its_current_and_pumps_nothing_is_switched_off(
    study: Study, heard: dict[str, str]
) -> None:
    """It stands and burns, whether its hum is heard or not; nothing is measured on it first."""
    found = answer(study, {"stream": "none", "pump_current": "2.4 A"} | heard)
    assert found.hums
    assert not {"pump_sound", "pump_power", "supply", "reset-unit", "clean-basket"} & {
        step.reading for step in found.next
    }
    freed = {"did": "open-pump", "saw": "damaged or jammed", "stream": "strong"}
    assert not answer(study, {"stream": "none", "pump_current": "2.4 A", "step": [freed]}).hums


def test_volts_that_are_low_for_sure_are_named_first(study: Study) -> None:
    """Whatever else explains the weak stream: 97 V is not a supply for a 115 V pump."""
    weak = {"stream": "weak", "frequency": "60 Hz"}
    low = answer(study, weak | {"supply": "97 V"}).causes[0]
    assert (low.fault, low.present > 0.5) == ("supply-low", True)
    for volts in ("110 V", "114 V", "119 V"):
        found = answer(study, weak | {"supply": volts})
        assert all(cause.present < 0.1 for cause in found.causes if cause.fault == "supply-low")


def test_water_that_leaves_colder_than_the_sea_is_said_to_be_that(study: Study) -> None:
    cold = {"sea_temperature": "92 degF", "outlet_temperature": "88 degF"}
    assert SAY("misfit-colder") in answer(study, cold).misfit
    assert SAY("misfit-colder") not in answer(study, {"stream": "none", "flow": "200 gal/h"}).misfit


def test_water_that_carries_more_heat_than_the_unit_has_is_said_to_be_that(study: Study) -> None:
    hot = {"outlet_temperature": "125 degF", "flow": "200 gal/h"}
    assert SAY("misfit-hotter") in answer(study, hot).misfit
    assert answer(study, hot | {"flow": "40 gal/h"}).misfit == ""


def test_what_was_seen_before_a_step_that_changed_nothing_still_contradicts(study: Study) -> None:
    """A dry outlet and a unit that cools, whatever was looked at in between."""
    looked = [{"did": "open-seacock", "saw": "was fully open"}]
    readings = {"stream": "none", "pump_sound": "normal", "step": looked}
    assert answer(study, readings).contradiction == ()
    cools = [looked[0] | {"unit": "cools"}]
    assert answer(study, readings | {"step": cools}).contradiction == ("stream", "unit")


@pytest.mark.parametrize("readings", POSSIBLE)
def test_what_some_fault_gives_is_no_contradiction(study: Study, readings: dict[str, Any]) -> None:
    assert answer(study, readings).contradiction == ()


@pytest.mark.parametrize("known", [True, False], ids=["with the file", "without"])
def test_what_a_fault_reads_contradicts_nothing(study: Study, known: bool) -> None:
    """Every number as in a hypothesis, with its likeliest words, for one row in fifteen."""
    study = study if known else study_of_no_job()
    words = {column.key: column.kind.choices for column in study.instruments.words}
    for row, owner in list(enumerate(study.owner))[::15]:
        if study.instances[owner].name == UNKNOWN:
            continue
        values = np.clip(study.from_scale(study.mean[row]), -1e5, None)
        numbers = {
            column.key: Measured(value, column.kind.half_width(value), "")
            for column, value in zip(study.instruments.columns, map(float, values), strict=True)
        }
        said = {key: kinds[int(study.words[key][row].argmax())] for key, kinds in words.items()}
        assert contradiction(study, ReadingSet(numbers, said)) == (), study.instances[owner].name


def test_a_pair_is_of_what_was_read_since_the_last_thing_done(study: Study) -> None:
    """Readings from before it were of a different loop."""
    bled = {"did": "bleed", "saw": "air came"}
    assert (
        answer(study, {"stream": "none", "step": [bled | {"flow": "200 gal/h"}]}).contradiction
        == ()
    )
    both = bled | {"stream": "none", "flow": "200 gal/h"}
    assert answer(study, {"step": [both]}).contradiction == ("stream", "flow")


def test_a_stream_that_no_volts_explain_is_looked_at_again_before_a_cause_is_named() -> None:
    study = study_of("kittiwake")
    readings = {"stream": "strong", "supply": "0 V", "unit": "cools"}
    result = diagnose(study.instruments.job, readings, study)
    assert set(result.contradiction) == {"stream", "supply"}
    assert [one.reading for one in result.next[:2]] == list(result.contradiction)
    assert is_said(result.headline, SAY, "headline-pair")
