"""The opening in the hull through which the sea comes in."""

import math
from typing import Annotated, ClassVar, Literal

import fluids
from fluids.filters import square_edge_grill

from loop.parts.base import Part
from loop.parts.friction import Numbers
from loop.plain_text import ANY_CASE
from loop.seawater import Water
from loop.units.fields import Area, Height, Offset, Open

# Head gained from the boat's speed, as a share of its velocity head: engineering estimates, since
# the boundary layer and the shape of the scoop rule.
SCOOP = {"forward": 0.5, "flush": 0.0, "aft": -0.3}

# Share of a grate's face that is open with less than which it is taken to be grown over:
# engineering estimate.
_OVERGROWN = 0.3
# Face of the grate over area of the bore, where the job does not give it: common practice.
FACE_OVER_BORE = 2.0
# Share of an area that is rounding.
_ROUNDING = 1e-9


def usual_face(bore: float) -> float:
    """Area of the face of a grate [m²] on a through-hull of a bore [m]."""
    return FACE_OVER_BORE * math.pi / 4 * bore**2


class Intake(Part):
    """A through-hull with a grate.

    Loss: a sharp entrance on the bore, and the grate as a square-edged grill on its own face
    (``fluids.entrance_sharp``, ``fluids.filters.square_edge_grill``), moved to the bore.
    """

    with_hose: ClassVar[bool] = False
    # Share of a clean grate's face that is open: common practice.
    clean: ClassVar[float] = 0.5

    kind: Literal["intake"] = "intake"
    facing: Annotated[Literal["forward", "flush", "aft"], ANY_CASE] = "flush"
    height: Height
    off_centre: Offset | None = None
    fore_aft: Offset | None = None
    grate_area: Area | None = None
    grate_open: Open = clean

    @property
    def overgrown(self) -> bool:
        """Whether so little of the grate is open that growth must be on it."""
        return self.grate_open < _OVERGROWN

    @property
    def grate_face(self) -> float:
        """Area of the grate's face [m²]."""
        if self.grate_area is not None:
            return self.grate_area
        return usual_face(self.inner_bore)

    @property
    def grate_way(self) -> float:
        """Area of the grate that is open [m²]."""
        return self.grate_open * self.grate_face

    @property
    def narrow_grate(self) -> bool:
        """Whether its grate, once clean, lets through less than the bore does."""
        share = self.clean if self.overgrown else self.grate_open
        return share * self.grate_face < math.pi / 4 * self.inner_bore**2 * (1 - _ROUNDING)

    def loss_coefficient(self, flow: Numbers, water: Water) -> float:
        """K on the bore."""
        moved = (math.pi / 4 * self.inner_bore**2 / self.grate_face) ** 2
        grate = square_edge_grill(alpha=self.grate_open)
        return float(fluids.entrance_sharp() + grate * moved)
