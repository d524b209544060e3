"""Figures of a loop, each with its conclusion as its headline.

>>> sorted(FIGURES)
['curves', 'drift', 'energy', 'fouling', 'heads', 'profile', 'sizes']
"""

from loop.draw.picture import FIGURES, draw, file_kind, picture, profile_beside
from loop.draw.style import to_bytes

__all__ = ["FIGURES", "draw", "file_kind", "picture", "profile_beside", "to_bytes"]
