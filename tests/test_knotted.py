"""Networks of many nested manifolds and walls converge, with limited work.

Invented jobs of the second generator with hundreds of parts; work is counted, not timed.
"""

import pytest

from loop.check import check
from loop.check.judge import IncrementalCheck
from loop.hydraulics import build, newton_steps, solve_flows
from loop.job import Job, address, parse_job
from loop.words import say
from tests.loops import job_of
from tests.second_fuzz.loops import Boat

# Lines of each, and the most steps that a solve of one case may take: about five times the 20 or
# 30 for a loop of a few lines, since steps go from wall to wall.
KNOTTED = {3016: 93, 3059: 79, 5001: 74}
MOST_STEPS = 150
# What passing the walls with all tees' slopes would take, over and over.
MOST_COUPLED = 40


@pytest.mark.parametrize("seed", KNOTTED)
def test_a_knot_settles_in_few_steps(seed: int, monkeypatch: pytest.MonkeyPatch) -> None:
    steps: list[str] = []

    def counted(name: str) -> None:
        plain = getattr(newton_steps, name)

        def count(*given: object) -> object:
            steps.append(name)
            return plain(*given)

        monkeypatch.setattr(newton_steps, name, count)

    network = build(parse_job(Boat(seed).job()))
    assert len(network.lines) == KNOTTED[seed]
    counted("advance")
    counted("coupled_step")
    flows = solve_flows(network)
    assert flows.settled.all()
    assert len(steps) <= MOST_STEPS
    assert steps.count("coupled_step") <= MOST_COUPLED


@pytest.mark.parametrize("job", [job_of((2, "open", "30 %")), parse_job(Boat(5008).job())])
def test_the_first_action_alone_is_the_first_of_all(job: Job) -> None:
    """Searched for first, it leaves the whole answer unchanged."""
    whole = check(job)
    first = next(one for one in whole.findings if one.actions)
    checking = IncrementalCheck(job)
    found = checking.first_cure(("danger", "fault"), lambda one: bool(one.actions)).findings
    alone = next(one for one in found if one.actions)
    assert (alone.code, alone.at, alone.actions[0]) == (first.code, first.at, first.actions[0])
    assert checking.with_all_actions().findings == whole.findings
    # The loop tried along the way is the loop with that action applied.
    job_after = first.actions[0].apply(job)
    assert checking.after(first.actions[0]).with_all_actions().findings == check(job_after).findings


def test_a_report_finds_the_parts_of_a_job_once(monkeypatch: pytest.MonkeyPatch) -> None:
    """And those of the job with an action applied; not again for each part of each finding."""
    result = check(parse_job(Boat(5008).job()))
    found: list[int] = []
    plain = address.part_labels
    monkeypatch.setattr(address, "part_labels", lambda parts: found.append(1) or plain(parts))
    for finding in result.findings:
        assert say(finding, result.job).message
    assert len(found) <= 1 + sum(len(one.actions) for one in result.findings)
