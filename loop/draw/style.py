"""Style of every figure: one palette, two typefaces, and reproducible files.

Each color has its own lightness, so a grayscale copy still tells the lines apart. Lines also
differ in dash and width, so nothing depends on color alone.
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

# From dark to light, about 17 steps of CIE lightness apart; a test enforces it.
INK = "#10263B"
RUST = "#9A2E1C"
TEAL = "#1A8A86"
AMBER = "#DFA23A"
MIST = "#D3E6EC"
PAPER = "#FCFAF5"
# For secondary text and rules; SOFT keeps a contrast of 4.5 to 1 on PAPER.
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
    # Fixed salt instead of random ids in an SVG, so that two runs give the same file.
    "svg.hashsalt": "loop",
    "pdf.fonttype": 42,
}
# No dates, no versions: the same job gives the same file.
_METADATA: dict[Format, dict[str, None]] = {
    "png": {"Software": None},
    "svg": {"Date": None, "Creator": None},
    "pdf": {"CreationDate": None, "Creator": None, "Producer": None},
}


# matplotlib keeps its settings per process: two threads that set and restore them at once would
# draw with each other's and leave the wrong ones behind.
_ONE_AT_A_TIME = threading.RLock()


@contextlib.contextmanager
def in_style() -> Iterator[None]:
    """Context manager that applies this style while figures are made and written.

    It starts from matplotlib's defaults, so a user's settings file has no effect, and restores the
    settings afterward. It holds a reentrant lock: one thread at a time.
    """
    with _ONE_AT_A_TIME, mpl_style.context(["default", _RC]):
        yield


def to_bytes(figure: Any, kind: Format) -> bytes:
    """The figure as file content, its headline as title; the same figure gives the same bytes."""
    buffer = io.BytesIO()
    metadata = {**_METADATA[kind], "Title": figure.get_label() or None}
    with in_style():
        figure.savefig(buffer, format=kind, dpi=DPI, metadata=metadata)
    return buffer.getvalue()


def to_pixels(figure: Any) -> bytes:
    """The figure as a PPM file: the pixels of its PNG without alpha, all of them opaque."""
    with in_style():
        canvas = FigureCanvasAgg(figure)
        canvas.draw()
    pixels = np.asarray(canvas.buffer_rgba())[..., :3]
    return b"P6 %d %d 255\n" % pixels.shape[1::-1] + pixels.tobytes()
