"""The smallest set of changes that fixes a loop which fails as it stands."""

import itertools
import math
from collections.abc import Iterator, Sequence

from loop.check.work import LEAST_GAIN
from loop.job import Job
from loop.size.change_trials import ChangeSet, ChangeTrials, work_of
from loop.size.options import pumps
from loop.size.processes import Asked
from loop.size.progress import Step
from loop.size.result import Change
from loop.size.rules import Rules, advice, worst_case_findings
from loop.size.single_changes import Ladder, SingleChange, from_action, single_changes, with_changes
from loop.words import Finding
from loop.words.action_words import action_text
from loop.words.actions import Action, ChangePump, FitPumpRated, together
from loop.words.speaker import Speaker

# Extra work that is worthwhile for a set that is also right as new: hose, no haul-out (estimate).
_AS_NEW_WORK = 12
# Limit on the changes of a set, and on the alternative sets of one size that are shown.
MAX_CHANGES, _MAX_OTHERS = 3, 3
# Steps of both passes: first only sets that are also right as new.
MAX_STEPS = 2 * MAX_CHANGES
# The most promising single changes from which sets of two and three are made, and the full checks
# made for sets of one size: enough for any loop tried, and an answer in a second or two.
_PROMISING = {2: 14, 3: 9}
_MAX_CHECKS = 30

# Failed sets whose check is searched for one more action, and failed sets ranked for that.
_MAX_NEAR, _MAX_RANKED = 2, 6
# Dirt: corrected first, or brought back by the worst service.
_DIRT = ("clean-grate", "clean-strainer", "descale")

Singles = Sequence[SingleChange]
Changes = tuple[Change, ...]


def least_change(rules: Rules, step: Step = lambda: None) -> tuple[Changes, tuple[Changes, ...]]:
    """The smallest set of changes with which the job as found passes, and others as small.

    It must pass by the rules for every option, at its worst service, with the required chance, and
    be right as new too if that takes little more work. Dirt, part-shut valves and low voltage are
    corrected before anything else, and nothing else if that is enough. Among sets of one size the
    least work comes first, and none of its changes can be a size smaller. `step` is called once per
    set size, at most `MAX_STEPS` times.

    Returns
    -------
    least, others : tuple of Change, tuple of tuples of Change
        Both empty if the job already passes. If no set of up to three passes, and the loop needs
        more flow, `least` holds the changes, three at most, that together bring most flow, marked
        as not passing, without those that bring next to nothing.
    """
    trials = ChangeTrials(rules)
    corrections = tuple(
        sorted((from_action(trials.job, one) for one in rules.first), key=lambda one: one.effort)
    )
    if rules.passes_already:
        if not corrections or trials.suffices(()):
            return (), ()
        single = ((one,) for one in corrections if trials.suffices((one,)))
        sets = list(dict.fromkeys((_only_needed(trials, corrections), *single)))[: 1 + _MAX_OTHERS]
        return _answer(trials, sets)
    singles = single_changes(rules.job)
    if not corrections and not singles:
        return (), ()
    for trials.want_as_new in (True, False):
        sets = _smallest_sets(trials, corrections, singles, step)
        if sets:
            return _answer(trials, sets)
        if math.isinf(trials.least_refused_work):
            break
    most = _as_changes(
        trials, _without_negligible(trials, _most_flow(trials, corrections, singles))
    )
    return most if rules.lacks_flow or (most and most[-1].passes) else (), ()


def _smallest_sets(
    trials: ChangeTrials, corrections: ChangeSet, singles: Singles, step: Step
) -> list[ChangeSet]:
    """The smallest sets that suffice; empty if none does, or none is worth its work."""
    near_misses, found = [corrections], list[ChangeSet]()
    for count in range(1, MAX_CHANGES + 1):
        step()
        failed: list[ChangeSet] = []
        reached = _with_ratios(trials, corrections, singles, count)
        new_sets = list(itertools.islice(_passing(trials, reached, failed), 1 + _MAX_OTHERS))
        if count == 1 or not new_sets:
            new_sets += itertools.islice(_completed_by_advice(trials, near_misses), 1 + _MAX_OTHERS)
        found = sorted(_distinct([*found, *new_sets]), key=work_of)
        # Sets that make fast water faster are used only if there is nothing else.
        jobs = ((changes, with_changes(trials.job, changes)) for changes in found)
        harmless = [changes for changes, job in jobs if not trials.rules.worsens(job)]
        chosen = (harmless or found)[: 1 + _MAX_OTHERS]
        if chosen and work_of(chosen[0]) <= trials.least_refused_work + _AS_NEW_WORK:
            return list(dict.fromkeys(_reduced(trials, singles, changes) for changes in chosen))
        if count < MAX_CHANGES:
            near_misses = _nearest_to_passing(trials, failed)
    return []


def _with_ratios(
    trials: ChangeTrials, corrections: ChangeSet, singles: Singles, count: int
) -> list[tuple[float, ChangeSet]]:
    """Each set of `count` changes after the corrections, with its least flow over need."""
    alone = trials.least_ratios([(*corrections, change) for change in singles])
    ratios = dict(zip(singles, alone, strict=True))
    sets = [(*corrections, *changes) for changes in _combinations(singles, ratios, count)]
    return list(zip(trials.least_ratios(sets), sets, strict=True))


def _most_flow(trials: ChangeTrials, corrections: ChangeSet, singles: Singles) -> ChangeSet:
    """The set that brings most flow."""
    counts = range(1, MAX_CHANGES + 1)
    sets = [_with_ratios(trials, corrections, singles, count) for count in counts]
    return max(itertools.chain(*sets), key=lambda pair: pair[0], default=(0.0, corrections))[1]


def _only_needed(trials: ChangeTrials, corrections: ChangeSet) -> ChangeSet:
    """The corrections without those that change no finding, dropping the most work first."""
    for one in sorted(corrections, key=lambda one: -one.effort):
        less = tuple(other for other in corrections if other is not one)
        if trials.suffices(less) and _finding_codes(trials.job, less) <= _finding_codes(
            trials.job, corrections
        ):
            return _only_needed(trials, less)
    return corrections


def _finding_codes(job: Job, changes: ChangeSet) -> set[str]:
    """Codes found with a set of changes made, at the worst service."""
    return {one.code for one in worst_case_findings(with_changes(job, changes))[1]}


def _nearest_to_passing(trials: ChangeTrials, failed: Sequence[ChangeSet]) -> list[ChangeSet]:
    """The failed sets with the fewest reasons; ties keep their order, least work first."""
    asked = [(trials.rules.ask(count_reasons, one), one) for one in failed[:_MAX_RANKED]]
    ranked = sorted(((count(), one) for count, one in asked), key=lambda row: row[0])
    return [changes for _, changes in ranked[:_MAX_NEAR]]


def count_reasons(rules: Rules, changes: ChangeSet) -> int:
    """Number of reasons against the loop with these changes made."""
    return len(rules.judge(with_changes(rules.as_found, changes)).reasons)


def _completed_by_advice(
    trials: ChangeTrials, near_misses: Sequence[ChangeSet]
) -> Iterator[ChangeSet]:
    """Failed sets, each completed by one more action that its check advises.

    Valves, bleeds, heights, narrower hose: whatever the ladders of sizes lack.
    """
    job, rules = trials.job, trials.rules

    def ask(changes: ChangeSet) -> Asked[tuple[Finding, ...]]:
        if not changes:
            return rules.ask_once(advice, long=True)
        return rules.ask(advice, with_changes(job, changes), long=True)

    for changes, findings in rules.processes.in_order(ask, near_misses):
        advised = (action for finding in findings() for action in finding.actions)
        lasting = dict.fromkeys(one for whole in advised for one in _lasting_steps(job, whole))
        sets = ((*changes, from_action(job, action)) for action in lasting)
        yield from filter(trials.suffices, trials.in_turn(sets))


def _lasting_steps(job: Job, action: Action) -> Iterator[Action]:
    """The lasting steps of a check's action, if its pump is allowed; not a pump change alone."""
    steps = [step for step in action.steps if step.kind not in _DIRT]
    pump_changes = [step for step in steps if isinstance(step, ChangePump)]
    needs_rating = any(isinstance(step, FitPumpRated) for step in steps)
    pump_names = {curve.name for curve in pumps(job)}
    if (
        not needs_rating
        and len(pump_changes) < len(steps)
        and all(one.name in pump_names for one in pump_changes)
    ):
        yield together(steps)


def _distinct(sets: Sequence[ChangeSet]) -> list[ChangeSet]:
    """The sets that do different things, the first of each."""
    kept: dict[frozenset[Action], ChangeSet] = {}
    for changes in sets:
        kept.setdefault(frozenset(change.action for change in changes), changes)
    return list(kept.values())


def _without_negligible(trials: ChangeTrials, changes: ChangeSet) -> ChangeSet:
    """The set without changes that bring less than matters."""
    ratio = trials.least_ratio(changes)
    for position, _ in enumerate(changes):
        less = (*changes[:position], *changes[position + 1 :])
        if ratio - trials.least_ratio(less) < LEAST_GAIN:
            return _without_negligible(trials, less)
    return changes


def _combinations(
    singles: Singles, ratios: dict[SingleChange, float], count: int
) -> Iterator[ChangeSet]:
    """Sets of `count` changes to different parts, from the most promising changes."""
    if count > 1:
        singles = sorted(singles, key=lambda change: -ratios[change])[: _PROMISING[count]]
    for changes in itertools.combinations(singles, count):
        parts = [change.touches for change in changes]
        if len(frozenset().union(*parts)) == sum(map(len, parts)):
            yield changes


def _passing(
    trials: ChangeTrials, sets: Sequence[tuple[float, ChangeSet]], failed: list[ChangeSet]
) -> Iterator[ChangeSet]:
    """Sets with which the job passes, least work first and then least oversized.

    Only one of sets that differ just in how far they go. Appends to `failed` the sets with enough
    water that still fail.
    """
    ranked = [(work_of(changes), ratio, changes) for ratio, changes in sets if ratio >= 1]
    ranked.sort(key=lambda row: row[:2])
    passed = set[frozenset[Ladder]]()

    def is_new(changes: ChangeSet) -> bool:  # not the same, only further
        return frozenset(change.ladder for change in changes) not in passed

    best = [changes for _, _, changes in ranked[:_MAX_CHECKS]]
    for changes in filter(is_new, trials.in_turn(filter(is_new, best))):
        if trials.suffices(changes):
            passed.add(frozenset(change.ladder for change in changes))
            yield changes
        else:
            failed.append(changes)


def _reduced(trials: ChangeTrials, singles: Singles, changes: ChangeSet) -> ChangeSet:
    """The set with each change reduced a size, as long as it still suffices."""
    for place, change in enumerate(changes):
        smaller = [one for one in singles if one.ladder == change.ladder and one.step < change.step]
        smaller.sort(key=lambda one: one.step)
        sets = ((*changes[:place], one, *changes[place + 1 :]) for one in smaller)
        less = next(filter(trials.suffices, trials.in_turn(sets)), None)
        if less is not None:
            return _reduced(trials, singles, less)
    return changes


def _answer(trials: ChangeTrials, sets: Sequence[ChangeSet]) -> tuple[Changes, tuple[Changes, ...]]:
    parts = (changes[:count] for changes in sets for count in range(1, len(changes) + 1))
    for changes in trials.in_turn(parts):
        trials.chance(changes)
    first, *others = (_as_changes(trials, changes) for changes in sets)
    return first, tuple(others)


def _as_changes(trials: ChangeTrials, changes: ChangeSet) -> Changes:
    """The set as changes made one after another."""
    speaker, found, flow_before = Speaker(trials.job), [], trials.pump_flow(())
    for count, change in enumerate(changes, 1):
        done = changes[:count]
        flow, text = trials.pump_flow(done), action_text(change.action, speaker)
        passes, chance = trials.passes(done), trials.chance(done)
        as_new = trials.as_new(done) if passes else ()
        found.append(Change(change.action, text, flow, flow - flow_before, chance, passes, as_new))
        flow_before = flow
    return tuple(found)
