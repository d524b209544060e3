"""The score of a drill: the boat's state, the belief, the time, safety."""

from collections.abc import Mapping

from loop.diagnose.action import CallAction
from loop.records import dataclass
from loop.teach.cases import Case

# Minutes of a repair, and of the looks that a good call takes before it: engineering estimates.
REPAIR, _LOOKS = 40.0, 12.0
# A cure on which one may count.
_CURES = 0.5
# Points: for the boat's state, the belief, the time, safety; and what each stop takes.
STATE, BELIEF, TIME, SAFE, STOP = 45.0, 25.0, 20.0, 10.0, 5.0
# What leaving without a look at the water takes of the points for the boat's state.
UNSEEN = 10.0


@dataclass(frozen=True)
class Score:
    """A score of 100: the boat's state, the quality of the last belief, the time, safety.

    Points for safety come with what was put right: who touches nothing has kept no rule.
    """

    state: float
    belief: float
    time: float
    safety: float

    @property
    def points(self) -> int:
        """All together, 0 at the least."""
        return max(round(self.state + self.belief + self.time + self.safety), 0)


def par(case: Case, actions: tuple[CallAction, ...]) -> float:
    """Minutes of a good call: some looks, then what cures each hidden fault soonest."""
    cures = [
        min(
            (a.minutes for a in actions for n, _, c in a.effects if n == name and c >= _CURES),
            default=REPAIR,
        )
        for name in case.hidden
    ]
    return _LOOKS + sum(cures)


def quality(belief: Mapping[str, float], case: Case) -> float:
    """How good a belief was, 1 at best; 0 for one that holds all faults alike.

    Brier's quadratic score, scaled: strictly proper, so that to say what one believes scores best
    (Gneiting & Raftery, J. Am. Stat. Assoc. 102 (2007) 359). May be below 0.
    """
    faults = case.faults
    others = [name for name in faults if name not in belief]
    left = max(1 - sum(belief.values()), 0.0) / len(others) if others else 0.0
    truth = _truth(case)
    alike = sum((1 / len(faults) - truth.get(name, 0.0)) ** 2 for name in faults)
    off = sum((belief.get(name, left) - truth.get(name, 0.0)) ** 2 for name in faults)
    return 1 - off / alike


def _truth(case: Case) -> dict[str, float]:
    """The truth as a belief: the fault, or a pair by its own name where the menu has it."""
    if case.fault in case.faults:
        return {case.fault: 1.0}
    return {name: 1 / len(case.hidden) for name in case.hidden}
