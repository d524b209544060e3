"""A question of the quiz: what is asked, what is right, and why."""

from collections.abc import Callable, Sequence

import numpy as np

from loop.records import dataclass
from loop.units import System, UnitError, convert, label, parse, show
from loop.units.definitions import Kind

_LETTERS = "abcdefgh"
# How far a number may be off: roundings along the way are no mistakes.
_TOLERANCE = 0.05
# Which kind of unit a quantity is written in, for answers that give one.
_KINDS: dict[str, Kind] = {
    "flow": "flow",
    "head": "length",
    "height": "length",
    "pressure": "pressure",
    "temperature": "temperature",
    "temperature_difference": "temperature_difference",
    "velocity": "speed",
    "power": "power",
    "time": "time",
}


class AnswerError(ValueError):
    """An answer that cannot be read; the text says what would be right."""


@dataclass(frozen=True)
class Question:
    """One question.

    ``choices`` is empty where a number is asked for; then ``number`` is the right one in SI,
    ``quantity`` what it is (empty for a plain number), and ``tolerance`` the share by which an
    answer may be off. With choices, ``right`` is the index of the right one. ``why`` explains.
    """

    topic: str
    text: str
    why: str
    system: System
    choices: tuple[str, ...] = ()
    right: int = 0
    number: float = 0.0
    quantity: str = ""
    tolerance: float = _TOLERANCE

    @property
    def unit(self) -> str:
        """Label of the unit in which a number is wanted; empty for a plain number or a choice."""
        return label(self.quantity, self.system) if self.quantity else ""

    @property
    def lettered(self) -> tuple[tuple[str, str], ...]:
        """The choices, each with its letter."""
        return tuple(zip(_LETTERS, self.choices, strict=False))

    @property
    def right_answer(self) -> str:
        """The right answer as text."""
        if self.choices:
            return f"{_LETTERS[self.right]}) {self.choices[self.right]}"
        if not self.quantity:
            return f"{self.number:.3g}"
        digits = max(0, 3 - len(str(int(abs(convert(self.number, self.quantity, self.system))))))
        return show(self.number, self.quantity, self.system, digits)

    def judge(self, answer: str) -> bool:
        """Whether an answer is right.

        A letter (or its place, from 1) for a choice; a number for a number, in the unit asked for
        or with a unit of its own. Raises AnswerError for an answer that is neither.
        """
        text = answer.strip().lower().rstrip(").")
        if self.choices:
            return self._chosen(text) == self.right
        return self._near(self._read(text))

    def _chosen(self, text: str) -> int:
        letters = _LETTERS[: len(self.choices)]
        if len(text) == 1 and text in letters:
            return letters.index(text)
        if text.isdecimal() and 1 <= int(text) <= len(self.choices):
            return int(text) - 1
        raise AnswerError(f"answer with a letter, {letters[0]} to {letters[-1]}")

    def _read(self, text: str) -> float:
        plain = text.replace(",", "").replace("−", "-")
        try:
            number = float(plain)
        except ValueError:
            return self._with_unit(text)
        if not self.quantity:
            return number
        zero = convert(0.0, self.quantity, self.system)
        return (number - zero) / (convert(1.0, self.quantity, self.system) - zero)

    def _with_unit(self, text: str) -> float:
        wanted = f"answer with a number{f' in {self.unit}' if self.unit else ''}"
        if not self.quantity:
            raise AnswerError(wanted)
        try:
            return parse(text, _KINDS[self.quantity])
        except UnitError as error:
            raise AnswerError(f"{wanted}, or with a unit of your own: {error}") from None

    def _near(self, number: float) -> bool:
        scale = abs(self.number)
        if self.quantity == "temperature":  # a share of a temperature means nothing: take 1 K
            return abs(number - self.number) <= 1.0
        return abs(number - self.number) <= self.tolerance * scale + 1e-9


Maker = Callable[[np.random.Generator, System], Question]


def mixed(
    rng: np.random.Generator, right: str, wrong: Sequence[str]
) -> tuple[tuple[str, ...], int]:
    """The right and wrong choices in random order, and where the right one went.

    Wrong choices that read like the right one, or like each other, are left out.
    """
    choices = list(dict.fromkeys([right, *wrong]))
    order = rng.permutation(len(choices))
    return tuple(choices[i] for i in order), int(np.flatnonzero(order == 0)[0])
