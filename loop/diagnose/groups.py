"""Causes that the readings taken cannot tell apart, and what would split them."""

from collections.abc import Iterable, Sequence

import numpy as np

from loop.curve import Array
from loop.diagnose import action_chances, actions, statements
from loop.diagnose.bayes import SAME, Posterior
from loop.diagnose.belief import CHANCE_FLOOR
from loop.diagnose.gain import Gain
from loop.diagnose.next_reading import gains
from loop.diagnose.readings import Readings
from loop.diagnose.step_order import SEEN_AT_SPEED

# Two causes of which the readings speak for one by less than this factor more are not told apart:
# evidence "not worth more than a bare mention" (Kass & Raftery, J. Am. Stat. Assoc. 90 (1995) 773).
BARE_MENTION = 3.0
_ALIKE = np.log(BARE_MENTION) + 1e-9  # of two that differ by just this, rounding does not decide
# Of two rivals, one is rarely there with the other: in less than this share of its cases.
RIVAL = 0.5
# Causes below this probability are not worth a place in a group.
NEGLIGIBLE = 0.01
# How many faults a line or a sentence names.
LISTED = 4
# No odds are said to be better than this, and a line that has them names enough.
SURE = 0.95
# Chances nearer to one half than this are even, and give the first answer.
EVEN = 1e-9
# A step splits a group where it is expected to tell at least this much [bits] about it.
SPLITS = 0.1


def grouped(posterior: Posterior) -> tuple[tuple[int, ...], ...]:
    """Causes by group, the likeliest group first, each led by its likeliest cause.

    The likeliest cause takes with it every rival for which the readings speak as much, within a
    factor of 3; then the likeliest of the rest does the same. "Something else" is in none.
    """
    present = {i: posterior.present(i) for i in posterior.study.causes}
    evidence = _evidence(posterior)
    order = posterior.ranked()
    left = [i for i in order if present[i] >= NEGLIGIBLE] or order[:1]
    found = []
    while left:
        leader = left[0]
        group = [
            i
            for i in left
            if i == leader
            or (
                abs(evidence[i] - evidence[leader]) <= _ALIKE
                and _together(posterior, leader, i) < RIVAL * present[i]
            )
        ]
        left = [i for i in left if i not in group]
        found.append(tuple(group))
    return tuple(sorted(found, key=lambda group: -round(posterior.any_of(group), SAME)))


def lines(posterior: Posterior) -> tuple[tuple[int, ...], ...]:
    """Causes in two lines that name them, the likelier first, `LISTED` faults at most in each.

    The first group's, and with them the likeliest faults of what is left until the line is `SURE`;
    then, one after another, what is likeliest to be there beside one that is named, so that both of
    two are. That nothing is wrong takes no fault's place.
    """
    study, order = posterior.study, posterior.ranked()
    names, well = [one.name for one in study.instances], study.owner[study.healthy]
    likely = [i for i in order if i != well and posterior.present(i) >= NEGLIGIBLE]
    first = _listed(grouped(posterior)[0], names)
    for cause in likely:
        if names[cause] not in [names[i] for i in first] and posterior.any_of(first) < SURE:
            first = _listed((*first, cause), names)
    second: tuple[int, ...] = ()
    rest = [i for i in likely if names[i] not in {names[j] for j in first}]
    while rest and len({names[i] for i in second}) < LISTED:
        told = (study.slot[[*first, *second]] >= 0).any(axis=0) * posterior.probability
        beside = max(rest, key=lambda i: round(float(told[study.slot[i] >= 0].sum()), SAME))
        second = (*second, *(i for i in rest if names[i] == names[beside]))
        rest = [i for i in rest if i not in second]
    found = [tuple(sorted(line, key=order.index)) for line in (first, second) if line]
    return tuple(sorted(found, key=lambda line: -round(posterior.any_of(line), SAME)))


def _listed(causes: Sequence[int], names: Sequence[str]) -> tuple[int, ...]:
    """Those of the causes whose faults a line has room for."""
    kept = list(dict.fromkeys(names[i] for i in causes))[:LISTED]
    return tuple(i for i in causes if names[i] in kept)


def all_well(posterior: Posterior, said: Iterable[str]) -> bool:
    """Whether no cause has readings that speak for it, by a factor of 3, over a healthy loop.

    What the customer `said` is no reading, and left out.
    """
    study, evidence = posterior.study, _evidence(posterior)
    for text in said:
        chances = np.array(statements.by_instance(study, statements.BY_TEXT[text]))
        evidence = evidence - np.log(np.maximum(chances, CHANCE_FLOOR))
    well = study.owner[study.healthy]
    return bool(evidence[list(study.causes)].max() - evidence[well] <= _ALIKE)


def _evidence(posterior: Posterior) -> Array:
    """Log of how much likelier each cause is than it was before the call, by instance."""
    study = posterior.study
    before = np.bincount(study.owner, study.weight, minlength=len(study.instances))
    having = (study.slot >= 0).astype(float)
    with np.errstate(divide="ignore", invalid="ignore"):
        return np.asarray(np.log(having @ posterior.probability) - np.log(having @ before))


def _together(posterior: Posterior, one: int, other: int) -> float:
    """Probability that both causes are there."""
    slot = posterior.study.slot
    return float(posterior.probability[(slot[one] >= 0) & (slot[other] >= 0)].sum())


def splitting(posterior: Posterior, readings: Readings, group: tuple[int, ...], first: str) -> str:
    """Key of the step left that would best split a group; empty where none would.

    The `first` of all steps where it would. One that is likely to give another answer for one of
    those that are named than for the others.
    """
    if len(group) < 2 or posterior.any_of(group) <= 0:
        return ""
    told = _listed(group, [one.name for one in posterior.study.instances])
    # The first of all steps mostly does: what else would is looked for only where it does not.
    for only in (first, None):
        for gain in gains(posterior, readings, among=group, only=only):
            if gain.gain >= SPLITS and _splits(posterior, gain, told):
                return gain.key
    return ""


def _splits(posterior: Posterior, gain: Gain, causes: tuple[int, ...]) -> bool:
    """Whether the likeliest answer of a step is another for some of these; a number's always is."""
    study, column = posterior.study, gain.column
    if column is None:
        first = action_chances.chances(study, actions.BY_NAME[gain.key]).first
        chances = np.stack([first + EVEN, 1.0 - first], axis=1)
    elif column.kind.choices:
        away = column is study.bench.at_speed
        chances = study.under_way.words[SEEN_AT_SPEED] if away else study.words[gain.key]
    else:
        return True
    likeliest = set()
    for cause in causes:
        rows, _, within = posterior.of(cause)
        likeliest.add(int(np.argmax(within @ chances[rows])))
    return len(likeliest) > 1
