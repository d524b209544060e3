"""The steps of a flow's band, and of what a dirty strainer leaves of it."""

import math

import numpy as np

from loop.check.result import CondenserResult
from loop.hydraulics import solve_flows
from loop.hydraulics.band import BORE, LOSS, PUMP_FLOW, PUMP_HEAD, band_shifts
from loop.teach.ledger import Notes
from loop.teach.reckoning import Reckoning
from loop.teach.step import Sum, Value
from loop.units import show

# What is shifted, in the order of `band_shifts`, two rows each.
_SHIFTED = (
    f"the pump's flows {PUMP_FLOW:.0%} off",
    f"the pump's heads {PUMP_HEAD:.0%} off",
    f"every loss {LOSS:.0%} off",
    "every hose's bore {} off",
)
# Share of the flow below which a shift is none.
_NOTHING = 1e-6


def edge_steps(reckoning: Reckoning) -> None:
    """The edges of every unit's flow, and its flow with the strainer half blocked."""
    network = reckoning.network
    reckoning.ledger.begin("How far the flows may be off")
    shifts = band_shifts(network, solve_flows(network).line_flow[0])
    for unit in reckoning.result.condensers:
        line = network.line_of[network.condenser_part(unit.name)]
        if unit.flow <= 0:
            continue
        lower = np.minimum(shifts[:, line], 0.0)
        upper = np.maximum(shifts[:, line], 0.0)
        _edge(reckoning, unit, line, -np.hypot(lower[::2], lower[1::2]))
        _edge(reckoning, unit, line, np.hypot(upper[::2], upper[1::2]))
        _blocked(reckoning, unit)


def _edge(reckoning: Reckoning, unit: CondenserResult, line: int, shifts: np.ndarray) -> None:
    """One edge: what each tolerance alone does to the flow, added as the root of squares."""
    low = bool((shifts <= 0).all())
    bore = show(BORE, "bore", reckoning.job.units)
    sizes = np.where(np.abs(shifts) < _NOTHING * unit.flow, 0.0, np.abs(shifts))
    inputs = {"Q": reckoning.flows[line]} | {
        f"d_{number}": Value(float(size), "m³/s", f"found by trial, with {what.format(bore)}")
        for number, (size, what) in enumerate(zip(sizes, _SHIFTED, strict=True), 1)
    }
    root = " + ".join(f"d_{number}**2" for number in range(1, len(_SHIFTED) + 1))
    formula = f"max(Q - sqrt({root}), 0)" if low else f"Q + sqrt({root})"
    reckoning.ledger.own_step(
        f"{'Low' if low else 'High'} edge of the flow at the {unit.name} unit",
        Sum("Q_low" if low else "Q_high", formula, inputs),
        unit.flow_low if low else unit.flow_high,
        "flow",
        Notes(
            "ISO 9906:2012 grade 2B for the pump, engineering estimates for the rest; added by"
            " JCGM 100:2008, 5.1.2",
            "Hardly any boat has all its luck on one side: the squares add, not the shifts.",
        ),
    )


def _blocked(reckoning: Reckoning, unit: CondenserResult) -> None:
    """The flow with the strainer half blocked, and the share of it at which the need is met."""
    if math.isfinite(unit.flow_half_blocked):
        reckoning.ledger.own_step(
            f"Flow at the {unit.name} unit with the strainer half blocked",
            Sum("Q_half"),
            unit.flow_half_blocked,
            "flow",
            Notes(
                "found by trial, with the strainer's loss at 1 / (1 − 0.5)² = 4 times the clean",
                "Half the holes, twice the speed through them, four times the loss.",
            ),
        )
    if math.isfinite(unit.clean_at):
        reckoning.ledger.own_step(
            f"Share of the strainer that may block before the {unit.name} unit falls short",
            Sum("b"),
            unit.clean_at,
            "",
            Notes(
                "found by trial: where the flow comes down to the need",
                "Clean it well before that: weed does not wait for Sunday.",
            ),
        )
