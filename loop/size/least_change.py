"""The smallest set of changes that fixes a loop which fails as it stands."""

import itertools
import math
from collections.abc import Iterator, Sequence

from loop.check.judge import Checking
from loop.check.work import WORTH
from loop.hydraulics import build, solve_flows
from loop.job import Job
from loop.size.options import pumps
from loop.size.progress import Step
from loop.size.remedies import Remedy, fixed, of_action, remedies
from loop.size.result import Change
from loop.size.rules import Rules, grave, serving
from loop.size.worst_case import in_service
from loop.words.action_words import action_text
from loop.words.actions import Action, ChangePump, FitPumpRated, together
from loop.words.speaker import Speaker

# Extra work that is worthwhile for a set that is also right as new: hose, no haul-out (estimate).
_FOR_AS_NEW = 12
# Limit on the changes of a set, and on the alternative sets of one size that are shown.
MOST_CHANGES, _OTHERS = 3, 3
# Steps of both passes: first only sets that are also right as new.
MOST_STEPS = 2 * MOST_CHANGES
# The most promising single changes from which sets of two and three are made, and the full checks
# made for sets of one size: enough for any loop tried, and an answer in a second or two.
_PROMISING = {2: 14, 3: 9}
_CHECKS = 30

# Failed sets whose check is searched for one more action, and failed sets ranked for that.
_NEAR, _ASKED = 2, 6
# Dirt: corrected first, or brought back by the worst service.
_UNDONE = ("clean-grate", "clean-strainer", "descale")

Set = tuple[Remedy, ...]
Changes = tuple[Change, ...]


class _Trials:
    """Sets of changes tried on one job, each once."""

    def __init__(self, job: Job, rules: Rules) -> None:
        self.job, self.rules = job, rules
        self.right_as_new, self.least_refused = False, math.inf
        self._chances: dict[Set, float] = {}
        self._flows: dict[Set, tuple[float, float]] = {}
        self._as_new: dict[Set, tuple[str, ...]] = {}

    def enough(self, some: Set) -> bool:
        """Whether the set withstands the worst service, and is right as new if that is required.

        `least_refused` becomes the least work of a set refused only as new.
        """
        if not self.stands(some):
            return False
        if not self.right_as_new or not self.as_new(some):
            return True
        self.least_refused = min(self.least_refused, _effort(some))
        return False

    def stands(self, some: Set) -> bool:
        """Whether the job passes at its worst service, with the required chance."""
        return self.chance(some) >= self.job.sizing.confidence

    def as_new(self, some: Set) -> tuple[str, ...]:
        """Codes of what is wrong as new; an inlet that can wait for a haul-out is not."""
        if some not in self._as_new:
            self._as_new[some] = self.rules.as_new(fixed(self.job, some), wait=True)[1]
        return self._as_new[some]

    def chance(self, some: Set) -> float:
        """The chance that each unit gets its need; NaN if the check finds anything wrong."""
        if some not in self._chances:
            job = fixed(self.job, some)
            right = self.rules.passes(job)
            self._chances[some] = self.rules.odds.least(job) if right else math.nan
        return self._chances[some]

    def share(self, some: Set) -> float:
        """Least flow over need of any condenser, with these changes made."""
        return self._flow(some)[0]

    def pump_flow(self, some: Set) -> float:
        """Flow of the pump [m³/s] with these changes made."""
        return self._flow(some)[1]

    def _flow(self, some: Set) -> tuple[float, float]:
        if some not in self._flows:
            network = build(in_service(fixed(self.job, some)))
            flow = solve_flows(network).line_flow[0]
            units = self.job.condenser
            shares = (float(flow[network.unit_line(u.name)]) / u.needed_flow for u in units)
            self._flows[some] = min(shares), float(flow[network.pump_line])
        return self._flows[some]


def least_change(
    job: Job, rules: Rules, step: Step = lambda: None
) -> tuple[Changes, tuple[Changes, ...]]:
    """The smallest set of changes with which the job as found passes, and others as small.

    It must pass by the rules for every option, at its worst service, with the required chance, and
    be right as new too if that takes little more work. Dirt, part-shut valves and low voltage are
    corrected before anything else, and nothing else if that is enough. Among sets of one size the
    least work comes first, and none of its changes can be a size smaller. `step` is called once per
    set size, at most `MOST_STEPS` times.

    Returns
    -------
    least, others : tuple of Change, tuple of tuples of Change
        Both empty if the job already passes. If no set of up to three passes, and the loop needs
        more flow, `least` holds the changes, three at most, that together bring most flow, marked
        as not passing, without those that bring next to nothing.
    """
    trials = _Trials(job, rules)
    care = tuple(sorted((of_action(job, one) for one in rules.first), key=lambda one: one.effort))
    if rules.passes_already:
        if not care or trials.enough(()):
            return (), ()
        alone = ((one,) for one in care if trials.enough((one,)))
        found = list(dict.fromkeys((_needed(trials, care), *alone)))[: 1 + _OTHERS]
        return _told(trials, found[0]), tuple(_told(trials, some) for some in found[1:])
    singles = remedies(rules.job)
    if not care and not singles:
        return (), ()
    for trials.right_as_new in (True, False):
        found = _found(trials, care, singles, step)
        if found:
            return _told(trials, found[0]), tuple(_told(trials, some) for some in found[1:])
        if math.isinf(trials.least_refused):
            break
    most = _told(trials, _worth(trials, _most(trials, care, singles)))
    return most if rules.wants_flow or (most and most[-1].passes) else (), ()


def _found(trials: _Trials, care: Set, singles: Sequence[Remedy], step: Step) -> list[Set]:
    """The smallest sets that suffice; empty if none does, or none is worth its work."""
    near, cures = [care], list[Set]()
    for count in range(1, MOST_CHANGES + 1):
        step()
        failed: list[Set] = []
        reached = _reached(trials, care, singles, count)
        new = list(itertools.islice(_cures(trials, reached, failed), 1 + _OTHERS))
        if count == 1 or not new:
            new += itertools.islice(_advised(trials, near), 1 + _OTHERS)
        cures = sorted(_apart([*cures, *new]), key=_effort)
        # Sets that make fast water faster are used only if there is nothing else.
        fixes = ((some, fixed(trials.job, some)) for some in cures)
        harmless = [some for some, done in fixes if not trials.rules.worsens(done)]
        best = (harmless or cures)[: 1 + _OTHERS]
        if best and _effort(best[0]) <= trials.least_refused + _FOR_AS_NEW:
            return list(dict.fromkeys(_smallest(trials, singles, some) for some in best))
        if count < MOST_CHANGES:
            near = _nearest(trials, failed)
    return []


def _reached(
    trials: _Trials, care: Set, singles: Sequence[Remedy], count: int
) -> list[tuple[float, Set]]:
    """Each set of `count` changes after the care, with the least flow over need it brings."""
    shares = {remedy: trials.share((*care, remedy)) for remedy in singles}
    sets = [(*care, *some) for some in _sets(singles, shares, count)]
    return [(trials.share(some), some) for some in sets]


def _most(trials: _Trials, care: Set, singles: Sequence[Remedy]) -> Set:
    """The set that brings most flow."""
    every = [_reached(trials, care, singles, count) for count in range(1, MOST_CHANGES + 1)]
    return max(itertools.chain(*every), key=lambda pair: pair[0], default=(0.0, care))[1]


def _needed(trials: _Trials, care: Set) -> Set:
    """The care without steps that change no finding, dropping the most work first."""
    for one in sorted(care, key=lambda one: -one.effort):
        less = tuple(other for other in care if other is not one)
        if trials.enough(less) and _wrong(trials.job, less) <= _wrong(trials.job, care):
            return _needed(trials, less)
    return care


def _wrong(job: Job, some: Set) -> set[str]:
    """Codes found with a set of changes made, at the worst service."""
    return {one.code for one in serving(fixed(job, some))[1]}


def _nearest(trials: _Trials, failed: Sequence[Set]) -> list[Set]:
    """The failed sets with the fewest reasons; ties keep their order, least work first."""

    def reasons(some: Set) -> int:
        return len(trials.rules.judge(fixed(trials.job, some)).reasons)

    return sorted(failed[:_ASKED], key=reasons)[:_NEAR]


def _advised(trials: _Trials, near: Sequence[Set]) -> Iterator[Set]:
    """Failed sets, each completed by one more action that its check advises.

    Valves, bleeds, heights, narrower hose: whatever the ladders of sizes lack.
    """
    job, rules = trials.job, trials.rules
    for some in near:
        result = Checking(in_service(fixed(job, some))).grave() if some else rules.checked
        said = (action for finding in grave(result) for action in finding.actions)
        for action in dict.fromkeys(one for whole in said for one in _open(job, whole)):
            more = (*some, of_action(job, action))
            if trials.enough(more):
                yield more


def _open(job: Job, action: Action) -> Iterator[Action]:
    """The lasting steps of a check's action, if its pump is allowed; not a pump change alone."""
    steps = [step for step in action.steps if step.kind not in _UNDONE]
    changes = [step for step in steps if isinstance(step, ChangePump)]
    rated = any(isinstance(step, FitPumpRated) for step in steps)
    names = {curve.name for curve in pumps(job)}
    if not rated and len(changes) < len(steps) and all(one.name in names for one in changes):
        yield together(steps)


def _apart(sets: Sequence[Set]) -> list[Set]:
    """The sets that do different things, the first of each."""
    kept: dict[frozenset[Action], Set] = {}
    for some in sets:
        kept.setdefault(frozenset(remedy.action for remedy in some), some)
    return list(kept.values())


def _effort(some: Set) -> int:
    """Work of a set of changes."""
    return sum(remedy.effort for remedy in some)


def _worth(trials: _Trials, some: Set) -> Set:
    """The set without changes that bring less than matters."""
    whole = trials.share(some)
    for place, _ in enumerate(some):
        less = (*some[:place], *some[place + 1 :])
        if whole - trials.share(less) < WORTH:
            return _worth(trials, less)
    return some


def _sets(singles: Sequence[Remedy], shares: dict[Remedy, float], count: int) -> Iterator[Set]:
    """Sets of `count` changes to different parts, from the most promising changes."""
    if count > 1:
        singles = sorted(singles, key=lambda remedy: -shares[remedy])[: _PROMISING[count]]
    for some in itertools.combinations(singles, count):
        touched = [remedy.touches for remedy in some]
        if len(frozenset().union(*touched)) == sum(map(len, touched)):
            yield some


def _cures(
    trials: _Trials, reached: Sequence[tuple[float, Set]], failed: list[Set]
) -> Iterator[Set]:
    """Sets with which the job passes, least work first and then least oversized.

    Only one of sets that differ just in how far they go. Appends to `failed` the sets with enough
    water that still fail.
    """
    able = [(_effort(some), share, some) for share, some in reached if share >= 1]
    able.sort(key=lambda row: row[:2])
    cured = set()
    for _, _, some in able[:_CHECKS]:
        ladders = frozenset(remedy.ladder for remedy in some)
        if ladders in cured:
            continue  # the same, only further
        if trials.enough(some):
            cured.add(ladders)
            yield some
        else:
            failed.append(some)


def _smallest(trials: _Trials, singles: Sequence[Remedy], cure: Set) -> Set:
    """The cure with each change reduced a size, as long as it still cures."""
    for place, remedy in enumerate(cure):
        smaller = [one for one in singles if one.ladder == remedy.ladder and one.step < remedy.step]
        for one in sorted(smaller, key=lambda one: one.step):
            less = (*cure[:place], one, *cure[place + 1 :])
            if trials.enough(less):
                return _smallest(trials, singles, less)
    return cure


def _told(trials: _Trials, some: Set) -> Changes:
    """The set as changes made one after another."""
    speaker, found, before = Speaker(trials.job), [], trials.pump_flow(())
    for count, remedy in enumerate(some, 1):
        done = some[:count]
        flow, text = trials.pump_flow(done), action_text(remedy.action, speaker)
        stands, chance = trials.stands(done), trials.chance(done)
        new = trials.as_new(done) if stands else ()
        found.append(Change(remedy.action, text, flow, flow - before, chance, stands, new))
        before = flow
    return tuple(found)
