"""A quiz question: made from a misconception, and answered by the program on its own loop."""

import math
from collections.abc import Sequence
from itertools import pairwise

import numpy as np

from loop.job import Job
from loop.records import dataclass
from loop.units import System, show
from loop.words.course import SAY

_LETTERS = "abcdefgh"
# Least spacing of numeric answers, as a share of the larger: nobody can separate closer ones
# without the program.
APART = 1 / 6
# Number of numeric answers offered.
CHOICES = 5
# Log ratios: the widest step from one number to the next, and the farthest that a number lies
# beyond the right and tempting two, past which nobody believes it. Standard deviation of the log
# steps.
_WIDEST, _BEYOND, _SPREAD = 0.45, 1.0, 0.3
# Samples of wrong numbers before a question is drawn anew.
_TRIES = 60
# Volume of the bucket for timing a stream [m³].
BUCKET: dict[System, float] = {"us": 5 * 3.785411784e-3, "si": 20e-3}


class AnswerError(ValueError):
    """An answer that cannot be read; the text says what would be right."""


@dataclass(frozen=True)
class Choice:
    """One answer offered: its text, and the feedback to a person who chooses it.

    ``number`` is its value in SI where it is numeric.
    """

    text: str
    feedback: str
    number: float | None = None


@dataclass(frozen=True)
class Question:
    """One question.

    ``belief`` : the misconception behind the answer at ``tempting``; ``right`` : index of the
    program's own answer for ``job``, the loop in question. ``shape`` names the form of the
    question, ``seed`` its seed.
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
        """Index of the choice that an answer names, by its letter or its number from 1.

        Raises AnswerError for an answer that is neither.
        """
        text = answer.strip().lower().rstrip(").")
        letters = _LETTERS[: len(self.choices)]
        if len(text) == 1 and text in letters:
            return letters.index(text)
        if text.isdecimal() and 1 <= int(text) <= len(self.choices):
            return int(text) - 1
        raise AnswerError(SAY("quiz-letter", first=letters[0], last=letters[-1]))

    def feedback(self, chosen: int) -> str:
        """Feedback to a person who chose this."""
        return self.choices[chosen].feedback


def shown(value: float, quantity: str, system: System) -> str:
    """A number as the quiz shows it, with enough digits to distinguish close answers.

    ``"bucket"`` is the time that a flow [m³/s] takes to fill the bucket.
    """
    if quantity == "bucket":
        return SAY("quiz-bucket", time=value)
    digits = {"head": 2, "velocity": 2, "temperature_difference": 1}.get(quantity)
    if quantity == "pressure":
        digits = 2 if system == "us" else 1
    return show(value, quantity, system, digits)


def numbers(
    rng: np.random.Generator, right: float, tempting: float, below: int, share: float = APART
) -> list[float] | None:
    """Wrong numbers beside a tempting one, with `below` of all below the right one.

    All have one sign. The log ratios of successive numbers come from one distribution, including
    those between the right and the tempting one, so that spacing reveals neither; but none lies too
    far beyond the two. None where the belief is too far from, or too near, the program's answer for
    numbers that are all spaced by `share` of the larger.
    """
    if min(right, tempting) <= 0:
        if max(right, tempting) >= 0:
            return None
        mirrored = numbers(rng, -right, -tempting, CHOICES - 1 - below, share)
        return None if mirrored is None else [-number for number in mirrored]
    above, span = tempting > right, abs(math.log(tempting / right))
    beyond, least = CHOICES - 1 - below if above else below, -1.01 * math.log(1 - share)
    fits = [count for count in range(1, beyond + 1) if least <= span / count <= _WIDEST]
    if not fits:
        return None
    between = int(rng.choice(fits))
    spread = min(_SPREAD, math.log(span / between / least))
    first = below if above else below - between
    spot = below + between if above else first
    for _ in range(_TRIES):
        steps = np.exp(spread * rng.standard_normal(CHOICES - 1))
        steps *= span / steps[first : first + between].sum()
        for side in (steps[:first], steps[first + between :]):
            side *= min(_BEYOND / side.sum(), 1.0) if len(side) else 1.0
        places = np.concatenate(([0.0], np.cumsum(steps)))
        found = (right * np.exp(places - places[below])).tolist()
        if apart(found, share):
            return [number for i, number in enumerate(found) if i not in (below, spot)]
    return None


def apart(values: Sequence[float], share: float = APART) -> bool:
    """Whether ascending positive numbers are spaced by at least this share of the larger."""
    return all(high - low >= share * high for low, high in pairwise(values))


def place(turn: int, above: bool) -> int:
    """How many of a question's choices lie below the right one.

    A tempting answer that is always on one side excludes the right one from that end: the other
    positions are taken in turn, so that none is right much more often than by chance, also in the
    questions of any single unit.
    """
    return turn % (CHOICES - 1) + (0 if above else 1)
