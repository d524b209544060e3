"""Figures of a loop, each with its conclusion as its headline.

>>> sorted(FIGURES)
['curves', 'drift', 'fouling', 'heads', 'profile', 'sizes']
"""

from loop.draw.picture import FIGURES, draw, picture

__all__ = ["FIGURES", "draw", "picture"]
