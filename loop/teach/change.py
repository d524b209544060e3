"""The most effective change of a unit's flow: all are tried, the best solved exactly."""

from collections.abc import Iterator, Sequence
from itertools import zip_longest

import numpy as np
from numpy.typing import NDArray

from loop.check import CondenserResult
from loop.curve import Array
from loop.hydraulics import Cases, build, solve_flows
from loop.hydraulics.clearing import clearing_froude
from loop.job import TRADE_BORES, JobError, locate
from loop.parts import Hose
from loop.parts.friction import GRAVITY
from loop.records import dataclass
from loop.teach.calculation import Calculation
from loop.teach.hose import film_of
from loop.units import show
from loop.words.actions import ChangeHose
from loop.words.teaching.steps import CHANGES
from loop.words.template import Facts, fill

# Loss factor of the change that halves a part's loss, and the number of parts in the table.
LEFT, _SHOWN = 0.5, 4
# Bores that differ by less than this share are the same size.
_ONE_SIZE = 1e-3
# Relative error of a flow on the tables, beyond their common offset; and with a hose of another
# size, which also changes tees and steps of bore.
_OFF, _OFF_SIZED = 1e-4, 1e-2
# Flow factor for deciding whether a section may fill: the change, and sections that fill before it,
# raise the flow further.
_HARDLY = 1.3
# Most hoses of another size that are solved exactly, the most promising first; and most parts, of
# all their networks together.
_MOST, _MOST_PARTS = 60, 16_000
# Decimals of the relative flow to which two changes are distinguished.
_APART = 6


@dataclass(frozen=True)
class Change:
    """A change of a part, by its row of words: a hose of another `size`, ``airy`` where it holds
    air now, or a loss halved.
    """

    part: int
    row: str
    facts: Facts
    size: float | None = None
    airy: bool = False


def change_steps(calc: Calculation) -> None:
    """For each unit with water: its flow with each part's loss halved, or a hose's size changed."""
    if calc.result.point.flow <= 0:
        return
    units = [unit for unit in calc.result.condensers if unit.flow > 0]
    changes = [*_halved(calc), *_sizes(calc)]
    if not (units and changes):
        return
    tried = _Tried(calc, changes)
    tried.settle([calc.network.unit_line(unit.name) for unit in units])
    for unit in units:
        _most(calc, unit, tried)


def _halved(calc: Calculation) -> Iterator[Change]:
    for index, head in calc.heads.items():
        if head.value > 0:
            yield Change(index, "halved", {"part": calc.network.labels[index]})


def _sizes(calc: Calculation) -> Iterator[Change]:
    """Each hose in the next size up; where its falling leg holds air, in each smaller one too."""
    for index, part in enumerate(calc.network.parts):
        if not isinstance(part, Hose) or calc.flow(index).value == 0:
            continue
        bore, airy = part.inner_bore, film_of(calc, index)[1] > 0
        sizes = [size for size in TRADE_BORES if size > bore * (1 + _ONE_SIZE)][:1]
        if airy:
            sizes += [size for size in TRADE_BORES if size < bore * (1 - _ONE_SIZE)]
        for size in sizes:
            yield Change(
                index, "hose", {"part": calc.network.labels[index], "bore": size}, size, airy
            )


class _Tried:
    """Changes, and the flow of every line with each: an upper estimate, or solved exactly.

    ``flows`` : (changes, lines) [m³/s]; −∞ for a change that no hose allows.
    """

    def __init__(self, calc: Calculation, changes: Sequence[Change]) -> None:
        self._calc, self.changes = calc, changes
        self._addresses = [item.address for item in locate(calc.job.part)]
        point = calc.result.point
        # The tables' error on the existing loop also applies to loops near it.
        self._sized = np.array([one.size is not None for one in changes])
        share = np.where(self._sized, _OFF_SIZED, _OFF)[:, None]
        off = point.line_flow - point.on_tables + share * np.abs(point.line_flow)
        self.flows = self._at_most() + off
        self._exact: NDArray[np.bool_] = np.zeros(len(changes), dtype=bool)

    def best(self, line: int, exact: bool = True) -> list[int]:
        """The best change of each part for the flow of a line, highest flow first.

        Among those solved exactly, or else among all with their upper estimates.
        """
        flows = np.where(self._exact | (not exact), self.flows[:, line], -np.inf)
        shares = np.round(flows / self._calc.result.point.line_flow[line], _APART)
        best: dict[int, int] = {}
        for number in np.argsort(-shares, kind="stable").tolist():
            if flows[number] > -np.inf:
                best.setdefault(self.changes[number].part, number)
        return list(best.values())[:_SHOWN]

    def settle(self, lines: Sequence[int]) -> None:
        """Solves exactly the best changes for these lines, and all that may exceed them."""
        sized = self._sized
        most = min(_MOST, max(_MOST_PARTS // len(self._calc.network.parts), 1))
        while (spare := most - int((self._exact & sized).sum())) > 0:
            best = zip_longest(*(self.best(line, exact=False) for line in lines))
            some = dict.fromkeys(number for rank in best for number in rank if number is not None)
            left = np.array([n for n in some if not self._exact[n]], dtype=np.intp)
            left = np.sort(left[~sized[left] | (np.cumsum(sized[left]) <= spare)])
            if not len(left):
                return
            self._exact[left] = True
            halved = left[~sized[left]]
            if len(halved):
                cases = Cases(loss=self._factors(halved))
                near, network = self._calc.result.point.line_flow, self._calc.network
                found = solve_flows(network, cases, exact=True, start=near)
                self.flows[halved] = found.line_flow
            for number in left[sized[left]].tolist():
                self.flows[number] = self._with_hose(self.changes[number])

    def _at_most(self) -> Array:
        """Flows on the tables; for a hose that holds air, also without air where it may fill.

        The larger flow counts. Ignores what a size does to other losses and legs.
        """
        network, point = self._calc.network, self._calc.result.point
        loss = self._factors(np.arange(len(self.changes)))
        flows = np.empty((len(loss), len(network.lines)))
        sized = self._sized
        for some, loop in ((~sized, network), (sized, network.varied(air=None))):
            if some.any():
                flows[some] = solve_flows(
                    loop, Cases(loss=loss[some]), start=point.on_tables
                ).line_flow
        air = np.tile(np.array(network.air or (), dtype=bool), (len(loss), 1))
        for row, one in enumerate(self.changes):
            if one.airy:
                air[row, self._may_fill(one, flows[row])] = False
        fuller = np.flatnonzero((air != np.array(network.air or ())).any(axis=1))
        if len(fuller):
            cases = Cases(loss=loss[fuller], air=air[fuller])
            found = solve_flows(network, cases, start=point.on_tables).line_flow
            flows[fuller] = np.maximum(flows[fuller], found)
        return flows

    def _may_fill(self, one: Change, flows: Array) -> list[int]:
        """Sections on a hose of another size that these flows may clear of air."""
        network, size = self._calc.network, one.size or 0.0
        valves = {number for leg in network.legs if leg.tested for number in leg.sections}
        wave = float(np.pi / 4 * size**2 * np.sqrt(GRAVITY * size))
        found = []
        for number, section in enumerate(network.sections):
            slopes = [piece.slope for piece in section.pieces if piece.part == one.part]
            if slopes and (
                number in valves
                or _HARDLY * flows[section.line] > clearing_froude(max(slopes))[1] * wave
            ):
                found.append(number)
        return found

    def _factors(self, rows: NDArray[np.intp]) -> Array:
        """Factor on each part's loss with each of these changes, (n, parts).

        For a hose of another size, its factor at the flow of the existing loop.
        """
        loss = np.ones((len(rows), len(self._calc.network.parts)))
        for row, one in zip(loss, (self.changes[n] for n in rows.tolist()), strict=True):
            row[one.part] = LEFT if one.size is None else self._of_size(one.part, one.size)
        return loss

    def _of_size(self, part: int, size: float) -> float:
        network, flow = self._calc.network, self._calc.flow(part).value
        hose = network.parts[part].model_copy(update={"bore": size})
        return float(hose.head_loss(flow, network.water)) / network.head_loss(part, flow)

    def _with_hose(self, one: Change) -> Array:
        assert one.size is not None
        try:
            changed = ChangeHose((self._addresses[one.part],), one.size).apply(self._calc.job)
        except JobError:  # a bend too tight for this size
            return np.full(len(self._calc.network.lines), -np.inf)
        flows: Array = solve_flows(build(changed), exact=True).line_flow[0]
        return flows


def _most(calc: Calculation, unit: CondenserResult, tried: _Tried) -> None:
    """The best change, and a table of the best change of each part."""
    line, system = calc.network.unit_line(unit.name), calc.system
    ranked = tried.best(line)
    if not ranked:
        return
    calc.begin("change", unit.name)
    flows = [float(tried.flows[number, line]) for number in ranked]
    table = tuple(
        (
            fill(CHANGES[f"{one.row}-row"], one.facts, system),
            show(flow, "flow", system),
            f"{flow / unit.flow - 1:+.1%}".replace("-", "−"),
        )
        for one, flow in zip(map(tried.changes.__getitem__, ranked), flows, strict=True)
    )
    first = tried.changes[ranked[0]]
    change = {"change": fill(CHANGES[first.row], first.facts, system)}
    calc.step("best change", {}, flows[0], facts=change, table=table, again=True)
