"""The result of a sizing: each option's spare flow and power, and why bores fail."""

import math
from collections.abc import Sequence
from typing import Any

from loop.draw.bores import Grid, Sized
from loop.draw.labels import Labels
from loop.draw.page import Page, frame, span
from loop.draw.scene import with_guesses
from loop.draw.style import INK, PAPER, RUST, SOFT, TEAL
from loop.draw.words import SMALL, STRONG, TEXT
from loop.units import System, convert, label, show
from loop.words.chance import chance
from loop.words.figures import SAY
from loop.words.template import listed

_LEFT, _WIDTH = 0.75, 6.85
_FRONT, _CELL = 2.9, 0.36
# Half the size of a mark [pt]; labels keep off it.
_MARK, _SMALL_MARK = 5.5, 3.0


def draw_sizes(sized: Sized, system: System) -> Any:
    """The figure ``sizes``."""
    grid, upright = Grid(sized, system), _Upright(sized, system)
    table = _CELL * len(grid.rows) + 0.62
    page = Page(
        _headline(sized, system),
        SAY("sizes", job=sized.job.title),
        with_guesses(SAY("sizes-caption", pump=grid.pump, **grid.told), sized.job),
        body=_FRONT + table + 1.2,
    )
    ax = page.panel(_LEFT, table + 0.85, _WIDTH, _FRONT)
    cells = page.panel(_LEFT, 0.5, _WIDTH, _CELL * len(grid.rows))
    _marks(sized, ax, upright)
    grid.draw(cells, _WIDTH)
    labels = Labels(page)
    _name(sized, ax, labels, upright)
    return page.figure


def _headline(sized: Sized, system: System) -> str:
    passing = sum(option.passes for option in sized.options)
    count = len(sized.options)
    if sized.choice is None:
        return SAY("sizes-none", count=count)
    best = sized.options[sized.choice]
    fit, sure = ", ".join(_words(best, system)), chance(best.chance)
    return SAY("sizes-fit", option=fit, chance=sure, passing=passing, count=count)


def _words(option: Any, system: System) -> tuple[str, str]:
    """The pump and the hoses of an option."""
    bores = dict.fromkeys(show(bore, "bore", system) for bore in option.choice.bores)
    pump, count = option.choice.pump.name, option.choice.count
    return SAY("sizes-pumps", count=count, pump=pump) if count > 1 else pump, listed([*bores])


class _Upright:
    """The vertical axis: power, or shut-off head if no pump file states a power."""

    def __init__(self, sized: Sized, system: System) -> None:
        self.power = any(math.isfinite(option.power) for option in sized.options)
        self.system = system

    @property
    def words(self) -> str:
        """Name of the axis."""
        if self.power:
            return SAY("sizes-axis-power")
        return SAY("sizes-axis-head", unit=label("head", self.system))

    def of(self, option: Any) -> float:
        """An option's value on the axis; NaN if it has none."""
        return float(
            option.power if self.power else convert(option.shutoff_head, "head", self.system)
        )

    def place(self, option: Any) -> tuple[float, float]:
        """An option's position on the panel: spare flow [%], and value on the vertical axis."""
        return 100 * float(option.margin), self.of(option)

    def shown(self, option: Any) -> bool:
        """Whether the option has a position on the panel."""
        return all(math.isfinite(value) for value in self.place(option))


def _marks(sized: Sized, ax: Any, upright: _Upright) -> None:
    """Draws every option: spare flow across, power or shut-off head up."""
    shown = [option for option in sized.options if upright.shown(option)]
    across, up = zip(*([upright.place(o) for o in shown] or [(0.0, 0.0)]), strict=True)
    low, high = span(min(up), max(up), 0.28)
    frame(ax, span(min(*across, 0.0), max(*across, 0.0), 0.08), (max(low, 0.0), high),
          (SAY("sizes-axis"), upright.words))  # fmt: skip
    ax.axvline(0.0, color=TEAL, linewidth=1.6, linestyle=(0, (1.2, 1.4)))
    for passes, look in (
        (False, {"color": SOFT, "markersize": 3.6, "markerfacecolor": PAPER,
                 "markeredgewidth": 0.8, "zorder": 2}),
        (True, {"color": TEAL, "markersize": 6, "zorder": 3}),
    ):  # fmt: skip
        _dots(ax, upright, [option for option in shown if option.passes == passes], **look)
    best = [option for i in sized.front if upright.shown(option := sized.options[i])]
    _dots(ax, upright, best, color=TEAL, markersize=7.5, markeredgecolor=INK, markeredgewidth=1.5,
          zorder=4)  # fmt: skip
    for position, color in ((sized.runner_up, INK), (sized.choice, RUST)):
        if position is not None and upright.shown(sized.options[position]):
            ax.plot(*upright.place(sized.options[position]), "o", color=color, markersize=10,
                    markeredgecolor=PAPER, markeredgewidth=1.6, zorder=5)  # fmt: skip


def _dots(ax: Any, upright: _Upright, options: Sequence[Any], **look: Any) -> None:
    """Draws all marks of one style as one line object: hundreds of objects draw slowly."""
    if options:
        ax.plot(*zip(*map(upright.place, options), strict=True), "o", **look)


def _name_pumps(sized: Sized, ax: Any, labels: Labels, upright: _Upright) -> None:
    """Labels each pump beside one of its marks, preferably at an end of the row."""
    rows: dict[str, list[tuple[float, float]]] = {}
    for option in sized.options:
        if upright.shown(option):
            rows.setdefault(option.choice.pump.name, []).append(upright.place(option))
    for pump, places in rows.items():
        ends = sorted(places)
        spots = dict.fromkeys([ends[0], ends[-1], *ends])
        labels.put(ax, SMALL.shorten(pump, 1.6), [*spots], "w e n s nw sw ne se", color=SOFT)


def _name(sized: Sized, ax: Any, labels: Labels, upright: _Upright) -> None:
    marked = {*sized.front, sized.choice, sized.runner_up}
    for number, option in enumerate(sized.options):
        if upright.shown(option):
            half = _MARK if number in marked else _SMALL_MARK
            labels.occupy(ax, *upright.place(option), (half, half))
    labels.avoid(ax, (0.0, 0.0), ax.get_ylim(), wide=9.0)
    told = (
        (sized.choice, "sizes-choice", RUST, STRONG),
        (sized.runner_up, "sizes-runner-up", INK, TEXT),
    )
    for position, word, color, kind in told:
        if position is None or not upright.shown(sized.options[position]):
            continue
        option = sized.options[position]
        pump, hose = _words(option, upright.system)
        words = "\n".join([f"{SAY(word)}:", f"{kind.shorten(pump, 2.6)},", *kind.wrap(hose, 1.75)])
        labels.put(ax, words, [upright.place(option)],
                   "se ne nw e w sw n s", lead=0.0, color=color, weight=kind.weight)  # fmt: skip
    _name_pumps(sized, ax, labels, upright)
    bottom, top = ax.get_ylim()
    spots = [(0.0, bottom + share * (top - bottom)) for share in (0.94, 0.05, 0.8, 0.5)]
    labels.put(ax, SAY("sizes-need"), spots, "e w", color=TEAL, weight="bold")
