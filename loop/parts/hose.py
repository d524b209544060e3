"""Hose: friction of its lining, its sweeps, and the barbs at its ends."""

import math
from itertools import pairwise
from typing import Annotated, Any, ClassVar, Literal

import fluids
from pydantic import BaseModel, BeforeValidator, ConfigDict, Field, model_validator

from loop.parts.base import Part
from loop.parts.friction import (
    Numbers,
    friction_factor,
    reynolds,
)
from loop.plain_text import ANY_CASE
from loop.seawater import Water
from loop.tolerances import RIBBED
from loop.units.fields import (
    WHOLE_NUMBER,
    Along,
    Bore,
    Height,
    Length,
    Roughness,
    Turn,
    plain_value,
)
from loop.wrong import refused

Lining = Literal["smooth plastic", "smooth rubber", "ribbed"]
USUAL_LINING: Lining = "smooth rubber"

# Roughness height of a lining [m]. Drawn tubing and plastic 0.0015 mm: the standard table (Moody
# 1944); smooth rubber: tables give 0.006 to 0.07 mm; bore ribbed by its wire: 0.3 to 4 mm.
ROUGHNESS: dict[Lining, float] = {
    "smooth plastic": 1.5e-6,
    "smooth rubber": 3e-5,
    "ribbed": 1e-3,
}
# Common practice: bore of a barb over bore of its hose; bend radius of a hose around a corner, in
# bores; length of a barb, in its own bores.
BARB_OVER_HOSE = 0.8
BEND_BORES = 4.0
BARB_LENGTH = 2.0


class Via(BaseModel):
    """A point along a hose: its height, and its distance from the start.

    Points without a stated position are evenly spaced along the hose.
    """

    model_config = ConfigDict(frozen=True, extra="forbid", defer_build=True)
    at: Along | None = None
    height: Height


def _from_height(value: Any) -> Any:
    """A bare height is a point whose position follows from its order."""
    value = plain_value(value)
    is_height = isinstance(value, str | int | float) or hasattr(value, "magnitude")
    return {"height": value} if is_height else value


ViaPoint = Annotated[Via, BeforeValidator(_from_height, json_schema_input_type=Height | Via)]


class Hose(Part):
    """A length of hose between two barbed ends.

    Loss, as K on the hose's bore: Darcy–Weisbach friction, each sweep by ``fluids.bend_rounded``,
    and each barbed end as a sharp contraction, two barb bores of smooth friction and a sharp
    expansion (``fluids.contraction_sharp``, ``diffuser_sharp``), converted from the barb's bore to
    the hose's.
    """

    with_hose: ClassVar[bool] = False

    kind: Literal["hose"] = "hose"
    length: Length
    to: Height
    via: tuple[ViaPoint, ...] = Field(default=(), max_length=50)
    sweeps: tuple[Turn, ...] = Field(default=(), max_length=50)
    bend_radius: Length | None = None
    barbs: Annotated[int, Field(ge=0, le=20), WHOLE_NUMBER] = 2
    barb_bore: Bore | None = None
    lining: Annotated[Lining | None, ANY_CASE] = None
    roughness: Roughness | None = None

    @model_validator(mode="after")
    def _check(self) -> "Hose":
        places = [point.at for point in self.via]
        given = [at for at in places if at is not None]
        if given and len(given) != len(places):
            raise refused("hose", "via-places")
        if any(b <= a for a, b in pairwise(given)) or any(not 0 < at < self.length for at in given):
            raise refused("hose", "via-rise")
        if self.barb_bore and self.bore and self.barb_bore > self.bore:
            raise refused("hose", "barb-bore")
        return self

    @property
    def roughness_height(self) -> float:
        """Roughness of the bore [m]."""
        if self.roughness is not None:
            return self.roughness
        return ROUGHNESS[self.lining or USUAL_LINING]

    @property
    def ribbed(self) -> bool:
        """Whether the bore is ribbed by its reinforcement."""
        return self.roughness_height >= RIBBED[0]

    @property
    def barb(self) -> float:
        """Bore of the barbs [m]."""
        return self.barb_bore or BARB_OVER_HOSE * self.inner_bore

    @property
    def radius(self) -> float:
        """Radius of its bends [m]."""
        return self.bend_radius or BEND_BORES * self.inner_bore

    @property
    def points(self) -> tuple[tuple[float, float], ...]:
        """Length along the hose and height [m] of each point, the far end last."""
        step = self.length / (len(self.via) + 1)
        on_the_way = [
            (step * (index + 1) if point.at is None else point.at, point.height)
            for index, point in enumerate(self.via)
        ]
        return (*on_the_way, (self.length, self.to))

    def loss_coefficient(self, flow: Numbers, water: Water) -> Numbers:
        """K on the hose's bore."""
        bore = self.inner_bore
        factor = friction_factor(reynolds(flow, bore, water), self.roughness_height / bore)
        smooth = friction_factor(reynolds(flow, self.barb, water), 0.0)
        return self._coefficient(factor, smooth)

    def barb_loss(self, flow: Numbers, water: Water) -> Numbers:
        """Head lost in its barbs [m] at `flow` [m³/s]."""
        bare = self.model_copy(update={"barbs": 0})
        return self.head_loss(flow, water) - bare.head_loss(flow, water)

    def _coefficient(self, factor: Numbers, smooth: Numbers) -> Numbers:
        """K on the hose's bore, from the friction factors of the hose and of a smooth barb."""
        bore, barb = self.inner_bore, self.barb
        radius = self.radius / bore
        sweeps = sum(
            fluids.bend_rounded(
                Di=bore, angle=math.degrees(turn), fd=factor, bend_diameters=max(radius, 1.0)
            )
            for turn in self.sweeps
        )
        on_barb = (
            fluids.contraction_sharp(Di1=bore, Di2=barb)
            + fluids.diffuser_sharp(Di1=barb, Di2=bore)
            + smooth * BARB_LENGTH
        )
        whole: Numbers = (
            factor * self.length / bore + sweeps + self.barbs * (on_barb * (bore / barb) ** 4)
        )
        return whole
