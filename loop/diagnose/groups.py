"""Causes that the readings cannot separate, and what would separate them."""

from collections.abc import Iterable

import numpy as np

from loop.curve import Array
from loop.diagnose import action_probabilities, actions, statements
from loop.diagnose.belief import CHANCE_FLOOR
from loop.diagnose.information_gain import step_values
from loop.diagnose.posterior import DECIMALS, Posterior
from loop.diagnose.readings import Readings
from loop.diagnose.step_order import SEEN_AT_SPEED
from loop.diagnose.step_value import StepValue

# Two causes with a Bayes factor below this are not separated: evidence "not worth more than a bare
# mention" (Kass & Raftery, J. Am. Stat. Assoc. 90 (1995) 773).
BARE_MENTION = 3.0
_ALIKE = np.log(BARE_MENTION) + 1e-9  # rounding does not decide a tie
# Rivals rarely occur together: in less than this share of the cases.
RIVAL = 0.5
# Causes below this probability are not named: where two faults are present, the second is often
# hardly likelier than that by itself.
NEGLIGIBLE = 0.002
# Most faults that a line or a sentence names.
LISTED = 4
# Highest probability that is stated.
SURE = 0.95
# Probabilities within this of one half are even, and give the first answer.
EVEN = 1e-9
# Least information gain [bits] about a group with which a step splits it.
SPLITS = 0.1


def cause_groups(posterior: Posterior) -> tuple[tuple[int, ...], ...]:
    """Causes by group, the likeliest group first, each led by its likeliest cause.

    The likeliest cause takes every rival with the same evidence within a factor of 3; then the
    likeliest of the rest does the same. "Something else" is in none.
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
                and _both_present(posterior, leader, i) < RIVAL * present[i]
            )
        ]
        left = [i for i in left if i not in group]
        found.append(tuple(group))
    return tuple(sorted(found, key=lambda group: -round(posterior.any_of(group), DECIMALS)))


def cause_lines(posterior: Posterior) -> tuple[tuple[int, ...], ...]:
    """The likeliest causes in at most two lines, the likelier first, with `LISTED` faults in each.

    A second fault of two is hardly ever likely by itself, so that it is named only in a long list.
    """
    names = [one.name for one in posterior.study.instances]
    likely = [i for i in posterior.ranked() if posterior.present(i) >= NEGLIGIBLE]
    faults = list(dict.fromkeys(names[i] for i in likely))
    lines = (faults[:LISTED], faults[LISTED : 2 * LISTED])
    return tuple(tuple(i for i in likely if names[i] in line) for line in lines if line)


def all_well(posterior: Posterior, said: Iterable[str]) -> bool:
    """Whether no cause has a Bayes factor of 3 or more over a healthy loop.

    The customer's statements `said` are not readings, and are left out.
    """
    study, evidence = posterior.study, _evidence(posterior)
    for text in said:
        chances = np.array(statements.statement_by_instance(study, statements.BY_TEXT[text]))
        evidence = evidence - np.log(np.maximum(chances, CHANCE_FLOOR))
    well = study.owner[study.healthy]
    return bool(evidence[list(study.causes)].max() - evidence[well] <= _ALIKE)


def _evidence(posterior: Posterior) -> Array:
    """Log ratio of posterior to prior probability of each cause, by instance."""
    study = posterior.study
    before = np.bincount(study.owner, study.weight, minlength=len(study.instances))
    having = (study.slot >= 0).astype(float)
    with np.errstate(divide="ignore", invalid="ignore"):
        return np.asarray(np.log(having @ posterior.probability) - np.log(having @ before))


def _both_present(posterior: Posterior, one: int, other: int) -> float:
    """Probability that both causes are present."""
    slot = posterior.study.slot
    return float(posterior.probability[(slot[one] >= 0) & (slot[other] >= 0)].sum())


def splitting_step(
    posterior: Posterior, readings: Readings, group: tuple[int, ...], first: str
) -> str:
    """Key of the available step that would best split a group; empty where none would.

    The `first` of all steps where it does. A step splits where its likeliest answer differs between
    the causes that are named.
    """
    if len(group) < 2 or posterior.any_of(group) <= 0:
        return ""
    names = [one.name for one in posterior.study.instances]
    kept = list(dict.fromkeys(names[i] for i in group))[:LISTED]
    told = tuple(i for i in group if names[i] in kept)
    # The first step mostly does; others are evaluated only where it does not.
    for only in (first, None):
        for gain in step_values(posterior, readings, among=group, only=only):
            if gain.gain >= SPLITS and _splits(posterior, gain, told):
                return gain.key
    return ""


def _splits(posterior: Posterior, gain: StepValue, causes: tuple[int, ...]) -> bool:
    """Whether a step's likeliest answer differs between these causes; always so for a number."""
    study, column = posterior.study, gain.column
    if column is None:
        first = action_probabilities.action_probabilities(study, actions.BY_NAME[gain.key]).first
        chances = np.stack([first + EVEN, 1.0 - first], axis=1)
    elif column.kind.choices:
        away = column is study.instruments.at_speed
        chances = study.under_way.words[SEEN_AT_SPEED] if away else study.words[gain.key]
    else:
        return True
    likeliest = set()
    for cause in causes:
        rows, _, within = posterior.rows_with(cause)
        likeliest.add(int(np.argmax(within @ chances[rows])))
    return len(likeliest) > 1
