"""One action on a call: what it takes, and when it is allowed."""

from collections.abc import Callable, Collection, Sequence

import numpy as np
from numpy.typing import ArrayLike

from loop.curve import Array
from loop.diagnose.faults import Fault
from loop.diagnose.readings import StepDone
from loop.hydraulics import Network
from loop.records import dataclass
from loop.words.to_do import FIX

# Risk expressed in minutes: none, care, an opening below the waterline, a person in the water or
# acid.
RISK_MINUTES = (0.0, 1.0, 4.0, 15.0)
# Lowest risk level at which the line is opened.
OPENS = 2
# Minutes to look at the stream again, as anyone does after an action.
LOOK_AGAIN = 0.5
# Waiting for the failure on purpose: readings taken before it are of a loop that worked normally.
WAITS = "run-until-it-fails"
IT_FAILS = f"{WAITS}: it fails"


@dataclass(frozen=True)
class CallAction:
    """An action: minutes, risk (0 to 3), answers, and its effect on each fault.

    ``effects`` : fault, probability of the first answer, probability of a cure. ``otherwise`` :
    probability of the first answer under any other fault. ``needs`` : whether this loop has the
    parts for it. ``by_severity`` : factor on the first answer's probability above ``otherwise``, as
    a function of severity / worst severity. ``price`` : cost of its part in minutes. ``looks`` :
    key of the reading whose observation it repeats, with the same words. ``unseen`` : whether it
    cures independently of its answer, such as tightening a clamp or flushing weed overboard.
    ``leaves`` : faults whose symptoms it ends for now but which remain to be fixed.

    Other actions, each by its name or with its answer as in `StepDone.line`:
    ``after`` : one of them must be done first; an entry with an answer makes this the fix of that
    finding. ``for_lead`` : faults for which ``after`` is waived while they are likely; without
    ``after`` it is done for them alone.
    ``earlier`` : they come first where they can still be done, unless one of ``shown_by`` has shown
    what this fixes. ``unless`` : not done after any of them. ``again_after`` : done again after any
    of them, since its result depends on what that changed.
    ``said`` : only done where the customer said one of these. ``renews`` : kinds of readings that
    its first answer makes obsolete. ``twice`` : whether luck decides, so that it is done once more
    while a fault that it fixes is still likely.
    """

    name: str
    minutes: float
    risk: int
    answers: tuple[str, str]
    otherwise: float
    effects: tuple[tuple[str, float, float], ...]
    needs: Callable[[Network], bool]
    by_severity: Callable[[Array], Array] | None = None
    price: float = 0.0
    looks: str = ""
    unseen: bool = False
    leaves: tuple[str, ...] = ()
    after: tuple[str, ...] = ()
    for_lead: tuple[str, ...] = ()
    earlier: tuple[str, ...] = ()
    shown_by: tuple[str, ...] = ()
    unless: tuple[str, ...] = ()
    again_after: tuple[str, ...] = ()
    said: tuple[str, ...] = ()
    renews: tuple[str, ...] = ()
    twice: bool = False

    def cure_probability(self, fault: str) -> float:
        """Probability that it fixes a fault for good."""
        if fault in self.leaves:
            return 0.0
        return next((cured for name, _, cured in self.effects if name == fault), 0.0)

    def only_finds(self, fault: str) -> bool:
        """Whether it cannot end a fault's symptoms, even for now."""
        return not any(name == fault and cured > 0 for name, _, cured in self.effects)

    @property
    def recalls(self) -> bool:
        """Whether it only says more of what an earlier step found, whether that is cured or not."""
        found = any(":" in one for one in self.after)
        return found and not any(cured > 0 for _, _, cured in self.effects)

    @property
    def looks_back(self) -> bool:
        """Whether its answer is about what was wrong, even if that was only bypassed since."""
        return self.recalls or self.name.startswith(FIX)

    def may_follow(self, steps: Sequence[StepDone], likely: Collection[str] = ()) -> bool:
        """Whether it is allowed: `after` done, or waived for a likely fault; no `unless` done."""
        waived = not (self.after or self.for_lead) or bool(set(likely) & set(self.for_lead))
        return (waived or _any_matches(steps, self.after)) and not _any_matches(steps, self.unless)

    def fixes_a_finding(self, steps: Sequence[StepDone]) -> bool:
        """Whether it is the fix of something that these steps found."""
        return _any_matches(steps, [one for one in self.after if ":" in one])

    def needs_no_check(self, steps: Sequence[StepDone]) -> bool:
        """Whether these steps found or showed what it fixes."""
        return self.fixes_a_finding(steps) or _any_matches(steps, self.shown_by)

    def renewed(self, saw: str) -> tuple[str, ...]:
        """Kinds of readings that are obsolete after this answer."""
        return self.renews if saw == self.answers[0] else ()

    def is_superseded(self, steps: Sequence[StepDone], at: int) -> bool:
        """Whether a later step changed what the step at this index depended on."""
        return _any_matches(steps[at + 1 :], self.again_after)

    def is_uninformative(self, steps: Sequence[StepDone], at: int) -> bool:
        """Whether the step at this index gave no first answer, and could not have at that time."""
        return steps[at].saw != self.answers[0] and self.is_superseded(steps, at)

    def is_open(
        self, steps: Sequence[StepDone], said: Sequence[str], likely: Collection[str]
    ) -> bool:
        """Whether it is still to be done, or to be done again, and is allowed now.

        ``likely`` : the faults that are likely enough for a fix of their own.
        """
        done = sum(
            one.did == self.name and not self.is_superseded(steps, at)
            for at, one in enumerate(steps)
        )
        most = 2 if self.twice and any(map(self.cure_probability, likely)) else 1
        asked = not self.said or bool(set(self.said) & set(said))
        return asked and done < most and self.may_follow(steps, likely)

    @property
    def cost(self) -> float:
        """Minutes, including its part, its risk, and the look at the stream afterwards."""
        return self.minutes + self.price + LOOK_AGAIN + RISK_MINUTES[self.risk]

    def first_answer_probability(self, fault: Fault, likely: float, severity: ArrayLike) -> Array:
        """Probability of the first answer at this severity; `likely` at the worst."""
        share: Array = np.ones(np.shape(severity))
        if self.by_severity and fault.high > 0:
            share = self.by_severity(np.asarray(severity) / fault.high)
        return self.otherwise + (likely - self.otherwise) * share


def _any_matches(steps: Sequence[StepDone], some: Sequence[str]) -> bool:
    return any({step.did, step.line} & set(some) for step in steps)


def states_before_failure(steps: Sequence[StepDone]) -> int:
    """Number of states (as found, then after each step) before the failure was last seen.

    Readings of those states say nothing about the trouble.
    """
    return max((number for number, one in enumerate(steps, 1) if one.line == IT_FAILS), default=0)
