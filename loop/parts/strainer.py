"""The strainer, whose basket blocks as it does its work."""

from typing import Literal

from pydantic import model_validator

from loop.parts.base import Part
from loop.parts.friction import Numbers, velocity_head
from loop.parts.rated import LossCoefficient, exactly_one, rated_head_loss
from loop.seawater import Water
from loop.units import Rating, Share


class Strainer(Part):
    """A basket strainer: quadratic from one rated flow, or K on the bore.

    With a share b of the basket blocked the velocity through the rest is 1/(1−b), and the loss
    goes with its square.
    """

    kind: Literal["strainer"] = "strainer"
    loss: Rating | None = None
    k: LossCoefficient | None = None
    blocked: Share = 0.0

    @model_validator(mode="after")
    def _check(self) -> "Strainer":
        exactly_one(loss=self.loss, k=self.k)
        return self

    def head_loss(self, flow: Numbers, water: Water) -> Numbers:
        """Head lost [m] at `flow` [m³/s]."""
        if self.loss is not None:
            clean = rated_head_loss(self.loss, flow, water)
        else:
            clean = (self.k or 0.0) * velocity_head(flow, self.inner_bore)
        return clean / (1 - self.blocked) ** 2
