"""The smallest set of changes that mends a loop which fails as it stands."""

import itertools
import math
from collections.abc import Iterator, Sequence

from loop.check import check
from loop.hydraulics import build, solve_flows
from loop.job import Job
from loop.size.remedies import Remedy, mended, remedies
from loop.size.result import Change
from loop.size.rules import Rules, grave
from loop.size.worst_case import in_service
from loop.words.action_words import action_text
from loop.words.speaker import Speaker

# Changes of a set, at most; and how many sets of one size are shown beside the first.
_MOST_CHANGES, _OTHERS = 3, 3
# The most promising single changes, from which sets of two and of three are made, and whole checks
# made of the sets of one size: enough for any loop tried, and an answer in a second or two.
_PROMISING = {2: 20, 3: 12}
_CHECKS = 60

# Actions of a check that the remedies hold themselves, or that the worst service undoes.
_OWN = ("change-hose", "change-pump", "fit-pump-rated", "clean-strainer", "together")

Set = tuple[Remedy, ...]


def least_change(
    job: Job, rules: Rules
) -> tuple[tuple[Change, ...], tuple[tuple[Change, ...], ...]]:
    """The smallest set of changes after which the job passes as it stands, and others as small.

    It passes by the rules of every option, at its worst service. Of sets of one size the one with
    the least work comes first.

    Returns
    -------
    least, others : tuple of Change, tuple of tuples of Change
        Both empty where the job passes already. Where no set of three does it, `least` holds the
        three changes that together bring most flow, marked as not passing.
    """
    if rules.judge(job).passes:
        return (), ()
    network = build(job)
    singles = remedies(job, network)
    if not singles:
        return (), ()
    shares = {id(remedy): _share(job, (remedy,)) for remedy in singles}
    best: tuple[float, Set] = (-math.inf, singles[:1])
    for count in range(1, _MOST_CHANGES + 1):
        sets = list(_sets(singles, shares, count))
        reached = [(_share(job, some), some) for some in sets]
        best = max([best, *reached], key=lambda pair: pair[0])
        cures = list(itertools.islice(_cures(job, rules, reached), 1 + _OTHERS))
        if cures:
            return _told(job, rules, cures[0]), tuple(_told(job, rules, some) for some in cures[1:])
        advised = tuple(itertools.islice(_advised(job, rules), 1 + _OTHERS)) if count == 1 else ()
        if advised:
            return advised[0], advised[1:]
    return _told(job, rules, best[1]), ()


def _advised(job: Job, rules: Rules) -> Iterator[tuple[Change, ...]]:
    """Single things that a check at the worst service advises and that make the job pass there.

    Valves, bleeds, heights: what the remedies of sizes do not hold.
    """
    speaker, before = Speaker(job), _pump_flow(job)
    actions = (action for finding in grave(check(in_service(job))) for action in finding.actions)
    for action in dict.fromkeys(actions):
        if action.kind in _OWN:
            continue
        fixed = action.apply(job)
        if rules.judge(fixed).passes:
            flow = _pump_flow(fixed)
            yield (Change(action_text(action, speaker), flow, flow - before, True),)


def _share(job: Job, some: Set) -> float:
    """Least flow over need of any condenser, with these changes made."""
    network = build(in_service(mended(job, some)))
    flow = solve_flows(network).line_flow[0]
    return min(
        float(flow[network.line_of[network.condenser_part(unit.name)]]) / unit.needed_flow
        for unit in job.condenser
    )


def _sets(singles: Sequence[Remedy], shares: dict[int, float], count: int) -> Iterator[Set]:
    """Sets of `count` changes to different parts, made of the changes that promise most."""
    if count > 1:
        singles = sorted(singles, key=lambda remedy: -shares[id(remedy)])[: _PROMISING[count]]
    for some in itertools.combinations(singles, count):
        parts = [index for remedy in some for index in remedy.parts]
        if len(set(parts)) == len(parts):
            yield some


def _cures(job: Job, rules: Rules, reached: Sequence[tuple[float, Set]]) -> Iterator[Set]:
    """Sets after which the job passes, the least work first and then the least oversized."""
    able = [(sum(r.effort for r in some), share, some) for share, some in reached if share >= 1]
    able.sort(key=lambda row: row[:2])
    for _, _, some in able[:_CHECKS]:
        if rules.judge(mended(job, some)).passes:
            yield some


def _told(job: Job, rules: Rules, some: Set) -> tuple[Change, ...]:
    """The set as changes made one after the other."""
    found = []
    before = _pump_flow(job)
    for count in range(1, len(some) + 1):
        now = mended(job, some[:count])
        flow = _pump_flow(now)
        found.append(Change(some[count - 1].change, flow, flow - before, rules.judge(now).passes))
        before = flow
    return tuple(found)


def _pump_flow(job: Job) -> float:
    network = build(in_service(job))
    return float(solve_flows(network).line_flow[0, network.pump_line])
