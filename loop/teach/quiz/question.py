"""A question of the quiz: made from a belief, and answered by the program on its own loop."""

from collections.abc import Sequence
from itertools import pairwise

import numpy as np

from loop.job import Job
from loop.records import dataclass
from loop.units import System, show

_LETTERS = "abcdefgh"
# Answers that are numbers lie at least this far apart, as a share of the larger.
APART = 0.08
# The shortest step from one wrong number to the next, as a share.
_STEP = 0.09
# Draws of wrong numbers before a question is given up and drawn anew.
_TRIES = 60
# Bucket under the outlet by which a stream is timed [m³].
BUCKET: dict[System, float] = {"us": 5 * 3.785411784e-3, "si": 20e-3}


class AnswerError(ValueError):
    """An answer that cannot be read; the text says what would be right."""


@dataclass(frozen=True)
class Choice:
    """One answer offered: its text, and what is said to a person who chooses it.

    ``number`` is its value in SI where it is one.
    """

    text: str
    feedback: str
    number: float | None = None


@dataclass(frozen=True)
class Question:
    """One question.

    ``belief`` is what the person believes who gives the answer at ``tempting``; ``right`` is the
    index of the program's own answer for ``job``, the loop that is asked about. ``shape`` names
    the way of asking, ``seed`` what it was drawn from.
    """

    topic: str
    shape: str
    seed: int
    belief: str
    text: str
    choices: tuple[Choice, ...]
    right: int
    tempting: int
    why: str
    job: Job

    @property
    def lettered(self) -> tuple[tuple[str, Choice], ...]:
        """The choices, each with its letter."""
        return tuple(zip(_LETTERS, self.choices, strict=False))

    @property
    def right_answer(self) -> str:
        """The right answer as text, with its letter."""
        return f"{_LETTERS[self.right]}) {self.choices[self.right].text}"

    def read(self, answer: str) -> int:
        """Index of the choice that an answer names, by its letter or its place from 1.

        Raises AnswerError for an answer that is neither.
        """
        text = answer.strip().lower().rstrip(").")
        letters = _LETTERS[: len(self.choices)]
        if len(text) == 1 and text in letters:
            return letters.index(text)
        if text.isdecimal() and 1 <= int(text) <= len(self.choices):
            return int(text) - 1
        raise AnswerError(f"answer with a letter, {letters[0]} to {letters[-1]}")

    def feedback(self, chosen: int) -> str:
        """What is said to a person who chose this."""
        return self.choices[chosen].feedback


def shown(value: float, quantity: str, system: System) -> str:
    """A number as the quiz shows it, close answers told apart.

    ``"bucket"`` is the time that a flow [m³/s] takes to fill the bucket.
    """
    if quantity == "bucket":
        return f"{value:.0f} s"
    digits = {"head": 2, "velocity": 2, "temperature_difference": 1}.get(quantity)
    if quantity == "pressure":
        digits = 2 if system == "us" else 1
    return show(value, quantity, system, digits)


def signed(texts: Sequence[str]) -> list[str]:
    """Numbers with their signs where any is negative, so that one is as long as the other."""
    if not any(text.startswith("-") for text in texts):
        return list(texts)
    return [text if text.startswith("-") else f"+{text}" for text in texts]


def numbers(
    rng: np.random.Generator, right: float, tempting: float, below: int, count: int
) -> list[float] | None:
    """Wrong numbers beside a tempting one, so that `below` of all `count` are under the right one.

    None where none are found that lie `APART`.
    """
    others = count - 2
    lower = below - (tempting < right)
    if not 0 <= lower <= others:
        raise ValueError(f"{below} of {count} cannot be under the right one")
    size = max(abs(right), abs(tempting))
    crosses = right <= 0 or tempting <= 0
    # As far apart as the belief is from the program, so that neither is known by its distance.
    gap = abs(tempting - right) / (size if crosses else min(right, tempting))
    widest = max(5 * _STEP, gap)
    for _ in range(_TRIES):
        found = []
        for side, many in ((-1, lower), (1, others - lower)):
            # From the right one, or beyond the tempting one, so that neither is known by its
            # neighbors.
            beyond = (tempting - right) * side > 0 and rng.random() < 0.25
            at = tempting if beyond else right
            for step in _STEP * (widest / _STEP) ** rng.random(many):
                at = at + side * step * size if crosses else at * (1 + step) ** side
                found.append(float(at))
        if apart([right, tempting, *found], size if crosses else None):
            return found
    return None


def apart(values: Sequence[float], size: float | None = None) -> bool:
    """Whether numbers lie `APART`, of the larger of each two, or of `size`."""
    ordered = sorted(values)
    return all(
        high - low >= APART * (size or max(abs(high), abs(low))) for low, high in pairwise(ordered)
    )


def place(turn: int, above: bool, mirrored: bool) -> tuple[int, int]:
    """How many choices a question has, and how many of them lie under the right one.

    A tempting answer that always lies on one side keeps the right one from that end: then one of
    five, at each other place in turn. Where the topic is also asked the other way round
    (`mirrored`), one of four, and the two ways together put it at every place alike.
    """
    if not mirrored:
        return 5, turn % 4 if above else turn % 4 + 1
    under = (0, 1, 0, 2)[turn % 4]
    return 4, under if above else 3 - under
