"""One rule of least work orders both the fixes of `check` and the smallest change of `size`."""

from itertools import islice

import numpy as np
import pytest

from loop.check import check
from loop.check.build_context import build_context
from loop.check.flow_fixes import more_for_all
from loop.check.work import WORK, work
from loop.job import TRADE_BORES, Job, parse_job
from loop.size.least_change import least_change
from loop.size.rules import Rules
from loop.units import parse
from loop.words.action_words import WORDS
from loop.words.actions import (
    ChangeBore,
    ChangeHose,
    CleanStrainer,
    FitPumpRated,
    FitValve,
    LowerOutlet,
    SetValve,
    together,
)
from tests.branches import branched
from tests.loops import changed, job_of, plain_loop
from tests.sizable import sizable

SHORT = ("flow-short", "flow-marginal", "at-rest-short")


def free_to_choose(seed: int) -> Job:
    """A random boat that may have any pump and bore, its worst service being its present state."""
    job = sizable(np.random.default_rng(seed))
    free = {"pumps": None, "bores": TRADE_BORES, "service_blocked": 0.0, "warmest_sea": None}
    return job.model_copy(update={"sizing": job.sizing.model_copy(update=free)})


def agree(seed: int) -> bool:
    """If both offer a single step that is enough, it is the same step.

    A sizing chooses among pumps with curves: a pump known only by its rating is not a choice.
    """
    job = free_to_choose(seed)
    first = next((one for one in check(job).findings if one.code in SHORT), None)
    if first is None or not first.actions:
        return False
    rules, action = Rules(job), first.actions[0]
    least, _ = least_change(rules)
    if len(least) != 1 or not least[0].passes:
        return False
    if len(action.steps) > 1 or isinstance(action, FitPumpRated):
        return False
    if not rules.judge(action.apply(job)).passes:
        return False
    assert action == least[0].action or action.apply(job) == least[0].action.apply(job)
    return True


# Short boats: one hose does it, a pump does it.
@pytest.mark.parametrize("seed", [14, 21])
def test_the_first_fix_of_a_check_is_the_smallest_change_of_a_sizing(seed: int) -> None:
    assert agree(seed)


@pytest.mark.extended
def test_it_is_so_on_two_hundred_random_boats() -> None:
    assert sum(agree(seed) for seed in range(200)) > 20


@pytest.mark.parametrize("seed", [3, 6, 14, 35])
def test_what_is_tried_for_more_flow_is_in_the_order_of_its_work(seed: int) -> None:
    context = build_context(free_to_choose(seed))
    tried = [work(context.job, action) for action in islice(more_for_all(context), 6)]
    assert tried
    assert tried == sorted(tried)


def test_a_hose_that_does_it_all_comes_before_a_valve_that_leaves_no_margin() -> None:
    """A valve must be cut in and set; the actual fault is the hose that starves a unit."""
    table = branched(2).model_dump(mode="json", exclude_none=True)
    table["part"][8]["branch"][1]["part"][0]["bore"] = "3/8 in"
    result = check(Job.model_validate(table))
    first, second = next(one for one in result.findings if one.code in SHORT).actions
    assert isinstance(first, ChangeHose)
    assert first.parts == ("part[9].branch[2].part[1]",)
    assert isinstance(second, FitValve)


def test_a_check_valve_before_the_pump_comes_out_before_a_pump_is_bought() -> None:
    """It is wrong there anyway: alone where that is enough, and otherwise along with the pump."""

    def first(cooling: str) -> list[str]:
        data = changed(("condenser", "cooling", cooling), (6, "curve", "demo-ac-250"))
        data["part"][2:2] = [{"kind": "check valve", "bore": "1/2 in"}]
        short = check(parse_job(data)).findings[0]
        assert short.code in ("flow-short", "flow-marginal")
        return [step.kind for step in short.actions[0].steps]

    assert first("10500 BTU/h") == ["remove-part"]
    assert first("13000 BTU/h") == ["remove-part", "change-pump"]


def test_a_check_valve_that_must_come_out_is_not_made_wider() -> None:
    """With branches too: it starves two units, and is wrong before their pump."""
    table = branched(2).model_dump(mode="json", exclude_none=True)
    table["part"][2:2] = [{"kind": "check valve", "bore": "3/8 in"}]
    result = check(Job.model_validate(table))
    actions = next(one for one in result.findings if one.code in SHORT).actions
    assert [step.kind for step in actions[0].steps] == ["remove-part"]
    bores = [step for one in actions for step in one.steps if isinstance(step, ChangeBore)]
    assert all(step.part != "part[3]" for step in bores)


def test_no_branches_are_made_twice_as_wide_for_a_little_flow() -> None:
    """A unit 5 gal/h under its need: 1-1/2 in hose would do, in which 200 gal/h run at 0.6 ft/s."""
    wide = {"bore": "1-1/4 in"}
    data = plain_loop()
    unit = data["part"][8]
    branch = [
        {"name": name, "part": [
            {"kind": "hose", "length": "6 ft", "to": "12 in"},
            {**unit, "serves": name},
            {"kind": "hose", "length": "5 ft", "to": "12 in"},
        ]}
        for name in ("fore", "aft")
    ]  # fmt: skip
    data["condenser"] = [{"name": one["name"], "cooling": "12000 BTU/h"} for one in branch]
    data["part"][0]["height"] = "-24 in"
    data["part"][3]["loss"] = "0.4 psi at 900 gal/h"
    data["part"][5]["curve"] = "demo-ac-500"
    data["part"][7].update(length="5 ft", to="0 in")
    data["part"][8] = {"kind": "manifold", "branch": branch}
    data["part"][2]["to"], data["part"][4]["to"] = "-18 in", "-16 in"
    data["part"] = [part if part["kind"] == "pump" else {**part, **wide} for part in data["part"]]
    result = check(parse_job(data))
    short = result.findings[0]
    assert short.code == "flow-marginal"
    for action in short.actions:
        bores = [step.bore for step in action.steps if isinstance(step, ChangeHose)]
        assert all(bore < parse("1-1/2 in", "length") for bore in bores), action


def test_every_action_has_its_work_and_several_have_the_sum() -> None:
    job = job_of()
    outlet = LowerOutlet("part[11]", 0.1)
    one, two = ChangeHose(("part[8]",), 0.025), ChangeHose(("part[8]", "part[10]"), 0.025)
    hull, elbow = ChangeBore("part[1]", 0.025), ChangeBore("part[2]", 0.025)
    assert work(job, together([CleanStrainer("part[4]"), SetValve("part[2]")])) == 0
    assert work(job, two) == 2 * work(job, one)
    assert work(job, together([one, outlet])) == work(job, one) + work(job, outlet)
    assert work(job, hull) > work(job, elbow)
    assert {action.kind for action in WORDS} - {"together"} == set(WORK)
