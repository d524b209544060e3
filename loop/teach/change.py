"""The step of what would change a unit's flow most: the loop solved again, a part at a time."""

import numpy as np

from loop.check import CondenserResult
from loop.hydraulics import Cases, solve_flows
from loop.teach.calculation import Calculation
from loop.units import show

# How much of a part's loss is left, and how many parts the table shows.
LEFT, _SHOWN = 0.5, 4


def change_steps(calc: Calculation) -> None:
    """Of each unit that gets water: its flow with the loss of each part halved."""
    network = calc.network
    parts = [index for index, head in calc.heads.items() if head.value > 0]
    if not parts or calc.result.point.flow <= 0:
        return
    loss = np.ones((len(parts), len(network.parts)))
    loss[np.arange(len(parts)), parts] = LEFT
    flows = solve_flows(network, Cases(loss=loss)).line_flow
    for unit in calc.result.condensers:
        if unit.flow > 0:
            line = network.line_of[network.condenser_part(unit.name)]
            _most(calc, unit, dict(zip(parts, flows[:, line].tolist(), strict=True)))


def _most(calc: Calculation, unit: CondenserResult, found: dict[int, float]) -> None:
    calc.begin("change", unit.name)
    labels, system = calc.network.labels, calc.system
    ranked = sorted(found, key=lambda index: -found[index])
    best = ranked[0]
    table = tuple(
        (
            labels[index],
            show(found[index], "flow", system),
            f"{found[index] / unit.flow - 1:+.1%}".replace("-", "−"),
        )
        for index in ranked[:_SHOWN]
    )
    part = {"part": labels[best]}
    calc.step("half loss", {}, found[best], facts=part, table=table, again=True)
