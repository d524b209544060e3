"""Fitting through which the water returns overboard."""

from typing import ClassVar, Literal

import fluids

from loop.parts.base import Part
from loop.parts.friction import Numbers
from loop.seawater import Water
from loop.units.fields import Height, Offset


class Discharge(Part):
    """A discharge through-hull; loss: ``fluids.exit_normal`` on its bore.

    Above the water the jet leaves at the fitting's height; below it, at sea pressure. Its position
    in the hull determines how far heel and trim immerse it.
    """

    with_hose: ClassVar[bool] = False

    kind: Literal["discharge"] = "discharge"
    height: Height
    off_centre: Offset | None = None
    fore_aft: Offset | None = None

    def loss_coefficient(self, flow: Numbers, water: Water) -> float:
        """K on the bore."""
        return float(fluids.exit_normal())
