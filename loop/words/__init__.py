"""Findings and actions as data, and every sentence that is made of them."""

from loop.words.actions import ACTIONS, Action
from loop.words.codes import CODES
from loop.words.finding import LEVELS, Finding, Level, Place
from loop.words.say import Said, say
from loop.words.template import Value
from loop.words.told import Told, grouped, told

__all__ = [
    "ACTIONS",
    "CODES",
    "LEVELS",
    "Action",
    "Finding",
    "Level",
    "Place",
    "Said",
    "Told",
    "Value",
    "grouped",
    "say",
    "told",
]
