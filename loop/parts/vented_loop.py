"""Vented loop: a siphon break at the top of a line."""

from typing import Annotated, Literal

import fluids
from pydantic import Field

from loop.parts.base import Part
from loop.parts.friction import Numbers
from loop.parts.rated import LossCoefficient
from loop.seawater import Water
from loop.units.fields import Offset

# Close-pattern return bend, in lengths over bore: Crane TP-410, A-29.
RETURN_BEND = 50.0


class VentedLoop(Part):
    """A siphon break, at the height where the part before it ends.

    It lets air in whenever its gauge pressure would be below zero, and lets no water out; the leg
    after it then holds air, and its fall is not recovered. Its position in the hull determines how
    near heel and trim bring the sea to its vent; if omitted, it counts as far outboard as its
    outlet. Loss: `k`, or a return bend of close pattern, 50 fT with ``fluids.ft_Crane``.
    """

    kind: Literal["vented loop"] = "vented loop"
    off_centre: Offset | None = None
    fore_aft: Offset | None = None
    k: Annotated[
        LossCoefficient | None,
        Field(description="loss coefficient on the bore; if omitted, that of a return bend"),
    ] = None

    def loss_coefficient(self, flow: Numbers, water: Water) -> float:
        """K on the bore."""
        return RETURN_BEND * float(fluids.ft_Crane(self.inner_bore)) if self.k is None else self.k
