"""One density strip per unit: its flow over need across the Monte Carlo samples."""

from typing import Any

import numpy as np

from loop.draw.page import Page, frame
from loop.draw.scene import Scene
from loop.draw.spread import Spread, density
from loop.draw.style import INK, PAPER, RUST, SOFT, TEAL
from loop.draw.words import STRONG
from loop.records import dataclass
from loop.words.figures import SAY

# Height of a strip, and room above and below all strips [in].
_ROW, _OVER, _UNDER = 0.42, 0.1, 0.45
# Most strips drawn; with more units, those shortest of water.
_MOST = 8
# Share of samples with enough flow from which a unit is drawn as sure.
_SURE = 0.9
# The axis extends at least this far, in multiples of the need.
_BEYOND = 1.25
_PLACES = 300


@dataclass(frozen=True)
class Strips:
    """The strips of a job's units; of many, only those shortest of water."""

    scene: Scene
    draws: Spread

    @property
    def units(self) -> list[int]:
        """Indexes of the units drawn, in the job's order."""
        odds = (self.draws.over_need >= 1).mean(axis=0)
        return sorted(np.argsort(odds, kind="stable")[:_MOST].tolist())

    @property
    def height(self) -> float:
        """Height of all strips [in]."""
        return _UNDER + _OVER + _ROW * len(self.units)

    def draw(self, page: Page) -> None:
        """Draws the strips under the curves on one axis: flow over need."""
        units, draws = self.units, self.draws.over_need
        most = max(float(draws[:, units].max()) * 1.04, _BEYOND)
        ax = page.panel(0.75, _UNDER, 6.85, _ROW * len(units))
        frame(ax, (0.0, most), (0.0, float(len(units))), (SAY("strips-axis"), ""))
        ax.yaxis.set_visible(False)
        ax.axvline(1.0, color=TEAL, linewidth=1.6, linestyle=(0, (1.2, 1.4)))
        at = np.linspace(0.0, most, _PLACES)
        for row, number in enumerate(units):
            self._row(ax, at, float(len(units) - 1 - row), number)

    def _row(self, ax: Any, at: Any, base: float, number: int) -> None:
        flows = self.draws.over_need[:, number]
        height = base + 0.86 * density(flows, at)
        ax.fill_between(at, base, height, where=at >= 1, color=TEAL, alpha=0.55, linewidth=0)
        ax.fill_between(at, base, height, where=at <= 1, facecolor="none", edgecolor=RUST,
                        hatch="/////", linewidth=0)  # fmt: skip
        ax.plot(at, height, color=INK, linewidth=1.1)
        ax.axhline(base, color=SOFT, linewidth=0.6)
        name = STRONG.shorten(self.scene.job.condenser[number].name, 2.2)
        share = float((flows >= 1).mean())
        # Put the text on the side away from the peak of the density.
        left = float(np.median(flows)) > at[-1] / 2
        x, side = (at[-1] * 0.01, "left") if left else (at[-1] * 0.99, "right")
        ax.text(x, base + 0.3, f"{name}: {_odds(share, len(flows))}", ha=side, va="bottom",
                weight="bold", color=TEAL if share >= _SURE else RUST, size=8.5,
                bbox={"facecolor": PAPER, "edgecolor": "none", "pad": 1.0})  # fmt: skip


def _odds(share: float, count: int) -> str:
    """Text of the share of samples that give a unit its need."""
    if share in (0.0, 1.0):
        return SAY("curves-all", which="none" if share == 0 else "all", count=f"{count:,}")
    return SAY("curves-odds", share=min(max(round(100 * share), 1), 99))
