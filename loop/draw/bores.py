"""Hose bores of a sizing in a table: which pass, how surely, and why the rest fail."""

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
# In a cell that is too narrow for its words on one line.
_FINE, _MOST_LINES = Type(6.0), 3
# Findings of a hose that is too large rather than too small.
_OF_LARGE = ("air-held", "siphon-uncertain", "start-head-short")
# Of what is too fast because the hoses let more water through.
_FAST = ("inlet-fast", "tube-fast", "beyond-curve")


class Sized(Protocol):
    """What this figure needs of a sizing's answer; see `loop.size.SizeResult`."""

    @property
    def job(self) -> Job:
        """The job that was sized."""

    @property
    def chosen(self) -> Job:
        """The job with the choice fitted, at its worst service."""

    @property
    def least_draw(self) -> int | None:
        """Position of the option that passes with the least total draw."""

    @property
    def options(self) -> Sequence[Any]:
        """The options, best first."""

    @property
    def choice(self) -> int | None:
        """Position of the one chosen."""

    @property
    def runner_up(self) -> int | None:
        """Position of the next."""

    @property
    def front(self) -> Sequence[int]:
        """Positions of those that no other beats in every respect."""


class Grid:
    """Suction bores down, pressure bores across, one pump: what passes, and why the rest fails."""

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
        """What the caption says of the cells, where they have it."""
        cells = self.cells.values()
        sure = any(o.passes and math.isfinite(o.chance) for o in cells)
        large = any(not o.passes and _is_large(o) for o in cells)
        fast = any(o.reasons and o.reasons[0].code in _FAST for o in cells if not o.passes)
        rows = {"sure": "sizes-told-sure", "large": "sizes-told-large", "fast": "sizes-told-fast"}
        shown = {"sure": sure, "large": large, "fast": fast}
        return {name: SAY(row) if shown[name] else None for name, row in rows.items()}

    def draw(self, ax: Any, width: float) -> None:
        """Fills a panel of this width [in]: bores at its edges, a cell an option."""
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
    """All of a choice but its hoses' bores."""
    choice = option.choice
    strainer = choice.strainer.name if choice.strainer else None
    kit = choice.pump.name, choice.count, choice.arrangement
    return *kit, choice.barb_bore, choice.seacock_bore, strainer


def _is_large(option: Any) -> bool:
    """Whether the first reason for failing is that of a hose that is too large."""
    return bool(option.reasons) and option.reasons[0].code in _OF_LARGE


def _cell_words(option: Any) -> str:
    """Words for a cell: how surely it passes, or a finding's title, as every list has it."""
    if option.passes:
        if not math.isfinite(option.chance):
            return SAY("sizes-passes")
        return SAY("sizes-passes-by", chance=chance(option.chance))
    code = option.reasons[0].code if option.reasons else ""
    other = SAY("sizes-unsure" if code else "sizes-fails")
    return CODES[code].title.lower() if code in CODES else other


def _fit(text: str, room: float) -> tuple[list[str], Type]:
    """The words on one line of a cell, or smaller on up to three; cut where they are too long."""
    if SMALL.width(text) <= room:
        return [text], SMALL
    lines = _FINE.wrap(text, room)
    return lines[:_MOST_LINES], _FINE
