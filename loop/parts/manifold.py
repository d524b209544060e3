"""Manifold: where one line splits into several, and several join into one."""

import math
from collections.abc import Callable, Iterable
from typing import Annotated, Literal, Self

from pydantic import BaseModel, ConfigDict, Field

from loop.parts.base import Part
from loop.parts.bleed import Bleed
from loop.parts.check_valve import CheckValve
from loop.parts.condenser import Condenser
from loop.parts.discharge import Discharge
from loop.parts.elbow import Elbow
from loop.parts.fitting import Fitting
from loop.parts.friction import Numbers
from loop.parts.hose import Hose
from loop.parts.intake import Intake
from loop.parts.pump import Pump
from loop.parts.seacock import Seacock
from loop.parts.strainer import Strainer
from loop.parts.tee import Tee
from loop.parts.vented_loop import VentedLoop
from loop.plain_text import OneLine
from loop.seawater import Water
from loop.units.fields import Turn


class Branch(BaseModel):
    """One branch of a manifold, with its parts in flow order."""

    model_config = ConfigDict(frozen=True, extra="forbid", defer_build=True)
    name: OneLine = Field(min_length=1, max_length=60)
    part: tuple["AnyPart", ...] = Field(min_length=1, max_length=500)

    @property
    def overboard(self) -> bool:
        """Whether the branch ends at a discharge of its own."""
        return isinstance(self.part[-1], Discharge)


class Manifold(Part):
    """A header that feeds branches through tees, and a return for those that rejoin.

    The branches leave the header in order, each at a tee; the last is the end of the header's run.
    The return header mirrors this: the first branch to leave is the last to join.
    """

    kind: Literal["manifold"] = "manifold"
    branch: tuple[Branch, ...] = Field(
        min_length=1,
        max_length=600,
        description="in the order in which they leave the header; it matters for a narrow header",
    )
    angle: Turn = math.pi / 2

    def with_lines(self, line: Callable[[tuple[Part, ...]], Iterable[Part]]) -> Self:
        """A copy with each branch's parts replaced by the result of `line`."""
        branches = (
            branch.model_copy(update={"part": tuple(line(branch.part))}) for branch in self.branch
        )
        return self.model_copy(update={"branch": tuple(branches)})

    def _head_loss(self, flow: Numbers, water: Water) -> Numbers:
        """Zero: tee losses depend on the flow split and are calculated at the joints."""
        return 0.0 * flow


AnyPart = Annotated[
    Intake
    | Seacock
    | Hose
    | Strainer
    | Pump
    | Bleed
    | Condenser
    | Elbow
    | Tee
    | CheckValve
    | Fitting
    | VentedLoop
    | Discharge
    | Manifold,
    Field(discriminator="kind"),
]

# Resolves the forward reference for readers of the fields; `model_rebuild` would also build the
# schema of every part, which that of a job builds again.
Branch.model_fields["part"].annotation = tuple[AnyPart, ...]
