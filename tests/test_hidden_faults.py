"""A stopped pump or unit hid another fault, which shows once the water is back."""

from pathlib import Path
from typing import Any

import pytest

from loop.diagnose import Diagnosis, diagnose
from loop.diagnose.hypotheses import Study
from loop.words.diagnosis import SAY
from loop.words.to_do import DOING
from tests.said import is_said
from tests.studies import study_of

EXAMPLES = Path(__file__).parent.parent / "examples"
OFF = {"stream": "none", "pump_sound": "silent", "unit": "off"}
# Readings at first, the action, and readings since: the boat needs about 230 gal/h.
BACK_BUT_NOT_WELL: list[tuple[dict[str, Any], dict[str, str]]] = [
    (OFF | {"said": "high-pressure fault"},
     {"did": "reset-unit", "saw": "it starts", "stream": "weak"}),
    (OFF | {"said": "high-pressure fault"},
     {"did": "reset-unit", "saw": "it starts", "stream": "weak", "flow": "70 gal/h",
      "unit": "trips"}),
    (OFF, {"did": "reset-unit", "saw": "it starts", "stream": "strong", "unit": "trips"}),
    ({"stream": "none", "said": "since the strainer was cleaned"},
     {"did": "bleed", "saw": "air came", "stream": "weak"}),
    ({"stream": "none", "said": "since the strainer was cleaned"},
     {"did": "bleed", "saw": "air came", "stream": "sputtering"}),
    ({"stream": "none", "pump_sound": "silent", "unit": "trips"},
     {"did": "check-breaker", "saw": "was off", "stream": "weak", "flow": "72 gal/h"}),
    ({"stream": "none", "pump_sound": "hums", "said": "after a lay-up"},
     {"did": "open-pump", "saw": "damaged or jammed", "stream": "weak", "flow": "80 gal/h"}),
]  # fmt: skip


@pytest.fixture(scope="module")
def study() -> Study:
    return study_of("kittiwake")


def call(study: Study, readings: dict[str, Any], *steps: dict[str, str]) -> Diagnosis:
    return diagnose(study.instruments.job, readings | {"step": list(steps)}, study)


def odds(result: Diagnosis, fault: str) -> float:
    return sum(cause.present for cause in result.causes if cause.fault == fault)


@pytest.mark.parametrize(("readings", "step"), BACK_BUT_NOT_WELL)
def test_water_that_is_back_but_weak_is_not_called_fixed(
    study: Study, readings: dict[str, Any], step: dict[str, str]
) -> None:
    result = call(study, readings, step)
    assert (result.fixed_by, result.done) == ("", False)
    assert is_said(result.headline, SAY, "headline-runs-again", done=DOING[step["did"]].title)
    assert result.next


def test_what_shows_behind_it_is_named_and_looked_for(study: Study) -> None:
    """A third of the flow on a unit that trips again: the commonest cause is the strainer."""
    step = {"did": "reset-unit", "saw": "it starts", "stream": "weak", "flow": "70 gal/h"}
    result = call(study, OFF | {"said": "high-pressure fault"}, step | {"unit": "trips"})
    assert result.causes[0].fault == "strainer-blocked"
    assert not result.misfit
    assert result.next[0].reading == "clean-basket"
    # As severe as a weak stream with nothing hidden, not the middle of a strainer's range.
    plain = call(study, {"stream": "weak", "flow": "70 gal/h", "unit": "trips"})
    alone = next(cause for cause in plain.causes if cause.fault == "strainer-blocked")
    assert result.causes[0].severity == pytest.approx(alone.severity, abs=0.05)


def test_what_runs_strong_and_cools_again_runs_for_now(study: Study) -> None:
    step = {"did": "reset-unit", "saw": "it starts", "stream": "strong", "unit": "cools"}
    shown = {"flow": "233 gal/h", "condensing_temperature": "104 degF"}
    result = call(study, OFF, step | shown)
    assert (result.fixed_by, result.done) == ("reset-unit", False)  # nobody knows what it was
    bled = {"did": "bleed", "saw": "air came", "stream": "weak", "flow": "231 gal/h"}
    enough = call(study, {"stream": "none"}, bled)  # the bucket says more than the eye
    assert enough.fixed_by == "bleed"


def test_what_is_hidden_shows_no_sooner(study: Study) -> None:
    """A silent pump is as likely dead as before, and what it hides is no likelier for it."""
    quiet, nothing = call(study, {"stream": "none", "pump_sound": "silent"}), call(study, {})
    assert quiet.causes[0].fault in ("no-power", "motor-dead", "unit-off")
    assert odds(quiet, "strainer-blocked") < odds(nothing, "strainer-blocked")


def test_the_flow_once_a_dead_pump_runs_has_what_hides_behind_it(study: Study) -> None:
    """Mostly a healthy loop's; the low limit is what a second fault may leave."""
    quiet = call(study, {"stream": "none", "pump_sound": "silent", "unit": "trips"})
    dead = next(cause for cause in quiet.causes if cause.fault == "no-power")
    healthy = float(quiet.healthy["flow"])
    assert dead.flow_fixed == pytest.approx(healthy, rel=0.1)
    assert dead.flow_fixed_low < 0.8 * healthy
    behind = next(cause for cause in quiet.causes if cause.fault == "strainer-blocked")
    assert behind.flow_fixed == pytest.approx(healthy, rel=0.15)
