"""One thing to do on a call: what it takes, and when it may be done."""

from collections.abc import Callable, Sequence

import numpy as np
from numpy.typing import ArrayLike

from loop.curve import Array
from loop.diagnose.faults import Fault
from loop.diagnose.readings import StepDone
from loop.hydraulics import Network
from loop.records import dataclass

# Minutes that a risk is worth: nothing, care, an opening below the waterline, a person in the
# water or acid.
RISK_MINUTES = (0.0, 1.0, 4.0, 15.0)
# From this risk on the line is opened, or more is done.
OPENS = 2
# Minutes to look at the stream again, which whoever did something does.
LOOK_AGAIN = 0.5
# Waited for on purpose: what was read before it was read of a loop that did what it should.
WAITS = "run-until-it-fails"
IT_FAILS = f"{WAITS}: it fails"


@dataclass(frozen=True)
class CallAction:
    """One thing to do: minutes, risk (0 to 3), answers, and what it does to which fault.

    ``effects`` : fault, chance of the first answer, chance of a cure. ``otherwise`` : chance of the
    first answer under any other fault. ``needs`` : whether this loop has what it takes.
    ``by_severity`` : how much of the first answer's chance is left where a fault is as bad as this
    share of its worst. ``price`` : minutes that its part costs. ``looks`` : the reading whose look
    it repeats, by the same words. ``unseen`` : whether it puts right as often what nobody sees,
    such as a clamp that is tightened or weed that goes overboard. ``leaves`` : faults of which it
    ends the trouble for now, and that are still there to be put right.

    Of other things to do, each by its name or with what it showed, as `StepDone.line` has it:
    ``after`` : one of them is done before it may be; what one of them found is put right first.
    ``for_lead`` : faults for which nothing is done before it, where one of them leads; without
    ``after`` it is done for them alone.
    ``earlier`` : they come before it where they may still be done. ``unless`` : not done after one
    of them. ``again_after`` : done again after one of them, since it hangs on what that changed.
    ``said`` : only done where the customer said one of these. ``renews`` : kinds of readings
    that its first answer makes another than before.
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
    unless: tuple[str, ...] = ()
    again_after: tuple[str, ...] = ()
    said: tuple[str, ...] = ()
    renews: tuple[str, ...] = ()

    def mends(self, fault: str) -> float:
        """Chance that it puts a fault right for good."""
        if fault in self.leaves:
            return 0.0
        return next((cured for name, _, cured in self.effects if name == fault), 0.0)

    def only_finds(self, fault: str) -> bool:
        """Whether it shows a fault, and does not end its trouble even for now."""
        return not any(name == fault and cured > 0 for name, _, cured in self.effects)

    def may_follow(self, steps: Sequence[StepDone], lead: str = "") -> bool:
        """Whether what is done before it was done, or is not for this lead; a pump is not replaced
        unseen."""
        able = _any_is(steps, self.after) or lead in self.for_lead or not self._waits
        return able and not _any_is(steps, self.unless)

    @property
    def _waits(self) -> bool:
        return bool(self.after or self.for_lead)

    def puts_right(self, steps: Sequence[StepDone]) -> bool:
        """Whether it is what is done about something that was found."""
        return _any_is(steps, [one for one in self.after if ":" in one])

    def renewed(self, saw: str) -> tuple[str, ...]:
        """Kinds of readings that what it showed makes void."""
        return self.renews if saw == self.answers[0] else ()

    def is_outdone(self, steps: Sequence[StepDone], at: int) -> bool:
        """Whether what the step at this place hung on was changed after it."""
        return _any_is(steps[at + 1 :], self.again_after)

    def tells_nothing(self, steps: Sequence[StepDone], at: int) -> bool:
        """Whether the step at this place showed nothing, and nothing could show then."""
        return steps[at].saw != self.answers[0] and self.is_outdone(steps, at)

    def is_left(self, steps: Sequence[StepDone], said: Sequence[str], lead: str) -> bool:
        """Whether it was not done yet, or hangs on what was changed since, and may be done now.

        ``lead`` : the fault that leads, "" for none.
        """
        done = any(
            one.did == self.name and not self.is_outdone(steps, at) for at, one in enumerate(steps)
        )
        asked = not self.said or bool(set(self.said) & set(said))
        return asked and not done and self.may_follow(steps, lead)

    @property
    def cost(self) -> float:
        """Minutes, its part's price, its risk and the look at the stream after it counted in."""
        return self.minutes + self.price + LOOK_AGAIN + RISK_MINUTES[self.risk]

    def first_chance(self, fault: Fault, likely: float, severity: ArrayLike) -> Array:
        """Chance of the first answer under a fault of this severity; `likely` at its worst."""
        share: Array = np.ones(np.shape(severity))
        if self.by_severity and fault.high > 0:
            share = self.by_severity(np.asarray(severity) / fault.high)
        return self.otherwise + (likely - self.otherwise) * share


def _any_is(steps: Sequence[StepDone], some: Sequence[str]) -> bool:
    return any({step.did, step.line} & set(some) for step in steps)


def before_it_failed(steps: Sequence[StepDone]) -> int:
    """How many states of the loop, as found and after each step, are of before it was seen to fail.

    What was read then says nothing of the trouble.
    """
    return max((number for number, one in enumerate(steps, 1) if one.line == IT_FAILS), default=0)
