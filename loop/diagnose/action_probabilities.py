"""Probabilities of an action's answers and cures under every hypothesis of one loop."""

import numpy as np

from loop.curve import Array
from loop.diagnose.action import CallAction
from loop.diagnose.faults import BY_NAME, UNKNOWN
from loop.diagnose.hypotheses import Study, in_single
from loop.records import dataclass

# Change of flow, as a share of the healthy flow, and of condensing temperature [K] that half of
# people notice.
_SEEN_FLOW, _SEEN_HEAT = 0.25, 4.0
# Probability of the first answer under the unknown fault.
_UNSURE = 0.3
# Upper limit on the probability of a cure, of one fault or of two together.
_MOST = 0.98


@dataclass(frozen=True)
class ActionProbabilities:
    """An action on one study: ``first`` (h,), probability of the first answer; ``cure`` (h, 2).

    ``cures`` : the cure probabilities given the first, or the second, answer. A cure goes with the
    answer that indicates the fault as far as both probabilities allow: whoever finds nothing has
    fixed nothing, unless the action cures unseen.
    """

    action: CallAction
    first: Array
    cure: Array
    cures: tuple[Array, Array]

    def cured(self, saw: str) -> Array:
        """Probability of a cure (h, 2) given this answer; "" for none."""
        return self.cures[self.action.answers.index(saw)] if saw else self.cure


def action_probabilities(study: Study, action: CallAction) -> ActionProbabilities:
    """Probabilities of an action's first answer and of a cure under every hypothesis."""
    if action.name not in study.memory:
        study.memory[action.name] = _action_probabilities(study, action)
    found: ActionProbabilities = study.memory[action.name]
    return found


def _action_probabilities(study: Study, action: CallAction) -> ActionProbabilities:
    first = np.full(len(study.owner), action.otherwise)
    cure = np.zeros((3, len(study.owner), 2))  # unconditional; given each answer
    if UNKNOWN in study.rows_by_fault:
        first[study.rows_by_fault[UNKNOWN][0]] = _UNSURE
    for name, likely, cured in action.effects:
        if name not in study.rows_by_fault:
            continue
        rows, slot = study.rows_by_fault[name]
        seen = action.first_answer_probability(BY_NAME[name], likely, study.severity[rows, slot])
        first[rows] = np.maximum(first[rows], seen)
        cure[:, rows, slot] = np.array([cured, *_cure_by_answer(action, likely, cured)])[:, None]
    cure *= np.minimum(1.0, _MOST / np.maximum(cure.sum(axis=2), _MOST))[:, :, None]
    return ActionProbabilities(
        action, in_single(np.clip(first, 0.01, 0.99)), cure[0], (cure[1], cure[2])
    )


def _cure_by_answer(action: CallAction, likely: float, cured: float) -> tuple[float, float]:
    """Probability of a cure given the first and the second answer; `likely` is P(first)."""
    if likely <= action.otherwise or action.unseen:  # the answer is no evidence of a cure
        return cured, cured
    return min(cured / likely, _MOST), max(cured - likely, 0.0) / (1.0 - likely)


def cure_noticed(study: Study) -> Array:
    """Probability that a cure of each row's first, or second, fault is noticed at once, (h, 2)."""
    if "difference" in study.memory:
        known: Array = study.memory["difference"]
        return known
    mean = study.from_scale(study.mean)
    moved = np.zeros((len(mean), 2))
    for slot in range(2):
        after = mean[study.after[:, slot]]
        for number, column in enumerate(study.instruments.columns):
            change = np.abs(after[:, number] - mean[:, number])
            if column.kind.name == "flow":
                share = change / max(float(mean[study.healthy, number]), 1e-9) / _SEEN_FLOW
            elif column.kind.name == "condensing_temperature":
                share = change / _SEEN_HEAT
            else:
                continue
            moved[:, slot] = np.maximum(moved[:, slot], share**2 / (1 + share**2))
    study.memory["difference"] = found = in_single(moved)
    return found
