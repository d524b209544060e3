"""The closed list of actions, and several of them together."""

from collections.abc import Iterable
from typing import Any, ClassVar

from loop.job import Edit, Job
from loop.records import dataclass
from loop.words.base import Action, Address
from loop.words.bleed_actions import FitBleed, MoveBleed, When, cut
from loop.words.height_actions import (
    LeadRound,
    LowerIntake,
    LowerLine,
    LowerOutlet,
    MoveIntake,
    MovePump,
    MoveStrainer,
    RaiseOutlet,
    SetHeights,
)
from loop.words.part_actions import (
    ChangeGrate,
    CleanGrate,
    CleanStrainer,
    Descale,
    FitAdapter,
    FitOrifice,
    FitPart,
    FitValve,
    MovePart,
    RemovePart,
    SetValve,
    TurnScoop,
)
from loop.words.size_actions import (
    ChangeBarbs,
    ChangeBore,
    ChangeFitting,
    ChangeHose,
    ChangePump,
    ChangeStrainer,
    FitFullBore,
    FitPumpRated,
    SetSupply,
)
from loop.words.vent_actions import FitVent

__all__ = [
    "Action",
    "Address",
    "ChangeBarbs",
    "ChangeBore",
    "ChangeFitting",
    "ChangeGrate",
    "ChangeHose",
    "ChangePump",
    "ChangeStrainer",
    "CleanGrate",
    "CleanStrainer",
    "Descale",
    "FitAdapter",
    "FitBleed",
    "FitFullBore",
    "FitOrifice",
    "FitPart",
    "FitPumpRated",
    "FitValve",
    "FitVent",
    "LeadRound",
    "LowerIntake",
    "LowerLine",
    "LowerOutlet",
    "MoveBleed",
    "MoveIntake",
    "MovePart",
    "MovePump",
    "MoveStrainer",
    "RaiseOutlet",
    "RemovePart",
    "SetHeights",
    "SetSupply",
    "SetValve",
    "Together",
    "TurnScoop",
    "When",
    "together",
]


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
