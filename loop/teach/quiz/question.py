"""A quiz question: made from a misconception, and answered by the program on its own loop."""

import math
from itertools import pairwise

import numpy as np

from loop.job import Job
from loop.records import dataclass
from loop.units import System, show
from loop.words.course import SAY

_LETTERS = "abcdefgh"
# Least spacing of numeric answers, as a share of the larger: nobody can separate closer ones
# without the program.
SPACING = 1 / 6
# Number of numeric answers offered.
CHOICE_COUNT = 5
# Log ratios: the widest step from one number to the next, and the farthest that a number lies
# beyond the right and tempting two, past which nobody believes it. Standard deviation of the log
# steps.
_MAX_STEP, _MAX_BEYOND, _STEP_SIGMA = 0.45, 1.0, 0.3
# Samples of wrong numbers before a question is drawn anew.
_MAX_TRIES = 60
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
    program's own answer for ``job``, the loop in question. ``form`` names the form of the
    question, ``seed`` its seed.
    """

    topic: str
    form: str
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


def answer_text(value: float, quantity: str, system: System) -> str:
    """A number as the quiz shows it, with enough digits to distinguish close answers.

    ``"bucket"`` is the time that a flow [m³/s] takes to fill the bucket.
    """
    if quantity == "bucket":
        return SAY("quiz-bucket", time=value)
    digits = {"head": 2, "velocity": 2, "temperature_difference": 1}.get(quantity)
    if quantity == "pressure":
        digits = 2 if system == "us" else 1
    return show(value, quantity, system, digits)


def wrong_numbers(
    rng: np.random.Generator, right: float, tempting: float, below: int, spacing: float = SPACING
) -> list[float] | None:
    """Wrong numbers beside a tempting one, with `below` of all below the right one.

    All have one sign. The log ratios of successive numbers come from one distribution, including
    those between the right and the tempting one, so that spacing reveals neither; but none lies too
    far beyond the two. None where the belief is too far from, or too near, the program's answer for
    numbers that are all spaced by `spacing` of the larger.
    """
    if min(right, tempting) <= 0:
        if max(right, tempting) >= 0:
            return None
        mirrored = wrong_numbers(rng, -right, -tempting, CHOICE_COUNT - 1 - below, spacing)
        return None if mirrored is None else [-number for number in mirrored]
    is_above, span = tempting > right, abs(math.log(tempting / right))
    beyond_count, min_step = (
        CHOICE_COUNT - 1 - below if is_above else below,
        -1.01 * math.log(1 - spacing),
    )
    counts = [
        count for count in range(1, beyond_count + 1) if min_step <= span / count <= _MAX_STEP
    ]
    if not counts:
        return None
    between = int(rng.choice(counts))
    sigma = min(_STEP_SIGMA, math.log(span / between / min_step))
    first = below if is_above else below - between
    tempting_index = below + between if is_above else first
    for _ in range(_MAX_TRIES):
        steps = np.exp(sigma * rng.standard_normal(CHOICE_COUNT - 1))
        steps *= span / steps[first : first + between].sum()
        for side in (steps[:first], steps[first + between :]):
            side *= min(_MAX_BEYOND / side.sum(), 1.0) if len(side) else 1.0
        logs = np.concatenate(([0.0], np.cumsum(steps)))
        found = (right * np.exp(logs - logs[below])).tolist()
        if all(high - low >= spacing * high for low, high in pairwise(found)):
            return [number for i, number in enumerate(found) if i not in (below, tempting_index)]
    return None


def count_below(turn: int, above: bool) -> int:
    """How many of a question's choices lie below the right one.

    A tempting answer that is always on one side excludes the right one from that end: the other
    positions are taken in turn, so that none is right much more often than by chance, also in the
    questions of any single unit.
    """
    return turn % (CHOICE_COUNT - 1) + (0 if above else 1)
