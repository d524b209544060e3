"""The sheet of a figure: a headline that states the conclusion, panels, a caption."""

from typing import Any

import numpy as np
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure
from matplotlib.ticker import FixedFormatter, FixedLocator, MaxNLocator

from loop.draw.style import DPI, INK, RULE, SOFT, TITLE_FACE
from loop.draw.words import NOTE, Type, clean
from loop.words.template import capital

WIDTH = 8.0
MARGIN = 0.42
_TITLE, _SUBTITLE, _CAPTION = Type(16.5, tuple(TITLE_FACE), "bold"), Type(9.0), NOTE
_NARROW_TITLE = Type(13.5, tuple(TITLE_FACE), "bold")
_LEADING = 1.32  # line pitch over type size


class Page:
    """A figure of fixed width whose height follows from its content; lengths in inches.

    ``body`` is the height reserved for panels between headline and caption.
    """

    def __init__(
        self, title: str, subtitle: str, caption: str, body: float, width: float = WIDTH
    ) -> None:
        self.width = width
        room = width - 2 * MARGIN
        title = capital(title)
        blocks = [
            (kind, kind.wrap(text, room), color)
            for kind, text, color in (
                (_TITLE if width >= WIDTH else _NARROW_TITLE, title, INK),
                (_SUBTITLE, subtitle, SOFT),
                (_CAPTION, caption, SOFT),
            )
        ]
        head, under, foot = (len(lines) * _pitch(kind) for kind, lines, _ in blocks)
        top = 0.32 + head + 0.05 + under + 0.16
        self._bottom = 0.28 + foot + 0.10
        self.height = top + body + self._bottom
        self.figure = Figure(figsize=(width, self.height))
        self.figure.set_label(clean(title))
        self.renderer = FigureCanvasAgg(self.figure).get_renderer()
        starts = (self.height - 0.32, self.height - 0.37 - head, self._bottom - 0.10)
        for (kind, lines, color), y in zip(blocks, starts, strict=True):
            for number, line in enumerate(lines):
                self.write(line, MARGIN, y - number * _pitch(kind) - self._bottom, kind, color)

    def panel(self, left: float, bottom: float, width: float, height: float) -> Any:
        """Axes at a position [in] from the left of the page and the bottom of its body."""
        return self.figure.add_axes(
            (
                left / self.width,
                (self._bottom + bottom) / self.height,
                width / self.width,
                height / self.height,
            )
        )

    def write(
        self, text: str, x: float, y: float, kind: Type, color: str = INK, **look: Any
    ) -> Any:
        """Writes a line of text with its top at a position given as for `panel`."""
        return self.figure.text(
            x / self.width,
            (self._bottom + y) / self.height,
            text,
            color=color,
            **{"va": "top", **kind.look, **look},
        )


def _pitch(kind: Type) -> float:
    return kind.size / 72 * _LEADING


def ticks(axis: Any, low: float, high: float, count: int = 6) -> None:
    """Sets round ticks between `low` and `high`, with the fewest digits that tell them apart."""
    values = MaxNLocator(nbins=count, steps=[1, 2, 2.5, 5, 10]).tick_values(low, high)
    slack = 1e-9 * (high - low)
    kept = [float(v) for v in values if low - slack <= v <= high + slack]
    axis.set_major_locator(FixedLocator(kept))
    axis.set_major_formatter(FixedFormatter(_tick_texts(kept)))


def _tick_texts(values: list[float]) -> list[str]:
    texts: list[str] = []
    for digits in range(7):
        texts = [f"{v:,.{digits}f}" for v in values]
        back = np.array([float(t.replace(",", "")) for t in texts])
        if np.allclose(back, values, rtol=0, atol=1e-6 * max(map(abs, values), default=0.0)):
            break
    return [t.replace("-", "−") if float(t.replace(",", "")) != 0 else t.lstrip("-") for t in texts]


def frame(ax: Any, x: tuple[float, float], y: tuple[float, float], words: tuple[str, str]) -> None:
    """Sets limits, ticks, horizontal grid lines and axis names: x below, y above its axis."""
    ax.set_xlim(*x)
    ax.set_ylim(*y)
    size = ax.get_window_extent()  # limits the number of ticks
    ticks(ax.xaxis, *x, count=max(2, min(7, int(size.width / DPI / 0.85))))
    ticks(ax.yaxis, *y, count=max(2, min(7, int(size.height / DPI / 0.42))))
    ax.grid(axis="y", color=RULE, linewidth=0.7)
    ax.spines["left"].set_visible(False)
    if words[0]:
        ax.set_xlabel(words[0], labelpad=4)
    if words[1]:
        over_axis(ax, words[1])


def over_axis(ax: Any, words: str) -> None:
    """Writes the name of the vertical axis horizontally above it."""
    ax.annotate(
        words,
        (0, 1),
        (0, 7),
        xycoords="axes fraction",
        textcoords="offset points",
        color=SOFT,
        ha="left",
        va="bottom",
    )


def span(low: float, high: float, room: float = 0.06) -> tuple[float, float]:
    """Limits around a range, widened by this share on either side; never of zero width."""
    wide = high - low if high > low else 1.0
    return low - wide * room, high + wide * room
