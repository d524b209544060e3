"""The action that breaks a siphon: a vented loop fitted in a hose, with hose up to it."""

from typing import Any, ClassVar

import numpy as np

from loop.job import Edit, Insert, Job, Put
from loop.parts import Hose, VentedLoop
from loop.records import dataclass
from loop.words.base import Action, Address, following, part_at, start_height
from loop.words.bleed_actions import as_same_hose, pieces

# Extra hose [m] on either side of a vented loop, beyond the height gained: engineering estimate.
_BEND = 0.15


@dataclass(frozen=True)
class FitVent(Action):
    """A vented loop `along` [m] from the start of a hose, at a height [m above the waterline].

    Where the hose is lower there, more hose on either side runs up to the loop.
    """

    kind: ClassVar[str] = "fit-vent"
    part: Address
    along: float
    height: float

    def edits(self, job: Job) -> tuple[Edit, ...]:
        """The loop, between two hoses unless it is at the hose's start and height."""
        hose = part_at(job, self.part)
        assert isinstance(hose, Hose)
        vent = {"kind": VentedLoop().kind, "bore": hose.inner_bore}
        more = self.more(job)
        if self.along > 0:
            before, behind = pieces(job, self.part, hose, [self.along])
            before |= {"to": self.height, "length": before["length"] + more}
            own = [Put(f"{self.part}.{key}", value) for key, value in before.items()]
            after = following(job, self.part)
            return (*own, Insert(after, vent), Insert(after, _longer(behind, more)))
        if more == 0:
            return (Insert(self.part, vent),)
        rise = {"kind": "hose", **as_same_hose(hose), "length": more, "to": self.height}
        via = [_point(*one) for one in hose.points[:-1]]
        longer = _longer({"length": hose.length, "via": via}, more)
        return (
            *(Put(f"{self.part}.{key}", value) for key, value in longer.items() if value),
            Insert(self.part, rise),
            Insert(self.part, vent),
        )

    def more(self, job: Job) -> float:
        """Extra hose [m] on either side of the loop; 0 if the hose is high enough."""
        hose = part_at(job, self.part)
        assert isinstance(hose, Hose)
        distances = [0.0, *(at for at, _ in hose.points)]
        heights = [start_height(job, self.part), *(height for _, height in hose.points)]
        rise = self.height - float(np.interp(self.along, distances, heights))
        return rise + _BEND if rise > 0 else 0.0


def _longer(piece: dict[str, Any], more: float) -> dict[str, Any]:
    """A piece of hose with `more` [m] added at its start, its points shifted by as much."""
    later = [_point(one["at"] + more, one["height"]) for one in piece.get("via") or ()]
    return {**piece, "length": piece["length"] + more, **({"via": later} if later else {})}


def _point(at: float, height: float) -> dict[str, float]:
    return {"at": at, "height": height}
