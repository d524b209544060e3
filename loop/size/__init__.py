"""Choosing hose and pump, with the odds in view."""

from loop.size.recommend import size
from loop.size.result import SizeResult

__all__ = ["SizeResult", "size"]
