"""Bleed valve, on a tee in the line."""

from typing import Literal

from loop.parts.base import Part
from loop.parts.friction import Numbers
from loop.parts.tee import through_run
from loop.seawater import Water


class Bleed(Part):
    """A valve through which trapped air is let out; to the water, the run of a tee."""

    kind: Literal["bleed"] = "bleed"

    def loss_coefficient(self, flow: Numbers, water: Water) -> float:
        """K on the bore."""
        return through_run(self.inner_bore)
