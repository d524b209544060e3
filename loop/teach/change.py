"""The step of what would change a unit's flow most: the loop solved again, a change at a time."""

from collections.abc import Iterator

import numpy as np

from loop.check import CondenserResult
from loop.curve import Array
from loop.hydraulics import Cases, build, solve_flows
from loop.job import TRADE_BORES, JobError, locate
from loop.parts import Hose
from loop.records import dataclass
from loop.teach.calculation import Calculation
from loop.teach.hose import film_of
from loop.units import show
from loop.words.actions import ChangeHose
from loop.words.teaching.steps import CHANGES
from loop.words.template import Facts, fill

# How much of a part's loss is left, and how many parts the table shows.
LEFT, _SHOWN = 0.5, 4
# Bores that differ by less than this share are one size.
_ONE_SIZE = 1e-3


@dataclass(frozen=True)
class Tried:
    """A change of a part, by its row of words, and the flow of every line with it [m³/s]."""

    part: int
    row: str
    facts: Facts
    line_flow: Array


def change_steps(calc: Calculation) -> None:
    """Of each unit that gets water: its flow with each part's loss halved, or a hose's size."""
    if calc.result.point.flow <= 0:
        return
    tried = [*_halved(calc), *_sizes(calc)]
    for unit in calc.result.condensers:
        if unit.flow > 0 and tried:
            _most(calc, unit, tried)


def _halved(calc: Calculation) -> Iterator[Tried]:
    network = calc.network
    parts = [index for index, head in calc.heads.items() if head.value > 0]
    loss = np.ones((len(parts), len(network.parts)))
    loss[np.arange(len(parts)), parts] = LEFT
    flows = solve_flows(network, Cases(loss=loss), exact=True).line_flow if parts else ()
    for index, line_flow in zip(parts, flows, strict=True):
        yield Tried(index, "halved", {"part": network.labels[index]}, line_flow)


def _sizes(calc: Calculation) -> Iterator[Tried]:
    """Each hose in the next size up; where it holds air as it falls, in each smaller one too."""
    network, addresses = calc.network, [item.address for item in locate(calc.job.part)]
    for index, part in enumerate(network.parts):
        if not isinstance(part, Hose) or calc.flow(index).value == 0:
            continue
        bore = part.inner_bore
        sizes = [size for size in TRADE_BORES if size > bore * (1 + _ONE_SIZE)][:1]
        if film_of(calc, index)[1] > 0:
            sizes += [size for size in TRADE_BORES if size < bore * (1 - _ONE_SIZE)]
        for size in sizes:
            try:
                changed = ChangeHose((addresses[index],), size).apply(calc.job)
            except JobError:  # a bend too tight for this size
                continue
            facts: Facts = {"part": network.labels[index], "bore": size}
            yield Tried(index, "hose", facts, solve_flows(build(changed), exact=True).line_flow[0])


def _most(calc: Calculation, unit: CondenserResult, tried: list[Tried]) -> None:
    """The best change, and a table of the best of each part."""
    calc.begin("change", unit.name)
    line, system = calc.network.unit_line(unit.name), calc.system
    best: dict[int, Tried] = {}
    for one in sorted(tried, key=lambda one: -one.line_flow[line]):
        best.setdefault(one.part, one)
    ranked = list(best.values())
    flows = [float(one.line_flow[line]) for one in ranked]
    table = tuple(
        (
            fill(CHANGES[f"{one.row}-row"], one.facts, system),
            show(flow, "flow", system),
            f"{flow / unit.flow - 1:+.1%}".replace("-", "−"),
        )
        for one, flow in list(zip(ranked, flows, strict=True))[:_SHOWN]
    )
    change = {"change": fill(CHANGES[ranked[0].row], ranked[0].facts, system)}
    calc.step("best change", {}, flows[0], facts=change, table=table, again=True)
