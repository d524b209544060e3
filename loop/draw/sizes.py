"""The answer of a sizing: what each option has to spare and draws, and why bores fail."""

import math
from collections.abc import Sequence
from typing import Any, Protocol

from matplotlib.patches import Rectangle

from loop.draw.labels import Labels
from loop.draw.page import Page, frame, span
from loop.draw.style import INK, MIST, PAPER, RULE, RUST, SOFT, TEAL
from loop.draw.words import SMALL, STRONG, TEXT, Type
from loop.job import Job
from loop.units import System, convert, label, show

_LEFT, _WIDTH = 0.75, 6.85
_FRONT, _CELL = 2.5, 0.31
_MOST_BORES = 12


class Sized(Protocol):
    """What this figure needs of a sizing's answer; see `loop.size.SizeResult`."""

    @property
    def job(self) -> Job:
        """The job that was sized."""

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


def draw_sizes(sized: Sized, system: System) -> Any:
    """The figure ``sizes``."""
    grid, upright = _Grid(sized, system), _Upright(sized, system)
    table = _CELL * len(grid.rows) + 0.62
    page = Page(
        _headline(sized, system),
        f"{sized.job.title}: the options of its sizing",
        "Every option at its worst service. Full marks pass, hollow ones fail; ringed are those "
        "that no other beats in every respect (flow, power, price, bore). Below: hose bores with "
        f"{grid.pump}; a hose that is too small fails on flow or speed, one that is too large on "
        "air, start or slowness.",
        body=_FRONT + table + 1.2,
    )
    ax = page.panel(_LEFT, table + 0.85, _WIDTH, _FRONT)
    cells = page.panel(_LEFT, 0.5, _WIDTH, _CELL * len(grid.rows))
    _marks(sized, ax, upright)
    grid.draw(cells)
    labels = Labels(page)
    _name(sized, ax, labels, upright)
    return page.figure


def _headline(sized: Sized, system: System) -> str:
    passing = sum(option.passes for option in sized.options)
    count = len(sized.options)
    if sized.choice is None:
        return f"None of {count} options passes"
    best = sized.options[sized.choice]
    sure = f"{_chance(best.chance)} sure"
    return f"Fit {_words(best, system)} hose, {sure}; {passing} of {count} options pass"


def _chance(chance: float) -> str:
    """A chance in words; no number of draws makes a certainty."""
    return "over 99%" if chance > 0.99 else f"{chance:.0%}"


def _words(option: Any, system: System) -> str:
    before, after = (
        show(bore, "bore", system)
        for bore in (option.choice.suction_bore, option.choice.pressure_bore)
    )
    hose = before if before == after else f"{before} and {after}"
    return f"{option.choice.pump.name}, {hose}"


class _Upright:
    """What the upright axis shows: power, or shut-off head where no pump's file states a power."""

    def __init__(self, sized: Sized, system: System) -> None:
        self.power = any(math.isfinite(option.power) for option in sized.options)
        self.system = system

    @property
    def words(self) -> str:
        """Name of the axis."""
        if self.power:
            return "pump's power, W"
        return f"pump's head at no flow, {label('head', self.system)}"

    def of(self, option: Any) -> float:
        """An option's place on the axis; NaN where it has none."""
        return float(
            option.power if self.power else convert(option.shutoff_head, "head", self.system)
        )

    def place(self, option: Any) -> tuple[float, float]:
        """An option's place on the panel: flow to spare [%], and the upright."""
        return 100 * float(option.margin), self.of(option)

    def shown(self, option: Any) -> bool:
        """Whether the option has a place on the panel."""
        return all(math.isfinite(value) for value in self.place(option))


def _marks(sized: Sized, ax: Any, upright: _Upright) -> None:
    """Every option: flow to spare across, power upright."""
    shown = [option for option in sized.options if upright.shown(option)]
    across, up = zip(*([upright.place(o) for o in shown] or [(0.0, 0.0)]), strict=True)
    frame(ax, span(min(*across, 0.0), max(*across, 0.0), 0.08), span(min(up), max(up), 0.28),
          ("flow to spare over the need, in all but unlikely cases, %", upright.words))  # fmt: skip
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
    """One line object for all marks of a look: hundreds of objects take their time to draw."""
    if options:
        ax.plot(*zip(*map(upright.place, options), strict=True), "o", **look)


def _name(sized: Sized, ax: Any, labels: Labels, upright: _Upright) -> None:
    for option in sized.options:
        if upright.shown(option):
            x, y = upright.place(option)
            labels.avoid(ax, (x, x), (y, y), wide=6.0)
    labels.avoid(ax, (0.0, 0.0), ax.get_ylim(), wide=2.0)
    told = (
        (sized.choice, "choice", RUST, STRONG),
        (sized.runner_up, "runner-up", INK, TEXT),
    )
    for position, word, color, kind in told:
        if position is None or not upright.shown(sized.options[position]):
            continue
        option = sized.options[position]
        pump, hose = _words(option, upright.system).rsplit(", ", 1)
        words = f"{word}:\n{kind.shorten(pump, 2.6)},\n{kind.shorten(hose, 2.6)}"
        labels.put(ax, words, [upright.place(option)],
                   "se ne nw e w sw n s", color=color, weight=kind.weight)  # fmt: skip
    bottom, top = ax.get_ylim()
    spots = [(0.0, bottom + share * (top - bottom)) for share in (0.94, 0.05, 0.8, 0.5)]
    labels.put(ax, "just the need", spots, "e w", color=TEAL, weight="bold")


class _Grid:
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

    def draw(self, ax: Any) -> None:
        """Fills the panel: bores at its edges, a cell an option."""
        wide, high = len(self.columns), len(self.rows)
        ax.set_xlim(0, wide)
        ax.set_ylim(high, 0)
        for side in ("left", "bottom"):
            ax.spines[side].set_visible(False)
        ax.tick_params(length=0)
        ax.set_xticks([c + 0.5 for c in range(wide)], [self._bore(b) for b in self.columns])
        ax.set_yticks([r + 0.5 for r in range(high)], [self._bore(b) for b in self.rows])
        ax.set_xlabel(f"hose after the pump, {label('bore', self.system)}", labelpad=4)
        ax.annotate(
            f"hose before it, {label('bore', self.system)}", (0, 1), (0, 5),
            xycoords="axes fraction", textcoords="offset points", color=SOFT, va="bottom",
        )  # fmt: skip
        kind = SMALL
        room = _WIDTH / wide - 0.08
        for (row, column), option in self.cells.items():
            color = TEAL if option.passes else MIST if _is_large(option) else RULE
            ax.add_patch(_cell(column, row, color, option is self.best))
            text = _fit(_cell_words(option), kind, room)
            if text:
                ax.text(column + 0.5, row + 0.5, text, ha="center", va="center",
                        color=PAPER if option.passes else INK, **kind.look)  # fmt: skip

    def _bore(self, bore: float) -> str:
        return show(bore, "bore", self.system).removesuffix(f" {label('bore', self.system)}")


def _cell(column: int, row: int, color: str, chosen: bool) -> Any:
    edge = {"edgecolor": RUST, "linewidth": 2.4, "zorder": 3} if chosen else {"linewidth": 0}
    return Rectangle((column + 0.03, row + 0.06), 0.94, 0.88, facecolor=color, **edge)


def _beside_bores(option: Any) -> tuple[Any, ...]:
    """All of a choice but its hoses' bores."""
    choice = option.choice
    strainer = choice.strainer.name if choice.strainer else None
    return choice.pump.name, choice.barb_bore, choice.seacock_bore, strainer


def _is_large(option: Any) -> bool:
    """Whether the first reason for failing is that of a hose that is too large."""
    first = option.reasons[0] if option.reasons else ""
    return first.startswith("air") or "too slow" in first


def _cell_words(option: Any) -> list[str]:
    """Words for a cell, the fullest first."""
    if option.passes:
        return [f"passes, {_chance(option.chance)}", _chance(option.chance)]
    first = option.reasons[0] if option.reasons else "fails"
    if "too slow" in first or "too fast" in first:
        return ["too slow" if "too slow" in first else "too fast"]
    return [first.split(":")[0]]


def _fit(texts: list[str], kind: Type, room: float) -> str:
    return next((text for text in texts if kind.width(text) <= room), "")
