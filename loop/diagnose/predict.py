"""The readings that a loop would give, for many changes and doubts at once."""

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from loop.curve import Array, place
from loop.diagnose.fault_effects import Change
from loop.diagnose.instruments import Bench, Column
from loop.diagnose.uncertainty import INDEX
from loop.hydraulics import Cases, Network, installed_pump, shutoff_head, solve_flows
from loop.hydraulics.flows import Flows
from loop.margins.heat import TRIPS, condensing_in_loop, inlet_rises, rise_in_loop
from loop.parts.friction import GRAVITY, velocity_head
from loop.records import dataclass

# Water that stands in a hot condenser: it gets no warmer than this above the sea [K] (engineering
# estimate).
_HOTTEST_RISE = 25.0
# Power over voltage times current of a small AC motor (engineering estimate); 1 for DC.
_POWER_FACTOR = 0.8
# Heads [m] that are balanced: a thousandth of what any gauge shows.
_HEADS_WITHIN = 1e-6
_LAST_SHARE = 1 - 1e-12


@dataclass(frozen=True)
class State:
    """n loops to be read: what the solver needs, and what heat and meters need; arrays over n.

    legs : (n, sections of falling legs), those that faults fill with air. fouling, condensing,
    rejected : (n, units); the others (n,), in the terms of `Change` and
    `doubt.NAMES`.
    """

    cases: Cases
    legs: NDArray[np.bool_]
    ua: Array
    heat: Array
    sea: Array
    warmer: Array
    supply: Array
    frequency: Array
    power: Array
    fouling: Array
    condensing: Array
    rejected: Array
    current: Array


def states(bench: Bench, changes: list[Change], doubts: Array) -> State:
    """Every change under every draw of the doubts: n = changes × draws, draws running fastest."""
    network, draws = bench.network, len(doubts)

    def of_changes(values: list[float]) -> Array:
        return np.repeat(np.array(values, dtype=float), draws)

    def of_doubts(name: str) -> Array:
        return np.tile(doubts[:, INDEX[name]], len(changes))

    log_loss = np.zeros((len(changes), len(network.parts)))
    fouling = np.zeros((len(changes), len(bench.units)))
    condensing, rejected = np.zeros_like(fouling), np.ones_like(fouling)
    for row, change in enumerate(changes):
        for part, factor in change.loss.items():
            log_loss[row, part] = np.log(factor)
        for unit, value in change.fouling.items():
            fouling[row, unit] = value
        for unit, value in change.condensing.items():
            condensing[row, unit] = value
        for unit, value in change.rejected.items():
            rejected[row, unit] = value
    own = doubts[:, [INDEX["loss"]]] + doubts[:, list(bench.sections)]
    loss = np.exp(log_loss[:, None, :] + own[None, :, :]).reshape(-1, len(network.parts))
    drive = network.pump.curve.drive
    speed = of_changes([c.speed for c in changes]) * np.exp(of_doubts("pump"))
    supply = np.exp(of_doubts("supply"))
    return State(
        cases=Cases(
            # An AC motor follows the frequency, which is held much closer than voltage is.
            speed=speed * supply if drive == "dc" else speed,
            pump_flow=of_changes([c.pump_flow for c in changes]) * np.exp(of_doubts("pump_flow")),
            pump_head=of_changes([c.pump_head for c in changes]) * np.exp(of_doubts("pump_head")),
            loss=loss,
            extra_head=of_changes([c.given_back for c in changes]),
        ),
        legs=np.repeat(_with_air(network, changes), draws, axis=0),
        ua=np.exp(of_doubts("ua")),
        heat=np.exp(of_doubts("heat")),
        sea=_sea(changes, doubts[:, INDEX["sea"]]),
        warmer=of_changes([c.warmer for c in changes]),
        supply=of_changes([c.supply for c in changes]) * supply,
        frequency=of_changes([c.supply for c in changes]),
        power=of_changes([c.drive for c in changes]) * np.exp(of_doubts("power")),
        fouling=np.repeat(fouling, draws, axis=0),
        condensing=np.repeat(condensing, draws, axis=0),
        rejected=np.repeat(rejected, draws, axis=0),
        current=of_changes([c.current for c in changes]),
    )


def _with_air(network: Network, changes: list[Change]) -> NDArray[np.bool_]:
    """Which sections of falling legs each change fills with air, (changes, sections)."""
    found = np.zeros((len(changes), len(network.sections)), dtype=bool)
    for row, change in enumerate(changes):
        found[row, list(change.legs)] = True
    return found


def _sea(changes: list[Change], doubt: Array) -> Array:
    """Sea temperature over the job's [K]: the change's where that sets it, else as doubted."""
    rows = [doubt if c.sea is None else np.full(len(doubt), c.sea) for c in changes]
    return np.concatenate(rows)


def predict(bench: Bench, state: State, exact: bool = False) -> Array:
    """Readings, shape (n, columns), in SI and °C, without the instruments' own error.

    Losses come from the parts' tables, or with `exact` from their own functions. Where nothing
    flows the unit is taken to trip: temperatures stop at the limits above.
    """
    network = bench.network
    flows = _flows(bench, state, exact)
    line_flow, head = flows.line_flow, flows.pump_head
    pump_flow = line_flow[:, network.pump_line]
    values = np.empty((len(pump_flow), len(bench.columns)))
    pressures = _pressures(bench, state, pump_flow, head, exact)
    watts = _power(bench, state, pump_flow)
    sea = bench.job.water.temperature + state.sea
    warmed = inlet_rises(network, line_flow, sea, state.heat) + state.warmer[:, None]
    for number, column in enumerate(bench.columns):
        name = column.kind.name
        if name in pressures:
            values[:, number] = pressures[name]
        elif name == "sea_temperature":
            values[:, number] = sea
        elif name == "supply":
            values[:, number] = bench.supply * state.supply
        elif name == "frequency":
            values[:, number] = (bench.frequency or 0.0) * state.frequency
        elif name == "pump_power":
            values[:, number] = watts
        elif name == "pump_current":
            factor = 1.0 if network.pump.curve.drive == "dc" else _POWER_FACTOR
            volts = np.maximum(bench.supply * state.supply, 1e-3 * bench.supply)
            values[:, number] = watts * state.current / (volts * factor)
        elif name == "flow" and column.unit < 0:
            values[:, number] = pump_flow
        else:
            flow = line_flow[:, network.line_of[bench.condenser_parts[column.unit]]]
            warmth = np.stack([sea, warmed[:, column.unit]])
            values[:, number] = _at_condenser(bench, state, column, flow, warmth)
    return values


def _flows(bench: Bench, state: State, exact: bool) -> Flows:
    """Flows as the loop starts, with the air that faults bring into legs that would be full."""
    network = bench.network
    flows = solve_flows(network, state.cases, exact, bench.flows, within=_HEADS_WITHIN)
    rows = np.flatnonzero(state.legs.any(axis=1))
    if not len(rows):
        return flows
    cases = replace(state.cases[rows], air=flows.air[rows] | state.legs[rows])
    near = flows.line_flow[rows]
    return flows.with_rows(rows, solve_flows(network, cases, exact, near, within=_HEADS_WITHIN))


def _at_condenser(bench: Bench, state: State, column: Column, flow: Array, warmth: Array) -> Array:
    """Readings of one unit in its `flow`, (n,); `warmth` is the sea's and what units before add."""
    if column.kind.name == "flow":
        return np.maximum(flow, 0.0)
    unit = bench.units[column.unit]
    sea, before = warmth
    exchanger = {
        "ua": state.ua,
        "fouling": state.fouling[:, column.unit],
        "heat": state.heat * state.rejected[:, column.unit],
    }
    if column.kind.name == "outlet_temperature":
        rise = before + rise_in_loop(bench.network, unit, flow, sea + before, **exchanger)
        return np.asarray(sea + np.minimum(rise, _HOTTEST_RISE))
    hot = condensing_in_loop(bench.network, unit, flow, sea + before, **exchanger)
    return np.asarray(np.minimum(hot + state.condensing[:, column.unit], TRIPS))


def _pressures(
    bench: Bench, state: State, flow: Array, head: Array, exact: bool
) -> dict[str, Array]:
    """Gauge pressures [Pa] about the pump, and the drop over the strainer."""
    network = bench.network
    pump = network.pump_index
    weight = network.water.density * GRAVITY
    height = network.heights[pump]
    losses = _losses_before_pump(bench, state, flow, exact)
    inlet = network.start_head - losses.sum(axis=1)
    bores = network.parts[pump - 1].inner_bore, network.pump.inner_bore
    # Pumps side by side have a port each, and share the flow.
    shared = flow, flow / network.pump.in_parallel
    dynamic = [velocity_head(q, bore) for q, bore in zip(shared, bores, strict=True)]
    shut = network.start_head + shutoff_head(network, state.cases)
    found = {
        "pump_inlet_pressure": weight * (inlet - height - dynamic[0]),
        "pump_outlet_pressure": weight * (inlet + head - height - dynamic[1]),
        "shutoff_pressure": weight * (shut - height),
    }
    if bench.strainer is not None:
        found["strainer_drop"] = weight * losses[:, bench.strainer]
    return found


def _losses_before_pump(bench: Bench, state: State, flow: Array, exact: bool) -> Array:
    """Head lost in each part before the pump [m], shape (n, parts before it)."""
    network = bench.network
    count = network.pump_index
    assert state.cases.loss is not None
    factor = network.job.fitted.loss * state.cases.loss[:, :count]
    if exact:
        own = [
            [part.head_loss(float(q), network.water) if q > 0 else 0.0 for q in flow]
            for part in network.parts[:count]
        ]
        return np.asarray(factor * np.array(own).T)
    at = place(flow)
    tables = network.tables[:, :count]
    share = at.share[:, None]
    table = tables[at.node] * (1 - share) + tables[at.node + 1] * share
    return np.asarray(factor * table * (flow**2)[:, None])


def _power(bench: Bench, state: State, flow: Array) -> Array:
    """Electrical power of the pump [W]; past the curve's last point it is held there."""
    pump = bench.network.pump
    if pump.curve.power_curve is None:
        return np.full(len(flow), np.nan)
    installed = installed_pump(bench.network, state.cases)
    # A share under the last point, so that rounding does not put a flow past it.
    watts = installed.power_at(np.clip(flow, 0.0, _LAST_SHARE * installed.last_flow))
    return np.asarray(watts * state.power)
