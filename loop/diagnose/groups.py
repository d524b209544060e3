"""Faults that the readings taken cannot tell apart, and what would split them."""

import numpy as np

from loop.diagnose.bayes import Posterior
from loop.diagnose.faults import UNKNOWN
from loop.diagnose.next_reading import SAME, gains
from loop.diagnose.readings import Readings

# Two faults whose marginal likelihoods differ by less than this factor are not told apart: evidence
# "not worth more than a bare mention" (Kass & Raftery, J. Am. Stat. Assoc. 90 (1995) 773).
BARE_MENTION = 3.0
_ALIKE = np.log(BARE_MENTION) + 1e-9  # of two that differ by just this, rounding does not decide
# Faults below this probability are not worth a place in a group.
NEGLIGIBLE = 0.01
# A step splits a group where it is expected to tell at least this much [bits] about it.
SPLITS = 0.1


def grouped(posterior: Posterior) -> tuple[tuple[int, ...], ...]:
    """Instances by group, the likeliest group first, each led by its likeliest fault.

    The likeliest fault takes with it every other whose marginal likelihood is within a factor
    of 3 of its own; then the likeliest of the rest does the same. "Something else" is in none.
    """
    probability, evidence = posterior.probability, posterior.evidence
    known = [i for i, one in enumerate(posterior.study.instances) if one.name != UNKNOWN]
    order = sorted(known, key=lambda i: -round(float(probability[i]), SAME))
    left = [i for i in order if probability[i] >= NEGLIGIBLE] or order[:1]
    found = []
    while left:
        leader = left[0]
        group = [i for i in left if abs(evidence[i] - evidence[leader]) <= _ALIKE]
        left = [i for i in left if i not in group]
        found.append(tuple(group))
    return tuple(
        sorted(found, key=lambda group: -round(float(probability[list(group)].sum()), SAME))
    )


def splitting(posterior: Posterior, readings: Readings, group: tuple[int, ...]) -> str:
    """Key of the step left that would best split a group; empty where none would."""
    if len(group) < 2 or posterior.probability[list(group)].sum() <= 0:
        return ""
    best = [g for g in gains(posterior, readings, among=group) if g.gain >= SPLITS]
    return best[0].key if best else ""
