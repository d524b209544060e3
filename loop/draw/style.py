"""The look of every figure: one palette, two faces of type, and files that come out the same twice.

Each color has its own lightness, so that a figure copied in gray still tells its lines apart; the
lines differ in dash and in width as well, so that nothing hangs on color alone.
"""

import contextlib
import io
import threading
from collections.abc import Iterator
from typing import Any, Literal

import numpy as np
from matplotlib import style as mpl_style
from matplotlib.backends.backend_agg import FigureCanvasAgg

Format = Literal["png", "svg", "pdf"]
FORMATS: tuple[Format, ...] = ("png", "svg", "pdf")

# From dark to light, about 17 steps of CIE lightness apart; tests hold the distance.
INK = "#10263B"
RUST = "#9A2E1C"
TEAL = "#1A8A86"
AMBER = "#DFA23A"
MIST = "#D3E6EC"
PAPER = "#FCFAF5"
# For words and rules that stand back; SOFT keeps a contrast of 4.5 to 1 on PAPER.
SOFT = "#56646F"
RULE = "#DDD9CE"

TITLE_FACE = ["STIXGeneral", "DejaVu Sans"]
TEXT_FACE = ["DejaVu Sans"]
DPI = 150

_RC: dict[str, Any] = {
    "figure.dpi": DPI,
    "figure.facecolor": PAPER,
    "savefig.facecolor": PAPER,
    "axes.facecolor": "none",
    "axes.edgecolor": SOFT,
    "axes.linewidth": 0.8,
    "axes.spines.top": False,
    "axes.spines.right": False,
    "axes.labelcolor": SOFT,
    "axes.axisbelow": True,
    "xtick.color": SOFT,
    "ytick.color": SOFT,
    "xtick.labelsize": 8,
    "ytick.labelsize": 8,
    "xtick.major.size": 3,
    "ytick.major.size": 0,
    "text.color": INK,
    "text.parse_math": False,
    "font.family": TEXT_FACE,
    "font.size": 8.5,
    "hatch.linewidth": 0.7,
    "lines.solid_capstyle": "round",
    "svg.fonttype": "path",
    # Names inside an SVG come from this word instead of chance, so that two runs are the same file.
    "svg.hashsalt": "loop",
    "pdf.fonttype": 42,
}
# No dates, no versions: the same job gives the same file.
_METADATA: dict[Format, dict[str, None]] = {
    "png": {"Software": None},
    "svg": {"Date": None, "Creator": None},
    "pdf": {"CreationDate": None, "Creator": None, "Producer": None},
}


# The library keeps its settings for the whole process: two threads that set and restore them at
# once would draw in each other's and leave the wrong ones behind.
_ONE_AT_A_TIME = threading.RLock()


@contextlib.contextmanager
def in_style() -> Iterator[None]:
    """Context manager within which figures are made and written in this style.

    It starts from the library's own defaults, so that a reader's settings file changes nothing, and
    leaves the settings as they were. One thread at a time is let in, and may go in again.
    """
    with _ONE_AT_A_TIME, mpl_style.context(["default", _RC]):
        yield


def to_bytes(figure: Any, kind: Format) -> bytes:
    """The figure as a file's content, its headline as title; the same bytes for the same figure."""
    buffer = io.BytesIO()
    metadata = {**_METADATA[kind], "Title": figure.get_label() or None}
    with in_style():
        figure.savefig(buffer, format=kind, dpi=DPI, metadata=metadata)
    return buffer.getvalue()


def to_pixels(figure: Any) -> bytes:
    """The figure as a PPM file: the pixels of its PNG, which are opaque, without a fourth value."""
    with in_style():
        canvas = FigureCanvasAgg(figure)
        canvas.draw()
    pixels = np.asarray(canvas.buffer_rgba())[..., :3]
    return b"P6 %d %d 255\n" % pixels.shape[1::-1] + pixels.tobytes()
