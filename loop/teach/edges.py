"""The steps of a flow's band, and of what a dirty strainer leaves of it."""

import math

from loop.check.result import CondenserResult
from loop.hydraulics.band import draws_of
from loop.hydraulics.boats import pump_tolerances
from loop.parts import Strainer
from loop.parts.strainer import blocked_loss
from loop.teach.ledger import Notes
from loop.teach.reckoning import Reckoning
from loop.teach.step import Sum
from loop.tolerances import BARB, BORE, LOSS
from loop.units import show


def edge_steps(reckoning: Reckoning) -> None:
    """The edges of every unit's flow, and its flow with the strainer half blocked."""
    ledger = reckoning.ledger
    for unit in reckoning.result.condensers:
        if unit.flow > 0:
            section = f"How far the flow at the {unit.name} unit may be off"
            ledger.begin(section, "edges", of=unit.name)
            _edge(reckoning, unit, low=True)
            _edge(reckoning, unit, low=False)
            _blocked(reckoning, unit)


def _edge(reckoning: Reckoning, unit: CondenserResult, low: bool) -> None:
    """One edge: the flow that 25 in 1,000 loops built like this one do not reach, or pass."""
    network = reckoning.network
    along, up = pump_tolerances(network.pump)
    bore = show(BORE.half, "bore", reckoning.job.units)
    where = "below" if low else "above"
    reckoning.ledger.own_step(
        f"{'Low' if low else 'High'} edge of the flow at the {unit.name} unit",
        Sum("Q_low" if low else "Q_high"),
        unit.flow_low if low else unit.flow_high,
        "flow",
        Notes(
            f"found by trial: of {len(draws_of(network)):,} loops drawn with the pump's flows"
            f" ±{along.half:.0%} and heads ±{up.half:.0%} ({along.source}), losses"
            f" ±{LOSS.half:.0%}, hose bores ±{bore} and barbs ±{BARB.half:.0%} (engineering"
            f" estimates), about 25 in 1,000 lie {where}",
            "Few boats have all their luck on one side.",
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
                f"found by trial, with the strainer's loss at {_times(reckoning)} times the clean",
                "Half the basket, twice the speed through it, four times the basket's loss.",
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
                "Clean it well before that: it may block in one day.",
            ),
        )


def _times(reckoning: Reckoning) -> str:
    """What half a basket blocked makes of the strainers' loss, clean."""
    found = {
        f"{blocked_loss(part.basket_share, 0.5):.3g}"
        for part in reckoning.network.parts
        if isinstance(part, Strainer)
    }
    return " and ".join(sorted(found))
