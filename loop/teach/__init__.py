"""Teaching: worked explanations, lessons, the quiz, a class, and drills on hidden faults."""

from loop.teach.explain import explain
from loop.teach.explanation import Explanation
from loop.teach.step import Line, Step

__all__ = ["Explanation", "Line", "Step", "explain"]
