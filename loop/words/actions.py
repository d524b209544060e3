"""The closed list of actions, and several of them together."""

from collections.abc import Iterable
from typing import Any, ClassVar

from loop.job import Edit, Job
from loop.records import dataclass
from loop.words.base import Action as Action
from loop.words.base import Address as Address
from loop.words.bleed_actions import FitBleed as FitBleed
from loop.words.bleed_actions import FitVent as FitVent
from loop.words.bleed_actions import MoveBleed as MoveBleed
from loop.words.bleed_actions import When as When
from loop.words.bleed_actions import cut
from loop.words.height_actions import EvenHose as EvenHose
from loop.words.height_actions import LeadRound as LeadRound
from loop.words.height_actions import LowerIntake as LowerIntake
from loop.words.height_actions import LowerLine as LowerLine
from loop.words.height_actions import LowerOutlet as LowerOutlet
from loop.words.height_actions import MoveIntake as MoveIntake
from loop.words.height_actions import MovePump as MovePump
from loop.words.height_actions import MoveStrainer as MoveStrainer
from loop.words.height_actions import RaiseOutlet as RaiseOutlet
from loop.words.height_actions import SetHeights as SetHeights
from loop.words.part_actions import ChangeGrate as ChangeGrate
from loop.words.part_actions import CleanGrate as CleanGrate
from loop.words.part_actions import CleanStrainer as CleanStrainer
from loop.words.part_actions import Descale as Descale
from loop.words.part_actions import FitAdapter as FitAdapter
from loop.words.part_actions import FitOrifice as FitOrifice
from loop.words.part_actions import FitPart as FitPart
from loop.words.part_actions import FitValve as FitValve
from loop.words.part_actions import MovePart as MovePart
from loop.words.part_actions import RemovePart as RemovePart
from loop.words.part_actions import SetValve as SetValve
from loop.words.part_actions import TurnScoop as TurnScoop
from loop.words.size_actions import ChangeBarbs as ChangeBarbs
from loop.words.size_actions import ChangeBore as ChangeBore
from loop.words.size_actions import ChangeFitting as ChangeFitting
from loop.words.size_actions import ChangeHose as ChangeHose
from loop.words.size_actions import ChangePump as ChangePump
from loop.words.size_actions import ChangeStrainer as ChangeStrainer
from loop.words.size_actions import FitFullBore as FitFullBore
from loop.words.size_actions import FitPumpRated as FitPumpRated
from loop.words.size_actions import SetSupply as SetSupply


@dataclass(frozen=True)
class Together(Action):
    """Actions that are needed together; all addresses refer to the job before them."""

    kind: ClassVar[str] = "together"
    each: tuple[Action, ...]

    @property
    def steps(self) -> tuple[Action, ...]:
        """The single actions, in their order."""
        return self.each

    def edits(self, job: Job) -> tuple[Edit, ...]:
        """The edits of all; several bleeds in one hose cut it once.

        The supply comes first: a pump fitted with it runs on that.
        """
        for step in self.each:
            if isinstance(step, SetSupply):
                job = step.apply(job)
        cuts: dict[Address, list[float]] = {}
        for step in self.each:
            if isinstance(step, FitBleed) and step.along is not None:
                cuts.setdefault(step.part, []).append(step.along)
        whole = [
            step
            for step in self.each
            if not (isinstance(step, FitBleed) and step.along is not None)
        ]
        return (
            *(one for step in whole for one in step.edits(job)),
            *(one for part, places in cuts.items() for one in cut(job, part, places)),
        )

    def to_dict(self) -> dict[str, Any]:
        """Its steps, each as its own table."""
        return {
            "kind": self.kind,
            "at": {},
            "values": {},
            "steps": [step.to_dict() for step in self.each],
        }


def together(actions: Iterable[Action]) -> Action:
    """Several actions as one; a single one as it is. Raises ValueError if there is none."""
    steps = tuple(dict.fromkeys(step for action in actions for step in action.steps))
    if not steps:
        raise ValueError("no action")
    return steps[0] if len(steps) == 1 else Together(steps)
