"""What comes before a new pump: cleaning, descaling, opening a valve, changing an odd part."""

from dataclasses import replace

import numpy as np
import pytest

from loop.check import check
from loop.check.judge import IncrementalCheck
from loop.check.trials import MOST_EFFORT
from loop.job import Job, parse_job
from loop.size.least_change import least_change
from loop.size.rules import Rules
from loop.words.action_words import action_text
from loop.words.actions import ChangeFitting, RemovePart
from loop.words.hazards import ACID, OUT, hazard
from loop.words.speaker import Speaker
from tests.loops import Table, changed, job_of, plain_loop
from tests.random_jobs import random_job

GROWN = (1, "grate_open", "5 %")
TUBE = (9, "tube_bore", "12 mm")
SCALED = (9, "scale", "1.5 mm")
DIRTY = (4, "blocked", "90 %")
PART_SHUT = (2, "open", "35 %")


def first(job: Job) -> tuple[str, ...]:
    """Kinds of the steps of the first action for the most serious finding."""
    result = check(job)
    assert result.verdict != "good"
    action = result.findings[0].actions[0]
    after = check(action.apply(job))
    assert after.verdict == "good"
    return tuple(step.kind for step in action.steps)


def test_the_plain_loop_has_what_is_changed_here() -> None:
    kinds = [part["kind"] for part in plain_loop()["part"]]
    assert [kinds[0], kinds[3], kinds[8]] == ["intake", "strainer", "condenser"]


@pytest.mark.parametrize(
    ("changes", "kinds"),
    [
        ([GROWN], ("clean-grate",)),
        ([TUBE, SCALED], ("descale",)),
        ([DIRTY], ("clean-strainer",)),
        ([GROWN, TUBE, SCALED], ("clean-grate", "descale")),
        # Nothing is opened below the water if turning a handle is enough.
        ([PART_SHUT, (4, "blocked", "50 %")], ("set-valve",)),
        ([PART_SHUT, DIRTY], ("set-valve", "clean-strainer")),
        # What costs nothing is enough here, so the slight scale stays.
        ([DIRTY, TUBE, (9, "scale", "0.1 mm")], ("clean-strainer",)),
    ],
)
def test_care_comes_before_anything_new(
    changes: list[tuple[int, str, str]], kinds: tuple[str, ...]
) -> None:
    assert first(job_of(*changes)) == kinds


def test_a_scaled_tube_that_has_its_water_is_descaled_for_its_heat() -> None:
    job = job_of(TUBE, SCALED, (6, "curve", "demo-ac-1500"), ("water", "temperature", "96 degF"))
    hot = next(one for one in check(job).findings if one.code == "condensing-high")
    assert [step.kind for step in hot.actions[0].steps] == ["descale"]


@pytest.mark.parametrize(
    ("changes", "kind", "beware"),
    [([GROWN], "clean-grate", OUT), ([TUBE, SCALED], "descale", ACID)],
)
def test_the_smallest_change_is_the_same_and_its_hazard_is_said(
    changes: list[tuple[int, str, str]], kind: str, beware: str
) -> None:
    job = job_of(*changes)
    (change,), _ = least_change(Rules(job))
    assert change.action.kind == kind
    assert hazard(change.action, Speaker(job)).startswith(beware)


def vented(top: str) -> Job:
    """The plain loop with a vented loop at a height before its discharge hose, and a weak pump."""
    data = changed((9, "loss", "2 psi at 240 gal/h"), (10, "length", "6 ft"))
    hose = {"kind": "hose", "label": "hose up", "length": "6 ft", "to": top}
    data["part"][9:9] = [hose, {"kind": "vented loop"}]
    return parse_job(data)


def test_a_vented_loop_is_brought_down_before_a_pump_is_bought() -> None:
    result = check(vented("60 in"))
    (short,) = [one for one in result.findings if one.code in ("flow-short", "flow-marginal")]
    first = short.actions[0]
    assert [step.kind for step in first.steps] == ["lower-line"]
    after = check(first.apply(result.job))
    assert short.code not in {one.code for one in after.findings}
    # A vent lets the air in again, whatever the hose: no other hose is offered for that.
    legs = [one for one in result.findings if one.code in ("leg-holds-air", "siphon-uncertain")]
    assert legs
    assert all("vented" in str(one.values["case"]) for one in legs)
    assert all(set(one.actions) <= {first} for one in legs)


def test_a_vented_loop_under_water_is_a_danger() -> None:
    (low,) = [one for one in check(vented("-2 in")).findings if one.code == "part-order"]
    assert low.level == "danger"


NARROW = [(part, "barb_bore", "0.35 in") for part in (3, 5, 8, 10)]


@pytest.mark.parametrize(
    ("changes", "kind"),
    [
        (NARROW, "change-barbs"),
        ([(4, "loss", "4 psi at 180 gal/h")], "change-strainer"),
    ],
)
def test_an_odd_loss_is_taken_away_before_a_pump_is_bought(
    changes: list[tuple[int, str, str]], kind: str
) -> None:
    assert first(job_of(*changes)) == (kind,)


@pytest.mark.parametrize(
    "stated", [{"k": 150}, {"k": 9000}, {"cv": 0.5}, {"cv": 2.5}, {"k": 75, "count": 2}], ids=str
)
def test_a_fitting_that_takes_far_too_much_passes_more_and_is_not_left_out(stated: Table) -> None:
    """It may be the switch that stops the pump: ask for one with the most loss that will do."""
    data = plain_loop()
    data["part"].insert(7, {"kind": "fitting", "label": "flow switch", **stated})
    job = parse_job(data)
    assert first(job) == ("change-fitting",)
    result = check(job)
    every = [step for one in result.findings for action in one.actions for step in action.steps]
    assert not [step for step in every if isinstance(step, RemovePart)]
    (short,) = [one for one in result.findings if one.code in ("flow-short", "flow-marginal")]
    (change,) = short.actions[0].steps
    assert isinstance(change, ChangeFitting)
    for factor in (1.0, 1.25):
        other = replace(change, loss=factor * change.loss).apply(job)
        assert len(other.part) == len(job.part)
        found = {one.code for one in check(other, fixes=False).findings}
        assert bool(found & {"flow-short", "flow-marginal"}) == (factor > 1)
    assert "flow switch" in action_text(change, Speaker(job))


def test_a_strainer_that_is_replaced_is_not_cleaned_first() -> None:
    result = check(job_of((4, "loss", "3 psi at 180 gal/h"), (4, "blocked", "30 %")))
    every = [action for one in result.findings for action in one.actions]
    both = [{step.kind for step in action.steps} for action in every]
    assert any("change-strainer" in kinds for kinds in both)
    assert not any({"change-strainer", "clean-strainer"} <= kinds for kinds in both)


def test_a_unit_in_which_water_runs_backwards_forbids_no_fix_by_that() -> None:
    """On a random boat, the bleed at its pump changes no flow.

    So much is wrong with it that the usual effort ends first.
    """
    job = random_job(np.random.default_rng(890))
    result = IncrementalCheck(job, effort=4 * MOST_EFFORT).with_all_actions()
    assert min(unit.flow for unit in result.condensers) < 0
    (bleed,) = [one for one in result.findings if one.code == "bleed-missing"]
    assert bleed.actions
