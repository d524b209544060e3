"""Threaded elbows."""

import math
from typing import Annotated, Literal

import fluids
from pydantic import Field

from loop.parts.base import Part
from loop.parts.friction import Numbers
from loop.seawater import Water
from loop.units.fields import WHOLE_NUMBER, Turn


class Elbow(Part):
    """One or more threaded elbows; loss: ``fluids.bend_rounded`` by Crane's method (TP-410)."""

    kind: Literal["elbow"] = "elbow"
    angle: Turn = math.pi / 2
    count: Annotated[int, Field(ge=1, le=50), WHOLE_NUMBER] = 1

    def loss_coefficient(self, flow: Numbers, water: Water) -> float:
        """K on the bore."""
        one = fluids.bend_rounded(
            Di=self.inner_bore, angle=math.degrees(self.angle), method="Crane standard"
        )
        return float(self.count * one)
