"""Opening in the hull through which seawater enters."""

import math
from typing import Annotated, ClassVar, Literal

import fluids
from fluids.filters import square_edge_grill

from loop.parts.base import Part
from loop.parts.friction import Numbers
from loop.plain_text import ANY_CASE
from loop.seawater import Water
from loop.units.fields import Area, Height, Offset, Open

# Head gained at boat speed, as a share of its velocity head: engineering estimates, since the
# boundary layer and the scoop's shape govern.
SCOOP = {"forward": 0.5, "flush": 0.0, "aft": -0.3}

# Open share of a grate's face below which it is assumed to be fouled by growth: engineering
# estimate.
_OVERGROWN = 0.3
# Area of the grate's face over that of the bore if the job does not state it: common practice.
FACE_OVER_BORE = 2.0
# Relative rounding of an area.
_ROUNDING = 1e-9


def usual_grate_face(bore: float) -> float:
    """Area of a grate's face [m²] on a through-hull of this bore [m]."""
    return FACE_OVER_BORE * math.pi / 4 * bore**2


class Intake(Part):
    """An intake through-hull with a grate.

    Loss: a sharp entrance on the bore, and the grate as a square-edged grill on its own face
    (``fluids.entrance_sharp``, ``fluids.filters.square_edge_grill``), converted to the bore.
    """

    with_hose: ClassVar[bool] = False
    # Open share of a clean grate's face: common practice.
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
        """Whether so little of the grate is open that it must be fouled by growth."""
        return self.grate_open < _OVERGROWN

    @property
    def grate_face(self) -> float:
        """Area of the grate's face [m²]."""
        if self.grate_area is not None:
            return self.grate_area
        return usual_grate_face(self.inner_bore)

    @property
    def grate_way(self) -> float:
        """Open area of the grate [m²]."""
        return self.grate_open * self.grate_face

    @property
    def narrow_grate(self) -> bool:
        """Whether the open area of the clean grate is less than the area of the bore."""
        share = self.clean if self.overgrown else self.grate_open
        return share * self.grate_face < math.pi / 4 * self.inner_bore**2 * (1 - _ROUNDING)

    def loss_coefficient(self, flow: Numbers, water: Water) -> float:
        """K on the bore."""
        face_to_bore = (math.pi / 4 * self.inner_bore**2 / self.grate_face) ** 2
        grate = square_edge_grill(alpha=self.grate_open)
        return float(fluids.entrance_sharp() + grate * face_to_bore)
