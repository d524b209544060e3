"""Part names under the loop's line: in full if they fit, else numbers with a key."""

import math
from collections.abc import Sequence
from typing import Any

from loop.draw.page import MARGIN, Page
from loop.draw.scene import Scene
from loop.draw.style import INK, RULE, SOFT
from loop.draw.way import ACROSS, Way
from loop.draw.words import NOTE, SMALL, Type, clean
from loop.job import file_numbers
from loop.parts import Hose
from loop.records import dataclass
from loop.words.figures import SAY

_ROW = 0.17
_GAP = 0.09
_MOST_ROWS = 3
_COLUMN = 2.3
_LONGEST = 1.9
# Parts up to which all are in the key: more are too small to read where a page holds the figure.
_MOST_LISTED = 100
# Indent of the second line of a key entry.
_INDENT = "    "


@dataclass(frozen=True)
class Word:
    """A name or number: its text, its part's center and its own center [in], and its row."""

    text: str
    part: float
    middle: float
    row: int


@dataclass(frozen=True)
class Strip:
    """Rows of names under the line, or rows of numbers with a key in columns."""

    words: tuple[Word, ...]
    rows: int
    kind: Type
    key: tuple[tuple[str, ...], ...]
    columns: int = 1

    @property
    def height(self) -> float:
        """Height of the strip [in]."""
        return 0.12 + _ROW * self.rows + (0.1 if self.key else 0.0) + _ROW * self._key_rows

    @property
    def caption(self) -> str:
        """What the numbers mean; "" if there are none."""
        if not self.key:
            return ""
        numbers = (lines[0].split(" ")[0] for lines in self.key)
        deep = next((number for number in numbers if "." in number), "")
        if not deep:
            return SAY("numbers")
        part, branch, inner, *_ = deep.split(".")
        return SAY("numbers-deep", part=part, branch=branch, inner=inner)

    @property
    def _key_rows(self) -> int:
        """The fewest rows that hold the key in its columns without splitting an entry."""
        lines = sum(map(len, self.key))
        rows = math.ceil(lines / self.columns)
        while len(self._filled(rows)) > self.columns:
            rows += 1
        return rows

    def _filled(self, rows: int) -> list[list[str]]:
        """The key's lines in columns of at most this many rows."""
        columns: list[list[str]] = []
        for entry in self.key:
            if not columns or len(columns[-1]) + len(entry) > rows:
                columns.append([])
            columns[-1] += entry
        return columns

    def write(self, page: Page, ax: Any, left: float, top: float) -> None:
        """Writes the strip with its top at `top` [in], under an axis that starts at `left` [in]."""
        for word in self.words:
            y = top - 0.12 - _ROW * word.row
            page.write(word.text, left + word.middle, y, self.kind, INK, ha="center")
            across = ax.transAxes.inverted().transform(
                page.figure.dpi_scale_trans.transform([(left + word.part, 0.0)])
            )[0][0]
            depth = 72 * (0.09 + _ROW * word.row)
            ax.annotate("", (across, 0), (0, -depth), xycoords="axes fraction",
                        textcoords="offset points", annotation_clip=False,
                        arrowprops={"arrowstyle": "-", "color": RULE, "linewidth": 0.8,
                                    "shrinkA": 0, "shrinkB": 0})  # fmt: skip
        start = top - 0.22 - _ROW * self.rows
        for column, lines in enumerate(self._filled(self._key_rows)):
            for row, text in enumerate(lines):
                page.write(text, MARGIN + column * _COLUMN, start - row * _ROW, SMALL, SOFT)


def plan(scene: Scene, way: Way, width: float, whole: float) -> Strip:
    """Names under the line if they fit in three rows, else numbers with a key.

    `width` is that of the panel [in], `whole` that of the page [in], which the key may use. The
    numbers are the job file's, from `file_numbers`. If not even those fit, only every second,
    fifth, tenth … is written under the line, and of very many parts only these are in the key.
    """
    left, right = ACROSS
    middles = [(place.middle - left) / (right - left) * width for place in way.places]
    names = [NOTE.shorten(scene.name(place.index), _LONGEST) for place in way.places]
    words = _in_rows(names, middles, width, NOTE)
    if words is not None:
        return Strip(words, _count(words), NOTE, ())
    of_file = file_numbers(scene.job.part)
    numbers = [of_file[place.index] for place in way.places]
    shown = list(range(len(names)))
    for step in (1, 2, 5, 10, 20, 50, 100, 200, 500):
        shown = [i for i in range(len(names)) if i == 0 or (i + 1) % step == 0]
        texts, places = [numbers[i] for i in shown], [middles[i] for i in shown]
        words = _in_rows(texts, places, width, SMALL)
        if words is not None:
            break
    words = words or ()
    listed = shown if len(names) > _MOST_LISTED else range(len(names))
    key = tuple(_entry(numbers[i], scene, way.places[i].index) for i in listed)
    return Strip(words, _count(words), SMALL, key, int((whole - 2 * MARGIN + 0.1) / _COLUMN))


def _entry(number: str, scene: Scene, index: int) -> tuple[str, ...]:
    """A part's lines in the key; a long name is cut, a size never."""
    part, room = scene.network.parts[index], _COLUMN - 0.15
    named = clean(f"{number} {scene.name(index)}")
    if not isinstance(part, Hose):
        unit = scene.serves(index)
        return (SMALL.shorten(f"{named}, {unit}" if unit else named, room),)
    length, bore = scene.say(part.length, "length"), scene.say(part.inner_bore, "bore")
    size = SAY("hose-size", length=length, bore=bore)
    whole = f"{named}, {size}"
    if SMALL.width(whole) <= room:
        return (whole,)
    return SMALL.shorten(f"{named},", room), f"{_INDENT}{size}"


def _in_rows(
    texts: list[str], middles: list[float], width: float, kind: Type
) -> tuple[Word, ...] | None:
    """Each text in the highest row where it is clear of other words and of their leader rules.

    None if that takes more rows than there are.
    """
    words: list[Word] = []
    for text, part in zip(texts, middles, strict=True):
        half = kind.width(text) / 2
        middle = min(max(part, half - 0.25), width + 0.25 - half)
        depth = _count(words) if words else 0
        tried = (Word(text, part, middle, row) for row in range(depth + 1))
        # A conflict is most likely with one of the last words.
        clear = (w for w in tried if all(_clear(w, other, kind) for other in reversed(words)))
        word = next(clear, Word(text, part, middle, depth))
        if word.row >= _MOST_ROWS:
            return None
        words.append(word)
    return tuple(words)


def _count(words: Sequence[Word]) -> int:
    """Number of rows that the words take."""
    return 1 + max((word.row for word in words), default=0)


def _clear(word: Word, other: Word, kind: Type) -> bool:
    """Whether two words, and the rules that lead to them, are clear of each other."""
    half, its = kind.width(word.text) / 2, kind.width(other.text) / 2
    if word.row == other.row:
        return abs(word.middle - other.middle) >= half + its + _GAP
    if word.row > other.row:
        return abs(word.part - other.middle) >= its + _GAP / 3
    return abs(other.part - word.middle) >= half + _GAP / 3
