"""Tee with a closed branch: the water flows through the run."""

from typing import Annotated, Literal

import fluids

from loop.parts.base import Part
from loop.parts.friction import Numbers
from loop.plain_text import ANY_CASE
from loop.seawater import Water

# Equivalent length of a tee through its run, in bores: Crane TP-410, A-29.
RUN = 20.0


def through_run(bore: float) -> float:
    """K of flow through the run of a tee of `bore` [m]: 20 fT, with ``fluids.ft_Crane``."""
    return float(RUN * fluids.ft_Crane(bore))


class Tee(Part):
    """A tee with the water flowing through its run.

    ``side`` says whether its side outlet is capped, or in use by something that draws from it; None
    if unknown.
    """

    kind: Literal["tee"] = "tee"
    side: Annotated[Literal["capped", "in use"] | None, ANY_CASE] = None

    def loss_coefficient(self, flow: Numbers, water: Water) -> float:
        """K on the bore."""
        return through_run(self.inner_bore)
