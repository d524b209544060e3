"""A tee whose branch is closed off: the water goes through the run."""

from typing import Literal

import fluids

from loop.parts.base import Part
from loop.parts.friction import Numbers
from loop.seawater import Water

# Equivalent length of a tee through its run, in bores: Crane TP-410, A-29.
RUN = 20.0


def through_run(bore: float) -> float:
    """K of flow through the run of a tee of `bore` [m]: 20 fT, with ``fluids.ft_Crane``."""
    return float(RUN * fluids.ft_Crane(bore))


class Tee(Part):
    """The run of a tee.

    ``capped`` says that its branch is closed off, or, false, that something draws from it; left
    out, nobody has said.
    """

    kind: Literal["tee"] = "tee"
    capped: bool | None = None

    def loss_coefficient(self, flow: Numbers, water: Water) -> float:
        """K on the bore."""
        return through_run(self.inner_bore)
