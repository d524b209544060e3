"""Steps on a flow's band, on the effect of a dirty strainer, and on whether it is enough."""

import math

from loop.check.result import CheckResult, CondenserResult
from loop.hydraulics.band import band_draws
from loop.hydraulics.monte_carlo import pump_tolerances
from loop.parts import Strainer
from loop.parts.strainer import blocked_loss
from loop.teach.calculation import Calculation
from loop.teach.step import Value
from loop.tolerances import BARB, BORE, LOSS
from loop.words import told
from loop.words.teaching.steps import PHRASE
from loop.words.template import Facts, listed

# Keys of each edge's name, and of the side on which few loops lie.
_EDGES = {"low": ("edge-low", "side-low"), "high": ("edge-high", "side-high")}


def edge_steps(calc: Calculation) -> None:
    """The band edges of every unit's flow, and its flow with the strainer half blocked."""
    for unit in calc.result.condensers:
        if unit.flow > 0:
            calc.begin_section("edges", unit.name)
            _edge(calc, unit, "low", unit.flow_low)
            _edge(calc, unit, "high", unit.flow_high)
            _blocked(calc, unit)


def _edge(calc: Calculation, unit: CondenserResult, edge: str, flow: float) -> None:
    """One edge: 25 in 1,000 loops built like this one have less flow, or more, than it."""
    flow_tolerance, head_tolerance = pump_tolerances(calc.network.pump)
    calc.step(
        "edge",
        {},
        flow,
        symbol=f"Q_{edge}",
        claim=edge,
        facts={
            "which": PHRASE(_EDGES[edge][0]),
            "unit": unit.name,
            "draws": f"{len(band_draws(calc.network)):,}",
            "along": f"{flow_tolerance.half:.0%}",
            "up": f"{head_tolerance.half:.0%}",
            "basis": flow_tolerance.source,
            "loss": f"{LOSS.half:.0%}",
            "bore": BORE.half,
            "barb": f"{BARB.half:.0%}",
            "side": PHRASE(_EDGES[edge][1]),
        },
        repeat=True,
    )


def _blocked(calc: Calculation, unit: CondenserResult) -> None:
    """Flow with the strainer half blocked, and the blocked share at which it equals the need."""
    facts = {"unit": unit.name, "times": _blocked_factors(calc)}
    if math.isfinite(unit.flow_half_blocked):
        calc.step("half blocked", {}, unit.flow_half_blocked, facts=facts, repeat=True)
    if math.isfinite(unit.clean_at):
        calc.step("clean at", {}, unit.clean_at, facts=facts, repeat=True)


def _blocked_factors(calc: Calculation) -> str:
    """Factor on the strainers' clean loss with half the basket blocked."""
    strainers = (part for part in calc.network.parts if isinstance(part, Strainer))
    found = {f"{blocked_loss(part.basket_share, 0.5):.3g}" for part in strainers}
    return listed(sorted(found)) if found else ""


def answer_steps(calc: Calculation, needs: dict[str, tuple[Value, Value]]) -> None:
    """Ratio of flow to need of each unit, and what `check` says of it and of the loop."""
    first = next((one for one in told(calc.result.findings, calc.job) if one.level != "note"), None)
    said: Facts = {"verdict": calc.result.verdict.upper(), "first": first.title if first else ""}
    for unit in calc.result.condensers:
        calc.begin_section("answer", unit.name)
        line = calc.network.unit_line(unit.name)
        ratio = {"Q": calc.flows[line], "Q_need": needs[unit.name][0]}
        facts = {"unit": unit.name, **said, **calc.primed}
        calc.step("ratio", ratio, claim=_supply_claim(calc.result, unit), facts=facts)


def _supply_claim(result: CheckResult, unit: CondenserResult) -> str:
    """Whether a unit has enough, with the reservations of `check`."""
    supply = result.supply(unit)
    return "but" if supply == "enough" and result.verdict != "good" else supply
