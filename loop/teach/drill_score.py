"""The score of a drill: the boat's state, the belief, time, safety."""

from collections.abc import Mapping

from loop.diagnose.action import CallAction
from loop.records import dataclass
from loop.teach.cases import Case

# Minutes of a repair, and of the observations before it on a good call: engineering estimates.
REPAIR, _LOOKS = 40.0, 12.0
# Least cure probability that counts as reliable.
_CURES = 0.5
# Points for the boat's state, the belief, time, safety; and the penalty of each stop.
STATE, BELIEF, TIME, SAFE, STOP = 45.0, 25.0, 20.0, 10.0, 5.0
# Penalty on the boat's state for leaving without a look at the water.
UNSEEN = 10.0


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


def par(case: Case, actions: tuple[CallAction, ...]) -> float:
    """Minutes of a good call: some observations, then the fastest cure of each hidden fault."""
    cures = [
        min(
            (a.minutes for a in actions for n, _, c in a.effects if n == name and c >= _CURES),
            default=REPAIR,
        )
        for name in case.hidden
    ]
    return _LOOKS + sum(cures)


def quality(belief: Mapping[str, float], case: Case) -> float:
    """Quality of a belief, 1 at best; 0 for one uniform over all faults.

    Brier's quadratic score, scaled: strictly proper, so that stating one's actual belief scores
    best (Gneiting & Raftery, J. Am. Stat. Assoc. 102 (2007) 359). May be negative.
    """
    faults = case.faults
    others = [name for name in faults if name not in belief]
    left = max(1 - sum(belief.values()), 0.0) / len(others) if others else 0.0
    truth = _truth(case)
    alike = sum((1 / len(faults) - truth.get(name, 0.0)) ** 2 for name in faults)
    off = sum((belief.get(name, left) - truth.get(name, 0.0)) ** 2 for name in faults)
    return 1 - off / alike


def _truth(case: Case) -> dict[str, float]:
    """The truth as a belief: the fault, or a pair by its own name where the list has it."""
    if case.fault in case.faults:
        return {case.fault: 1.0}
    return {name: 1 / len(case.hidden) for name in case.hidden}
