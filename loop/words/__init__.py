"""Findings and actions as data, and every sentence that is made of them."""

from loop.words.actions import ACTIONS, Action
from loop.words.finding import LEVELS, Finding, Level, Place, Value

__all__ = ["ACTIONS", "LEVELS", "Action", "Finding", "Level", "Place", "Value"]
