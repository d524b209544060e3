"""The score of a drill: the boat's state, the belief, time, safety."""

from collections.abc import Mapping

from loop.diagnose.action import CallAction
from loop.records import dataclass
from loop.teach.cases import Case

# Minutes of a repair, and of the observations before it on a good call: engineering estimates.
REPAIR_MINUTES, _OBSERVATION_MINUTES = 40.0, 12.0
# Least cure probability that counts as reliable.
_RELIABLE_CURE = 0.5
# Points for the boat's state, the belief, time, safety; and the penalty of each stop.
STATE_POINTS, BELIEF_POINTS, TIME_POINTS, SAFETY_POINTS, STOP_PENALTY = 45.0, 25.0, 20.0, 10.0, 5.0
# Penalty on the boat's state for leaving without a look at the water.
UNSEEN_PENALTY = 10.0


@dataclass(frozen=True)
class Score:
    """A score out of 100: the boat's state, the quality of the last belief, time, safety.

    Safety points scale with what was fixed: without any work no rule was kept.
    """

    state: float
    belief: float
    time: float
    safety: float

    @property
    def points(self) -> int:
        """The total, at least 0."""
        return max(round(self.state + self.belief + self.time + self.safety), 0)


def good_call_minutes(case: Case, actions: tuple[CallAction, ...]) -> float:
    """Minutes of a good call: some observations, then the fastest cure of each hidden fault."""
    cures = [
        min(
            (
                a.minutes
                for a in actions
                for n, _, c in a.effects
                if n == name and c >= _RELIABLE_CURE
            ),
            default=REPAIR_MINUTES,
        )
        for name in case.hidden
    ]
    return _OBSERVATION_MINUTES + sum(cures)


def belief_score(belief: Mapping[str, float], case: Case) -> float:
    """Quality of a belief, 1 at best; 0 for one uniform over all faults.

    Brier's quadratic score, scaled: strictly proper, so that stating one's actual belief scores
    best (Gneiting & Raftery, J. Am. Stat. Assoc. 102 (2007) 359). May be negative.
    """
    faults = case.faults
    others = [name for name in faults if name not in belief]
    unassigned = max(1 - sum(belief.values()), 0.0) / len(others) if others else 0.0
    truth = _truth(case)
    uniform_error = sum((1 / len(faults) - truth.get(name, 0.0)) ** 2 for name in faults)
    error = sum((belief.get(name, unassigned) - truth.get(name, 0.0)) ** 2 for name in faults)
    return 1 - error / uniform_error


def _truth(case: Case) -> dict[str, float]:
    """The truth as a belief: the fault, or a pair by its own name where the list has it."""
    if case.fault in case.faults:
        return {case.fault: 1.0}
    return {name: 1 / len(case.hidden) for name in case.hidden}
