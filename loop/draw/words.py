"""Text measured before it is written, so that a page can be laid out around it."""

import bisect
from functools import cache, lru_cache
from typing import Any

from matplotlib import font_manager
from matplotlib.backends.backend_agg import RendererAgg

from loop.draw.style import DPI, TEXT_FACE
from loop.records import dataclass


@dataclass(frozen=True)
class Type:
    """A type size [pt] in a face and weight."""

    size: float
    face: tuple[str, ...] = tuple(TEXT_FACE)
    weight: str = "normal"

    def width(self, text: str) -> float:
        """Width of a line of text [in]."""
        return _width(self, text)

    def shorten(self, text: str, room: float) -> str:
        """`text`, cut with an ellipsis if wider than `room` [in]."""
        text = clean(text)
        if self.width(text) <= room:
            return text
        fits = bisect.bisect_right(
            range(1, len(text)), room, key=lambda count: self.width(f"{text[:count]}…")
        )
        return f"{text[:fits].rstrip()}…"

    def wrap(self, text: str, room: float) -> list[str]:
        """Lines of `text` that fit in `room` [in]; none for empty text."""
        lines: list[str] = []
        for word in clean(text).split():
            longer = f"{lines[-1]} {word}" if lines else word
            if lines and self.width(longer) <= room:
                lines[-1] = longer
            else:
                lines.append(self.shorten(word, room))
        return lines

    @property
    def look(self) -> dict[str, Any]:
        """Text properties for matplotlib."""
        return {"size": self.size, "family": list(self.face), "weight": self.weight}


SMALL, NOTE, TEXT = Type(7.5), Type(8.0), Type(8.5)
STRONG = Type(8.5, weight="bold")


@lru_cache(maxsize=4096)
def _width(kind: Type, text: str) -> float:
    font = font_manager.FontProperties(family=list(kind.face), size=kind.size, weight=kind.weight)
    return float(_renderer().get_text_width_height_descent(text, font, False)[0]) / DPI


@cache
def _renderer() -> RendererAgg:
    return RendererAgg(8, 8, DPI)


def clean(text: str) -> str:
    """`text` on one line, with a dot for each character that the typeface lacks."""
    known = _characters()
    return "".join(c if ord(c) in known else "·" for c in " ".join(text.split()))


@cache
def _characters() -> frozenset[int]:
    found = font_manager.get_font(font_manager.findfont(TEXT_FACE[0]))
    return frozenset(code for code in found.get_charmap() if code >= 32)
