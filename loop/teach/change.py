"""The step of what would change a unit's flow most: the loop solved again, a part at a time."""

import numpy as np

from loop.check import CondenserResult
from loop.hydraulics import Cases, solve_flows
from loop.teach.ledger import Notes
from loop.teach.reckoning import Reckoning
from loop.teach.step import Row, Sum
from loop.units import show

# How much of a part's loss is left, and how many parts are told of.
LEFT, _TOLD = 0.5, 4


def change_steps(reckoning: Reckoning) -> None:
    """Of each unit that gets water: its flow with the loss of each part halved."""
    network, ledger = reckoning.network, reckoning.ledger
    parts = [index for index, head in reckoning.heads.items() if head.value > 0]
    if not parts or reckoning.result.point.flow <= 0:
        return
    loss = np.ones((len(parts), len(network.parts)))
    loss[np.arange(len(parts)), parts] = LEFT
    flows = solve_flows(network, Cases(loss=loss)).line_flow
    for unit in reckoning.result.condensers:
        if unit.flow > 0:
            line = network.line_of[network.condenser_part(unit.name)]
            found = dict(zip(parts, flows[:, line].tolist(), strict=True))
            ledger.begin(
                f"What would change the {unit.name} unit's flow most", "change", of=unit.name
            )
            _most(reckoning, unit, found)


def _most(reckoning: Reckoning, unit: CondenserResult, found: dict[int, float]) -> None:
    network, system = reckoning.network, reckoning.job.units
    ranked = sorted(found, key=lambda index: -found[index])[:_TOLD]
    rows: tuple[Row, ...] = tuple(
        (
            network.labels[index],
            show(found[index], "flow", system),
            f"+{show(found[index] / unit.flow - 1, 'ratio', system, 1)}",
        )
        for index in ranked
    )
    best = ranked[0]
    reckoning.ledger.own_step(
        f"Flow with the loss of the {network.labels[best]} halved",
        Sum("Q_half_loss"),
        found[best],
        "flow",
        Notes(
            "found by trial: the loop solved again with one part's loss halved",
            "Halving the loss of any other part brings less.",
        ),
        rows,
    )
