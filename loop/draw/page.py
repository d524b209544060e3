"""The sheet that a figure is drawn on: a headline that says the conclusion, panels, a caption."""

from functools import cache
from pathlib import Path
from typing import Any

import numpy as np
from matplotlib import font_manager
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure
from matplotlib.ticker import FixedFormatter, FixedLocator, MaxNLocator

from loop.draw.style import DPI, INK, RULE, SOFT, TEXT_FACE, TITLE_FACE

WIDTH = 8.0
_MARGIN = 0.42
_TITLE, _SUBTITLE, _CAPTION = 16.5, 9.0, 8.0
_LEADING = 1.32  # line pitch over size of type


class Page:
    """A figure of fixed width whose height follows from what must be on it; lengths in inches.

    ``body`` is the height kept for panels between the headline and the caption.
    """

    def __init__(self, title: str, subtitle: str, caption: str, body: float) -> None:
        self.figure = Figure(figsize=(WIDTH, 4.0))
        FigureCanvasAgg(self.figure)
        self.renderer = self.figure.canvas.get_renderer()
        room = WIDTH - 2 * _MARGIN
        head = self.wrap(title, _TITLE, room, TITLE_FACE, "bold")
        under = self.wrap(subtitle, _SUBTITLE, room)
        foot = self.wrap(caption, _CAPTION, room)
        top = 0.32 + _height(head, _TITLE) + 0.05 + _height(under, _SUBTITLE) + 0.16
        self._bottom = 0.28 + _height(foot, _CAPTION) + 0.10
        self.body = body
        self.height = top + body + self._bottom
        self.figure.set_size_inches(WIDTH, self.height)
        y = self._lines(head, _TITLE, self.height - 0.32, INK, TITLE_FACE, "bold")
        self._lines(under, _SUBTITLE, y - 0.05, SOFT)
        self._lines(foot, _CAPTION, self._bottom - 0.10, SOFT)

    def panel(self, left: float, bottom: float, width: float, height: float) -> Any:
        """Axes at a place given in inches from the left of the page and the bottom of its body."""
        return self.figure.add_axes(
            (
                left / WIDTH,
                (self._bottom + bottom) / self.height,
                width / WIDTH,
                height / self.height,
            )
        )

    def width_of(
        self, text: str, size: float, face: list[str] | None = None, weight: str = "normal"
    ) -> float:
        """Width of a line of text [in] at `size` [pt]."""
        font = font_manager.FontProperties(family=face or TEXT_FACE, size=size, weight=weight)
        return float(self.renderer.get_text_width_height_descent(text, font, False)[0]) / DPI

    def wrap(
        self,
        text: str,
        size: float,
        room: float,
        face: list[str] | None = None,
        weight: str = "normal",
    ) -> list[str]:
        """Lines of `text` that fit in `room` [in]; no lines for empty text."""
        lines: list[str] = []
        for word in clean(text).split():
            longer = f"{lines[-1]} {word}" if lines else word
            if lines and self.width_of(longer, size, face, weight) <= room:
                lines[-1] = longer
            else:
                lines.append(self.shorten(word, size, room, face, weight))
        return lines

    def shorten(
        self,
        text: str,
        size: float,
        room: float,
        face: list[str] | None = None,
        weight: str = "normal",
    ) -> str:
        """`text`, cut with an ellipsis where it is wider than `room` [in]."""
        text = clean(text)
        if self.width_of(text, size, face, weight) <= room:
            return text
        while text and self.width_of(f"{text}…", size, face, weight) > room:
            text = text[:-1]
        return f"{text.rstrip()}…"

    def _lines(
        self,
        lines: list[str],
        size: float,
        y: float,
        color: str,
        face: list[str] | None = None,
        weight: str = "normal",
    ) -> float:
        for line in lines:
            self.figure.text(
                _MARGIN / WIDTH,
                y / self.height,
                line,
                size=size,
                color=color,
                family=face or TEXT_FACE,
                weight=weight,
                va="top",
            )
            y -= size / 72 * _LEADING
        return y


def _height(lines: list[str], size: float) -> float:
    return len(lines) * size / 72 * _LEADING


def clean(text: str) -> str:
    """`text` on one line, with a dot for every character that the figure's faces cannot draw."""
    known = _characters()
    return "".join(c if ord(c) in known else "·" for c in " ".join(text.split()))


@cache
def _characters() -> frozenset[int]:
    found = Path(font_manager.findfont(TEXT_FACE[0]))
    return frozenset(c for c in font_manager.get_font(str(found)).get_charmap() if c >= 32)


def ticks(axis: Any, low: float, high: float, count: int = 6) -> None:
    """Sets round ticks between `low` and `high`, with as few digits as tell them apart."""
    values = MaxNLocator(nbins=count, steps=[1, 2, 2.5, 5, 10]).tick_values(low, high)
    slack = 1e-9 * (high - low)
    values = [float(v) for v in values if low - slack <= v <= high + slack]
    axis.set_major_locator(FixedLocator(values))
    axis.set_major_formatter(FixedFormatter(_tick_texts(values)))


def _tick_texts(values: list[float]) -> list[str]:
    for digits in range(7):
        texts = [f"{v:,.{digits}f}" for v in values]
        if all(
            abs(float(t.replace(",", "")) - v) <= 1e-6 * max(map(abs, values))
            for t, v in zip(texts, values, strict=True)
        ):
            break
    return [t[1:] if float(t.replace(",", "")) == 0 and t.startswith("-") else t for t in texts]


def frame(ax: Any, x: tuple[float, float], y: tuple[float, float], words: tuple[str, str]) -> None:
    """Limits, ticks, faint level rules, and the axes' names: x below, y level above its axis."""
    ax.set_xlim(*x)
    ax.set_ylim(*y)
    box = ax.get_window_extent()
    ticks(ax.xaxis, *x, count=max(2, min(7, int(box.width / DPI / 0.85))))
    ticks(ax.yaxis, *y, count=max(2, min(7, int(box.height / DPI / 0.42))))
    ax.grid(axis="y", color=RULE, linewidth=0.7)
    ax.spines["left"].set_visible(False)
    if words[0]:
        ax.set_xlabel(words[0], labelpad=4)
    if words[1]:
        ax.annotate(
            words[1],
            (0, 1),
            (0, 7),
            xycoords="axes fraction",
            textcoords="offset points",
            color=SOFT,
            ha="left",
            va="bottom",
        )


def span(low: float, high: float, room: float = 0.06) -> tuple[float, float]:
    """Limits around values, with a share of room on either side; never of no width."""
    if not np.isfinite([low, high]).all() or high <= low:
        middle = low if np.isfinite(low) else 0.0
        return middle - 1.0, middle + 1.0
    edge = (high - low) * room
    return low - edge, high + edge
