"""Table of hose bores from a sizing: which pass, with what chance, and why the rest fail."""

import math
from collections.abc import Sequence
from typing import Any, Protocol

from matplotlib.patches import Rectangle

from loop.draw.style import INK, MIST, PAPER, RULE, RUST, SOFT, TEAL
from loop.draw.words import SMALL, Type
from loop.job import Job
from loop.units import System, bare, label
from loop.words import CODES
from loop.words.chance import chance
from loop.words.figures import SAY

_MOST_BORES = 12
# Type for a cell too narrow for its words on one line.
_FINE, _MOST_LINES = Type(6.0), 3
# Findings caused by hose that is too large rather than too small.
_OF_LARGE = ("air-held", "siphon-uncertain", "start-head-short")
# Findings of excess speed, because larger hoses let more water through.
_FAST = ("inlet-fast", "tube-fast", "beyond-curve")


class Sized(Protocol):
    """The fields of `loop.size.SizeResult` that this figure uses."""

    @property
    def job(self) -> Job:
        """The job that was sized."""

    @property
    def chosen(self) -> Job:
        """The job with the chosen option fitted, at worst service."""

    @property
    def least_draw(self) -> int | None:
        """Index of the passing option with the least total draw."""

    @property
    def options(self) -> Sequence[Any]:
        """The options, best first."""

    @property
    def choice(self) -> int | None:
        """Index of the chosen option."""

    @property
    def runner_up(self) -> int | None:
        """Index of the runner-up."""

    @property
    def front(self) -> Sequence[int]:
        """Indexes of the Pareto front: options that no other option beats in every respect."""


class Grid:
    """One pump: suction bores down, pressure bores across; what passes, and why the rest fail."""

    def __init__(self, sized: Sized, system: System) -> None:
        best = sized.options[sized.choice or 0]
        self.pump = best.choice.pump.name
        self.system = system
        same = [o for o in sized.options if _beside_bores(o) == _beside_bores(best)]
        self.rows = sorted({o.choice.suction_bore for o in same})[:_MOST_BORES]
        self.columns = sorted({o.choice.pressure_bore for o in same})[:_MOST_BORES]
        self.cells = {
            (self.rows.index(o.choice.suction_bore), self.columns.index(o.choice.pressure_bore)): o
            for o in reversed(same)
            if o.choice.suction_bore in self.rows and o.choice.pressure_bore in self.columns
        }
        self.best = best if sized.choice is not None else None

    @property
    def told(self) -> dict[str, str | None]:
        """Notes for the caption, each present only if some cell needs it."""
        cells = self.cells.values()
        sure = any(o.passes and math.isfinite(o.chance) for o in cells)
        large = any(not o.passes and _is_large(o) for o in cells)
        fast = any(o.reasons and o.reasons[0].code in _FAST for o in cells if not o.passes)
        rows = {"sure": "sizes-told-sure", "large": "sizes-told-large", "fast": "sizes-told-fast"}
        shown = {"sure": sure, "large": large, "fast": fast}
        return {name: SAY(row) if shown[name] else None for name, row in rows.items()}

    def draw(self, ax: Any, width: float) -> None:
        """Fills a panel of this width [in]: bores along its edges, one cell per option."""
        wide, high = len(self.columns), len(self.rows)
        ax.set_xlim(0, wide)
        ax.set_ylim(high, 0)
        for side in ("left", "bottom"):
            ax.spines[side].set_visible(False)
        ax.tick_params(length=0)
        ax.set_xticks([c + 0.5 for c in range(wide)], [self._bore(b) for b in self.columns])
        ax.set_yticks([r + 0.5 for r in range(high)], [self._bore(b) for b in self.rows])
        ax.set_xlabel(SAY("sizes-after-pump", unit=label("bore", self.system)), labelpad=4)
        ax.annotate(
            SAY("sizes-before-pump", unit=label("bore", self.system)), (0, 1), (0, 5),
            xycoords="axes fraction", textcoords="offset points", color=SOFT, va="bottom",
        )  # fmt: skip
        room = width / wide - 0.08
        for (row, column), option in self.cells.items():
            color = TEAL if option.passes else MIST if _is_large(option) else RULE
            ax.add_patch(_cell(column, row, color, option is self.best))
            lines, kind = _fit(_cell_words(option), room)
            ax.text(column + 0.5, row + 0.5, "\n".join(lines), ha="center", va="center",
                    linespacing=1.05, color=PAPER if option.passes else INK,
                    **kind.look)  # fmt: skip

    def _bore(self, bore: float) -> str:
        return bare(bore, "bore", self.system)


def _cell(column: int, row: int, color: str, chosen: bool) -> Any:
    edge = {"edgecolor": RUST, "linewidth": 2.4, "zorder": 3} if chosen else {"linewidth": 0}
    return Rectangle((column + 0.03, row + 0.06), 0.94, 0.88, facecolor=color, **edge)


def _beside_bores(option: Any) -> tuple[Any, ...]:
    """Everything in a choice except the hose bores."""
    choice = option.choice
    strainer = choice.strainer.name if choice.strainer else None
    kit = choice.pump.name, choice.count, choice.arrangement
    return *kit, choice.barb_bore, choice.seacock_bore, strainer


def _is_large(option: Any) -> bool:
    """Whether the first reason for failing is a hose that is too large."""
    return bool(option.reasons) and option.reasons[0].code in _OF_LARGE


def _cell_words(option: Any) -> str:
    """Text of a cell: the chance that it passes, or the finding's title."""
    if option.passes:
        if not math.isfinite(option.chance):
            return SAY("sizes-passes")
        return SAY("sizes-passes-by", chance=chance(option.chance))
    code = option.reasons[0].code if option.reasons else ""
    other = SAY("sizes-unsure" if code else "sizes-fails")
    return CODES[code].title.lower() if code in CODES else other


def _fit(text: str, room: float) -> tuple[list[str], Type]:
    """The text on one line, else in smaller type on up to three; anything longer is cut."""
    if SMALL.width(text) <= room:
        return [text], SMALL
    lines = _FINE.wrap(text, room)
    return lines[:_MOST_LINES], _FINE
