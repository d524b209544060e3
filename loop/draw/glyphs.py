"""Small signs for the parts of a loop, each its own shape, drawn on the line."""

from collections.abc import Sequence
from typing import Any

import numpy as np
from matplotlib.path import Path

from loop.draw.style import INK, PAPER, TEAL

Corner = tuple[float, float]


def _shape(*pieces: Sequence[Corner], closed: bool = True) -> Path:
    """One path of several pieces, each a list of corners within −1 to 1."""
    corners: list[Corner] = []
    codes: list[Any] = []
    for piece in pieces:
        corners += [*piece, *([piece[0]] if closed else [])]
        codes += [Path.MOVETO] + [Path.LINETO] * (len(piece) - 1)
        codes += [Path.CLOSEPOLY] if closed else []
    return Path(np.array(corners), codes)


def _ring() -> list[Corner]:
    turn = np.linspace(0.0, 2 * np.pi, 36, endpoint=False)
    return [(float(np.cos(a)), float(np.sin(a))) for a in turn]


_BOX: list[Corner] = [(-1, -0.8), (1, -0.8), (1, 0.8), (-1, 0.8)]
_SQUARE: list[Corner] = [(-0.8, -0.8), (0.8, -0.8), (0.8, 0.8), (-0.8, 0.8)]
_WAVE: list[Corner] = [(-1, 0), (-0.6, 0.45), (-0.2, -0.45), (0.2, 0.45), (0.6, -0.45), (1, 0)]

# kind: (filled outline, strokes drawn on it, half its size in points)
_SIGNS: dict[str, tuple[Path, Path | None, float]] = {
    "intake": (
        _shape([(-1, -0.7), (1, -0.7), (0.45, 0.7), (-0.45, 0.7)]),
        _shape([(-0.45, -0.7), (-0.2, 0.7)], [(0.45, -0.7), (0.2, 0.7)], closed=False),
        8.0,
    ),
    "seacock": (_shape([(-1, -0.7), (1, 0.7), (1, -0.7), (-1, 0.7)]), None, 7.0),
    "strainer": (
        _shape(_SQUARE),
        _shape(
            [(-0.27, -0.8), (-0.27, 0.8)],
            [(0.27, -0.8), (0.27, 0.8)],
            [(-0.8, -0.27), (0.8, -0.27)],
            [(-0.8, 0.27), (0.8, 0.27)],
            closed=False,
        ),
        8.5,
    ),
    "pump": (_shape(_ring()), _shape([(-0.5, -0.85), (1, 0), (-0.5, 0.85)], closed=False), 10.0),
    "condenser": (_shape(_BOX), _shape(_WAVE, closed=False), 11.0),
    "check valve": (_shape([(-0.8, -0.8), (0.7, 0), (-0.8, 0.8)]),
                    _shape([(0.8, -0.8), (0.8, 0.8)], closed=False), 6.5),
    "discharge": (_shape([(-0.9, -0.35), (0.1, -0.35), (0.1, -0.9), (1, 0), (0.1, 0.9),
                          (0.1, 0.35), (-0.9, 0.35)]), None, 8.0),
    "manifold": (_shape([(-0.35, -1), (0.35, -1), (0.35, 1), (-0.35, 1)]), None, 8.0),
    "fitting": (_shape([(-1, 0), (0, 0.8), (1, 0), (0, -0.8)]), None, 5.5),
    "elbow": (_shape(_ring()), None, 3.6),
    "tee": (_shape(_ring()), None, 3.6),
    "vented loop": (_shape([(-0.8, -0.8), (0.8, -0.8), (0, 0.9)]),
                    _shape([(0, 0.9), (0, 1.3)], closed=False), 6.5),
}  # fmt: skip
# A valve on a stem, standing on the line.
_STEM = _shape([(0, 0), (0, 1)], closed=False)
_STEM_HIGH, _BALL = 13.0, 0.3  # its height in points, and its handle's size as a share of that
# Half the width and height of a bleed valve [pt]; its foot is at its position.
BLEED = (_BALL * _STEM_HIGH + 1.0, (1 + _BALL) / 2 * _STEM_HIGH + 0.5)


def sign(ax: Any, kind: str, x: float, y: float, scale: float = 1.0) -> None:
    """Draws a part's sign at a data point, at full size or scaled; a hose has none."""
    if kind == "bleed":
        bleed(ax, x, y, TEAL, fitted=True)
        return
    if kind == "hose":
        return
    outline, strokes, size = _SIGNS.get(kind, _SIGNS["fitting"])
    size *= scale
    look = {"linestyle": "none", "color": INK, "zorder": 6, "clip_on": False, "label": "sign"}
    ax.plot(x, y, marker=outline, markersize=_across(outline, size), markerfacecolor=PAPER,
            markeredgewidth=1.3, **look)  # fmt: skip
    if strokes is not None:
        ax.plot(x, y, marker=strokes, markersize=_across(strokes, size), fillstyle="none",
                markeredgewidth=0.9, **look)  # fmt: skip


def reach(kind: str, scale: float = 1.0) -> tuple[float, float]:
    """Half the width and height [pt] of a part's sign; 0 for a hose, which has none."""
    if kind == "hose":
        return 0.0, 0.0
    outline, strokes, size = _SIGNS.get(kind, _SIGNS["fitting"])
    corners = np.abs(np.concatenate([p.vertices for p in (outline, strokes) if p is not None]))
    across, up = scale * size * corners.max(axis=0)
    return float(across), float(up)


def _across(path: Path, size: float) -> float:
    """Marker size that makes a path's unit `size` points: a marker scales by its own extent."""
    return 2 * size * float(np.abs(path.vertices).max())


def bleed(ax: Any, x: float, y: float, color: str, fitted: bool) -> None:
    """A bleed valve on its stem: solid if fitted, hollow if proposed."""
    look = {"linestyle": "none", "color": color, "zorder": 7, "clip_on": False, "label": "sign"}
    ax.plot(x, y, marker=_STEM, markersize=2 * _STEM_HIGH, markeredgewidth=1.4,
            fillstyle="none", **look)  # fmt: skip
    top = _shape(*[[(_BALL * cx, 1.0 + _BALL * cy) for cx, cy in _ring()]])
    ax.plot(x, y, marker=top, markersize=2 * _STEM_HIGH * (1 + _BALL),
            markerfacecolor=color if fitted else PAPER, markeredgewidth=1.4, **look)  # fmt: skip
