"""The smallest set of changes that fixes a loop as it stands."""

import json
from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from loop.check import check
from loop.hydraulics import solve
from loop.job import Job, edit_text, locate, parse_toml, read_job
from loop.pumps import PumpCurve
from loop.sheet.inputs import as_toml, tables
from loop.size import size, with_sizing
from loop.size.corrections import corrections
from loop.size.least_change import least_change
from loop.size.limits import reach
from loop.size.options import pumps
from loop.size.result import Change
from loop.size.rules import Rules, grave
from loop.size.sections import sections
from loop.size.single_changes import from_action, single_changes, with_changes
from loop.size.words import as_new_words
from loop.size.worst_case import at_worst_service
from loop.words import Action, hazards
from loop.words.action_words import action_text
from loop.words.actions import (
    ChangeBore,
    ChangeHose,
    ChangePump,
    CleanStrainer,
    LowerOutlet,
    SetHeights,
    SetValve,
    together,
)
from loop.words.base import part_at
from loop.words.size_report import SAY
from loop.words.speaker import Speaker
from tests.command_line import EXAMPLES
from tests.loops import job_of
from tests.sizable import sizable


def changes_of(job: Job) -> tuple[tuple[Change, ...], tuple[tuple[Change, ...], ...]]:
    return least_change(Rules(job))


def pump_flow(job: Job) -> float:
    return solve(at_worst_service(job)).flow


def test_a_loop_that_passes_needs_none() -> None:
    assert changes_of(job_of()) == ((), ())


def test_a_dirty_strainer_is_cleaned_before_anything_is_bought() -> None:
    dirty = job_of((4, "blocked", "90 %"))
    (change,), _ = changes_of(dirty)
    assert change.action == CleanStrainer("part[4]")
    assert change.change == action_text(change.action, Speaker(dirty))
    assert change.passes
    before, after = pump_flow(dirty), pump_flow(job_of())
    assert change.flow == pytest.approx(after, rel=1e-3)
    assert change.gain == pytest.approx(after - before, rel=1e-2)


def test_every_scaled_unit_is_descaled_before_anything_is_bought() -> None:
    """One alone leaves the other less than before."""
    scaled = {
        f"part[9].branch[{number}].part[{part}].{key}": value
        for number, part in ((1, 2), (2, 2))
        for key, value in (("scale", "0.8 mm"), ("tube_bore", "12 mm"), ("tubes", 2))
    }
    job = read_job(EXAMPLES / "guillemot.toml").replace(scaled)
    changes, _ = changes_of(job)
    assert [change.action.kind for change in changes] == ["descale", "descale"]
    assert changes[-1].passes
    done = together(change.action for change in changes).apply(job)
    assert check(done, fixes=False).verdict == "good"


def test_a_half_shut_seacock_is_opened() -> None:
    (change,), _ = changes_of(job_of((2, "open", "40 %")))
    assert change.action == SetValve("part[2]")
    assert change.passes


def test_a_hump_that_stops_the_start_is_taken_down() -> None:
    humped = job_of((8, "length", "34 ft"), (8, "via", ["12 ft"]))
    (change,), _ = changes_of(humped)
    assert isinstance(change.action, SetHeights)
    assert check(at_worst_service(change.action.apply(humped)), fixes=False).verdict == "good"
    assert change.passes


def narrow_suction(inlets: str = "3/8 in") -> Job:
    thin = [(number, "bore", "1/2 in") for number in (3, 4, 5)]
    holes = [(number, "bore", inlets) for number in (1, 2)]
    return job_of(*thin, *holes, (3, "length", "18 ft"), (8, "length", "12 ft"))


def test_a_side_of_narrow_hose_is_one_change_and_comes_before_a_pump() -> None:
    (change,), _ = changes_of(narrow_suction())
    assert isinstance(change.action, ChangeHose)
    assert change.action.parts == ("part[3]", "part[5]")
    assert change.action.fittings == ("part[1]", "part[2]", "part[4]")
    assert change.passes


def test_inlets_in_which_the_water_is_little_too_fast_stay_and_the_boat_afloat() -> None:
    (change,), _ = changes_of(narrow_suction("1/2 in"))
    assert isinstance(change.action, ChangeHose)
    assert change.action.fittings == ()
    assert change.passes


def test_two_faults_take_two_changes_and_only_the_second_cures() -> None:
    job = job_of((4, "blocked", "92 %"), (2, "open", "30 %"), ("sizing", "pumps", ["demo-ac-350"]))
    changes, _ = changes_of(job)
    assert {change.action.kind for change in changes} == {"clean-strainer", "set-valve"}
    assert [change.passes for change in changes] == [False, True]
    assert all(change.gain > 0 for change in changes)


def test_no_single_change_would_have_done_where_a_set_is_given() -> None:
    job = job_of(
        (8, "bore", "1/2 in"),
        (10, "bore", "1/2 in"),
        (4, "blocked", "92 %"),
        ("condenser", "flow_per_ton", "190 gal/h"),
        ("sizing", "pumps", ["demo-ac-350"]),
        ("sizing", "bores", ["1/2 in", "3/4 in", "1 in"]),
    )
    changes, _ = changes_of(job)
    assert len(changes) > 1
    assert changes[-1].passes
    rules = Rules(job)
    assert not any(rules.judge(with_changes(job, [one])).passes for one in single_changes(job))


def share(job: Job) -> float:
    """Flow over need of the only unit at the worst service."""
    return solve(at_worst_service(job)).flow / job.condenser[0].needed_flow


# Of the first, hose that would add 1 % of the need; of the second, one narrow hose.
@pytest.mark.parametrize(("changes", "worth"), [([], 0), ([(8, "bore", "1/2 in")], 1)])
def test_what_does_not_fix_is_offered_for_what_it_brings_only(
    changes: list[Any], worth: int
) -> None:
    job = job_of(
        *changes,
        ("condenser", "cooling", "24000 BTU/h"),
        ("sizing", "pumps", ["demo-ac-350"]),
        ("sizing", "bores", ["3/4 in", "7/8 in"]),
    )
    found, _ = changes_of(job)
    actions = [change.action for change in found]
    assert not any(change.passes for change in found)
    assert len(actions) == worth
    for place, _ in enumerate(actions):
        others = [*actions[:place], *actions[place + 1 :]]
        without = together(others).apply(job) if others else job
        # What a bucket and a watch can show: a twentieth of the need.
        assert share(together(actions).apply(job)) - share(without) >= 0.05
    title = next((one.title for one in sections(size(job, draws=5)) if one.of == "least"), "")
    assert title == SAY("least-none-title" if worth else "least-nothing-title")


def test_every_remedy_changes_the_parts_that_it_touches_and_has_words() -> None:
    job = job_of(
        (2, "open", "40 %"),
        (2, "port", "1/2 in"),
        (4, "blocked", "50 %"),
        (8, "length", "34 ft"),
        (8, "via", ["12 ft"]),
        (9, "tube_bore", "0.5 in"),
        (9, "scale", "0.2 mm"),
    )
    text, speaker = as_toml(tables(job)), Speaker(job)
    found = single_changes(job)
    kinds = {"change-bore", "change-hose", "change-pump"}
    assert kinds | {"fit-full-bore", "set-height", "set-valve"} == {r.action.kind for r in found}
    found = tuple(dict.fromkeys((*found, *(from_action(job, one) for one in corrections(job)))))
    for remedy in found:
        changed = remedy.action.apply(job)
        pairs = zip(locate(job.part), locate(changed.part), strict=True)
        assert {a.address for a, b in pairs if a.part != b.part} == remedy.touches
        assert remedy.part in remedy.touches
        written = parse_toml(edit_text(text, remedy.action.edits(job)))
        assert pump_flow(written) == pytest.approx(pump_flow(changed), rel=1e-6)
        table = remedy.action.to_dict()
        assert json.loads(json.dumps(table)) == table
        assert action_text(remedy.action, speaker)
    said = [action_text(remedy.action, speaker) for remedy in found]
    assert len(set(said)) == len(said)
    assert any(line.startswith(hazards.ACID) for line in said)


# The law.


def less_far(job: Job, action: Action) -> list[Action]:
    """The same kind of change to the same parts, with every smaller extent."""
    if isinstance(action, ChangeHose | ChangeBore):
        parts = action.parts if isinstance(action, ChangeHose) else (action.part,)
        now = min(part_at(job, at).inner_bore for at in parts)
        bores = [bore for bore in job.sizing.bores if now * 1.01 < bore < action.bore]
        return [replace(action, bore=bore) for bore in bores]
    if isinstance(action, ChangePump):
        most = {curve.name: strength(curve) for curve in pumps(job)}[action.name]
        weaker = [c for c in pumps(job) if strength(job.pump.curve) < strength(c) < most]
        return [ChangePump(action.part, curve.name, curve) for curve in weaker]
    return []


def strength(curve: PumpCurve) -> float:
    return curve.last_flow * curve.shutoff_head


def wrong_as_new(rules: Rules, job: Job) -> set[str]:
    """Findings for a job, except those that no size fixes and an oversized pump."""
    found = {one.code for one in grave(check(job, fixes=False))}
    return found - {one.code for one in rules.aside} - {"flow-excess"}


def holds(job: Job) -> bool:
    """Whether a smallest change was found; it and its alternatives must obey the law."""
    rules = Rules(job)
    least, others = least_change(rules)
    for changes in (least, *others):
        if not changes[-1:] or not changes[-1].passes:
            continue
        actions = [change.action for change in changes]
        done = together(actions).apply(job)
        assert rules.aside or check(at_worst_service(done), fixes=False).verdict == "good"
        assert rules.judge(done).passes
        assert rules.chances.least(done) == changes[-1].chance >= job.sizing.confidence
        # In a check as it is then it is good, or what is not is said.
        wrong = wrong_as_new(rules, done)
        assert wrong == set(changes[-1].as_new)
        for place, action in enumerate(actions):
            for less in less_far(job, action):
                tried = [*actions[:place], less, *actions[place + 1 :]]
                nearer = together(tried).apply(job)
                assert not rules.accepts(nearer) or wrong_as_new(rules, nearer) > wrong, less
    return bool(least) and least[-1].passes


# Loops of which one is fixed by a hose, one by two.
@pytest.mark.parametrize("job", [narrow_suction(), sizable(np.random.default_rng(17))])
def test_the_smallest_change_cures_and_nothing_less_far_does(job: Job) -> None:
    assert holds(job)


@pytest.mark.extended
@pytest.mark.parametrize("seed", range(1000, 1300))
def test_the_smallest_change_of_many_random_loops_cures_and_nothing_less_far_does(
    seed: int,
) -> None:
    holds(sizable(np.random.default_rng(seed)))


def turnstone(**sizing: Any) -> Job:
    return read_job(EXAMPLES / "turnstone.toml").replace(
        {f"sizing.{k}": v for k, v in sizing.items()}
    )


def test_a_change_that_is_wrong_as_new_comes_behind_two_that_are_right() -> None:
    """The pump alone is too fast with a clean strainer; a weaker one plus hose is not."""
    job = turnstone()
    alone = ChangePump("part[6]", "demo-ac-1000").apply(job)
    assert Rules(job).accepts(alone)
    assert check(alone, fixes=False).verdict == "attention"
    least, _ = changes_of(job)
    assert {one.action.kind for one in least} == {"change-pump", "change-hose"}
    assert least[-1].as_new == ()
    assert holds(job)


def test_where_a_check_offers_something_else_first_it_is_said_why_it_is_not_this() -> None:
    """One fixes what is wrong in the file's state, the other withstands the worst service."""
    job = turnstone()
    (short,) = (one for one in check(job).findings if one.code == "flow-short")
    first = short.actions[0]
    judged = Rules(job).judge(first.apply(job))
    assert judged.said
    said = size(job, draws=5, every=False).not_first
    assert action_text(first, Speaker(job)) in said
    assert judged.said[0] in said
    # No allowance: the same change, and nothing to report.
    clean = turnstone(service_blocked=0.0)
    assert size(clean, draws=5, every=False).not_first == ""


def test_where_no_set_is_right_as_new_it_is_said_what_a_check_then_finds() -> None:
    job = turnstone(pumps=["demo-ac-1000"], bores=["1/2 in"])
    result = size(job, draws=5)
    (change,) = result.least_change
    after = check(change.action.apply(job), fixes=False)
    (said,) = {one.code for one in grave(after)}
    assert change.as_new == (said,)
    (least,) = (one for one in sections(result) if one.of == "least")
    assert least.lines[-1] == as_new_words((said,))


def test_where_nothing_brings_more_and_flow_is_not_wanted_no_change_is_told() -> None:
    job = sizable(np.random.default_rng(1048))
    assert not Rules(job).lacks_flow
    assert changes_of(job) == ((), ())


# The chance that is asked.


def surer(job: Job, asked: str) -> Job:
    return with_sizing(job, {"bores": "3/4 in, 7/8 in, 1 in", "confidence": asked})


def test_a_loop_that_is_right_but_not_as_sure_as_is_asked_is_changed_until_it_is() -> None:
    long = job_of((8, "length", "24 ft"))
    assert changes_of(surer(long, "90 %")) == ((), ())
    job = surer(long, "99.9 %")
    rules = Rules(job)
    assert rules.judge(job).passes
    assert not rules.likely_enough(job)
    least, _ = changes_of(job)
    assert least[-1].chance >= 0.999
    assert holds(job)
    # An option is asked for the same.
    options = size(job).options
    (first,) = (one for one in options if one.as_is)
    assert {one.code for one in first.reasons} == {"chance-low"}


def test_where_no_change_is_as_sure_as_is_asked_what_brings_most_is_not_called_enough() -> None:
    job = surer(job_of(("condenser", "cooling", "13000 BTU/h")), "99.9 %")
    few = with_sizing(job, {"bores": "3/4 in, 7/8 in", "pumps": "demo-ac-350"})
    result = size(few)
    (change,) = result.least_change
    # A check alone finds nothing wrong with it.
    assert Rules(few).judge(change.action.apply(few)).passes
    assert change.chance < few.sizing.confidence
    assert not change.passes
    said = {one.of: one.title for one in sections(result)}["least"]
    assert said == SAY("least-none-title")


def test_how_far_a_choice_goes_ends_where_it_is_not_as_sure_as_is_asked() -> None:
    job = surer(job_of(), "99.9 %")
    asked, usual = (
        {at().of: at().limit for at in reach(one, Rules(one))} for one in (job, surer(job, "50 %"))
    )
    assert asked["run"] < usual["run"]
    assert asked["blocked"] < usual["blocked"]


# Ways to more water that are less work than a pump.


def test_a_hose_of_a_leg_full_of_air_is_narrowed_before_a_pump_is_bought() -> None:
    wide = job_of(("defaults", "bore", "1 in"), (8, "to", "72 in"), (10, "length", "8 ft"))
    (change,), _ = changes_of(wide)
    assert isinstance(change.action, ChangeHose)
    assert change.action.parts == ("part[10]",)
    assert change.action.bore < part_at(wide, "part[10]").inner_bore
    assert change.gain > 0
    assert check(at_worst_service(change.action.apply(wide)), fixes=False).verdict == "good"


def test_a_high_outlet_is_brought_where_outlets_are_before_a_pump_is_bought() -> None:
    high = job_of((10, "to", "40 in"), (11, "height", "40 in"))
    (change,), others = changes_of(high)
    assert isinstance(change.action, LowerOutlet)
    # Six inches above the water: nobody cuts a hole at the first height that is enough.
    assert change.action.height == pytest.approx(6 * 0.0254)
    assert check(at_worst_service(change.action.apply(high)), fixes=False).verdict != "bad"
    assert Rules(high).judge(change.action.apply(high)).passes
    assert any(isinstance(some[0].action, ChangePump) for some in others)
