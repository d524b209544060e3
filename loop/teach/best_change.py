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
from loop.words.speaker import called
from loop.words.teaching.steps import CHANGES
from loop.words.template import Fact, Facts, fill

# Loss factor of the change that halves a part's loss, and the number of parts in the table.
HALF, _ROWS_SHOWN = 0.5, 4
# Bores that differ by less than this share are the same size.
_SAME_SIZE = 1e-3
# Relative error of a flow on the tables, beyond their common offset; and with a hose of another
# size, which also changes tees and steps of bore.
_TABLE_ERROR, _TABLE_ERROR_SIZED = 1e-4, 1e-2
# Flow factor for deciding whether a section may fill: the change, and sections that fill before it,
# raise the flow further.
_FILL_MARGIN = 1.3
# Most hoses of another size that are solved exactly, the most promising first; and most parts, of
# all their networks together.
_MAX_SIZES_SOLVED, _MAX_PARTS_SOLVED = 60, 16_000
# Decimals of the relative flow to which two changes are distinguished.
_FLOW_DECIMALS = 6


@dataclass(frozen=True)
class Change:
    """A change of a part, by its row of words: a hose of another `size`, or a loss halved.

    ``holds_air``: whether the hose holds air now.
    """

    part: int
    row: str
    facts: Facts
    size: float | None = None
    holds_air: bool = False


def change_steps(calc: Calculation) -> None:
    """For each unit with water: its flow with each part's loss halved, or a hose's size changed."""
    if calc.result.point.flow <= 0:
        return
    units = [unit for unit in calc.result.condensers if unit.flow > 0]
    changes = [*_halved(calc), *_resized(calc)]
    if not (units and changes):
        return
    trials = _Trials(calc, changes)
    trials.solve_exactly([calc.network.unit_line(unit.name) for unit in units])
    for unit in units:
        _best_change(calc, unit, trials)


def _halved(calc: Calculation) -> Iterator[Change]:
    for index, head in calc.heads.items():
        if head.value > 0:
            yield Change(index, "halved", _named(calc, index))


def _resized(calc: Calculation) -> Iterator[Change]:
    """Each hose in the next size up; where its falling leg holds air, in each smaller one too."""
    for index, part in enumerate(calc.network.parts):
        if not isinstance(part, Hose) or calc.flow(index).value == 0:
            continue
        bore, holds_air = part.inner_bore, film_of(calc, index)[1] > 0
        sizes = [size for size in TRADE_BORES if size > bore * (1 + _SAME_SIZE)][:1]
        if holds_air:
            sizes += [size for size in TRADE_BORES if size < bore * (1 - _SAME_SIZE)]
        for size in sizes:
            facts = {**_named(calc, index), "bore": size}
            yield Change(index, "hose", facts, size, holds_air)


def _named(calc: Calculation, index: int) -> dict[str, Fact]:
    label = calc.network.labels[index]
    return {"part": label, "the_part": called(label)}


class _Trials:
    """Changes, and the flow of every line with each: an upper estimate, or solved exactly.

    ``flows`` : (changes, lines) [m³/s]; −∞ for a change that no hose allows.
    """

    def __init__(self, calc: Calculation, changes: Sequence[Change]) -> None:
        self._calc, self.changes = calc, changes
        self._addresses = [item.address for item in locate(calc.job.part)]
        point = calc.result.point
        # The tables' error on the existing loop also applies to loops near it.
        self._is_resized = np.array([one.size is not None for one in changes])
        error_share = np.where(self._is_resized, _TABLE_ERROR_SIZED, _TABLE_ERROR)[:, None]
        table_error = point.line_flow - point.on_tables + error_share * np.abs(point.line_flow)
        self.flows = self._upper_estimates() + table_error
        self._exact: NDArray[np.bool_] = np.zeros(len(changes), dtype=bool)

    def best(self, line: int, exact: bool = True) -> list[int]:
        """The best change of each part for the flow of a line, highest flow first.

        Among those solved exactly, or else among all with their upper estimates.
        """
        flows = np.where(self._exact | (not exact), self.flows[:, line], -np.inf)
        ratios = np.round(flows / self._calc.result.point.line_flow[line], _FLOW_DECIMALS)
        best: dict[int, int] = {}
        for number in np.argsort(-ratios, kind="stable").tolist():
            if flows[number] > -np.inf:
                best.setdefault(self.changes[number].part, number)
        return list(best.values())[:_ROWS_SHOWN]

    def solve_exactly(self, lines: Sequence[int]) -> None:
        """Solves exactly the best changes for these lines, and all that may exceed them."""
        resized = self._is_resized
        limit = min(_MAX_SIZES_SOLVED, max(_MAX_PARTS_SOLVED // len(self._calc.network.parts), 1))
        while (budget := limit - int((self._exact & resized).sum())) > 0:
            best = zip_longest(*(self.best(line, exact=False) for line in lines))
            candidates = dict.fromkeys(
                number for rank in best for number in rank if number is not None
            )
            numbers = np.array([n for n in candidates if not self._exact[n]], dtype=np.intp)
            numbers = np.sort(numbers[~resized[numbers] | (np.cumsum(resized[numbers]) <= budget)])
            if not len(numbers):
                return
            self._exact[numbers] = True
            halved = numbers[~resized[numbers]]
            if len(halved):
                cases = Cases(loss=self._factors(halved))
                start, network = self._calc.result.point.line_flow, self._calc.network
                found = solve_flows(network, cases, exact=True, start=start)
                self.flows[halved] = found.line_flow
            for number in numbers[resized[numbers]].tolist():
                self.flows[number] = self._with_hose(self.changes[number])

    def _upper_estimates(self) -> Array:
        """Flows on the tables; for a hose that holds air, also without air where it may fill.

        The larger flow counts. Ignores what a size does to other losses and legs.
        """
        network, point = self._calc.network, self._calc.result.point
        loss = self._factors(np.arange(len(self.changes)))
        flows = np.empty((len(loss), len(network.lines)))
        resized = self._is_resized
        for rows, variant in ((~resized, network), (resized, network.varied(air=None))):
            if rows.any():
                flows[rows] = solve_flows(
                    variant, Cases(loss=loss[rows]), start=point.on_tables
                ).line_flow
        air = np.tile(np.array(network.air or (), dtype=bool), (len(loss), 1))
        for row, change in enumerate(self.changes):
            if change.holds_air:
                air[row, self._may_fill(change, flows[row])] = False
        may_fill = np.flatnonzero((air != np.array(network.air or ())).any(axis=1))
        if len(may_fill):
            cases = Cases(loss=loss[may_fill], air=air[may_fill])
            found = solve_flows(network, cases, start=point.on_tables).line_flow
            flows[may_fill] = np.maximum(flows[may_fill], found)
        return flows

    def _may_fill(self, change: Change, flows: Array) -> list[int]:
        """Sections on a hose of another size that these flows may clear of air."""
        network, size = self._calc.network, change.size or 0.0
        valves = {
            number for leg in network.legs if leg.depends_on_pressure for number in leg.sections
        }
        wave = float(np.pi / 4 * size**2 * np.sqrt(GRAVITY * size))
        found = []
        for number, section in enumerate(network.sections):
            slopes = [piece.slope for piece in section.pieces if piece.part == change.part]
            if slopes and (
                number in valves
                or _FILL_MARGIN * flows[section.line] > clearing_froude(max(slopes))[1] * wave
            ):
                found.append(number)
        return found

    def _factors(self, rows: NDArray[np.intp]) -> Array:
        """Factor on each part's loss with each of these changes, (n, parts).

        For a hose of another size, its factor at the flow of the existing loop.
        """
        loss = np.ones((len(rows), len(self._calc.network.parts)))
        for row, change in zip(loss, (self.changes[n] for n in rows.tolist()), strict=True):
            row[change.part] = (
                HALF if change.size is None else self._size_factor(change.part, change.size)
            )
        return loss

    def _size_factor(self, part: int, size: float) -> float:
        network, flow = self._calc.network, self._calc.flow(part).value
        hose = network.parts[part].model_copy(update={"bore": size})
        return float(hose.head_loss(flow, network.water)) / network.head_loss(part, flow)

    def _with_hose(self, change: Change) -> Array:
        assert change.size is not None
        try:
            changed = ChangeHose((self._addresses[change.part],), change.size).apply(self._calc.job)
        except JobError:  # a bend too tight for this size
            return np.full(len(self._calc.network.lines), -np.inf)
        flows: Array = solve_flows(build(changed), exact=True).line_flow[0]
        network, before = self._calc.network, self._calc.result.point.flow
        narrower = change.size < network.parts[change.part].inner_bore
        if narrower and flows[network.pump_line] < before:  # only takes water from other units
            return np.full(len(flows), -np.inf)
        return flows


def _best_change(calc: Calculation, unit: CondenserResult, trials: _Trials) -> None:
    """The best change, and a table of the best change of each part."""
    line, system = calc.network.unit_line(unit.name), calc.system
    ranked = trials.best(line)
    if not ranked:
        return
    calc.begin_section("change", unit.name)
    flows = [float(trials.flows[number, line]) for number in ranked]
    table = tuple(
        (
            fill(CHANGES[f"{one.row}-row"], one.facts, system),
            show(flow, "flow", system),
            f"{flow / unit.flow - 1:+.1%}".replace("-", "−"),
        )
        for one, flow in zip(map(trials.changes.__getitem__, ranked), flows, strict=True)
    )
    best = trials.changes[ranked[0]]
    change = {"change": fill(CHANGES[best.row], best.facts, system)}
    calc.step("best change", {}, flows[0], facts=change, table=table, repeat=True)
