"""Bleed valve, on a tee in the line."""

from typing import Literal

from loop.parts.base import Part
from loop.parts.friction import Numbers
from loop.parts.tee import through_run
from loop.seawater import Water


class Bleed(Part):
    """A valve that vents trapped air; its loss is that of a tee's run."""

    kind: Literal["bleed"] = "bleed"

    def loss_coefficient(self, flow: Numbers, water: Water) -> float:
        """K on the bore."""
        return through_run(self.inner_bore)
