"""Check valve, which lets water through in one direction."""

from typing import ClassVar, Literal

import fluids

from loop.parts.base import Part
from loop.parts.friction import Numbers
from loop.seawater import Water


class CheckValve(Part):
    """A swing check valve: ``fluids.K_swing_check_valve_Crane``, conventional pattern (100 fT)."""

    kind: Literal["check valve"] = "check valve"

    one_way: ClassVar[bool] = True

    def loss_coefficient(self, flow: Numbers, water: Water) -> float:
        """K on the bore."""
        return float(fluids.K_swing_check_valve_Crane(D=self.inner_bore))

    def wide_open(self, water: Water) -> float:
        """Least speed [m/s] at which the flap stands wide open: ``fluids.v_lift_valve_Crane``.

        Below it the flap moves with the stream, and the loss is more than calculated, at most what
        it is at that speed: Crane TP-410, appendix A.
        """
        lift = fluids.v_lift_valve_Crane(rho=water.density, style="swing check angled")
        return float(lift)
