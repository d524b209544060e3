"""Solved loops with faults and sampled parameters, many at once, and what their readings share."""

from dataclasses import replace
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from loop.curve import Array, place
from loop.diagnose.instruments import Column, Instruments
from loop.diagnose.model_change import ModelChange
from loop.diagnose.uncertainty import INDEX
from loop.distinct import distinct
from loop.hydraulics import Cases, Network, installed_pump, solve_flows
from loop.hydraulics.flows import Flows
from loop.margins.heat import Exchanger
from loop.margins.warming import inlet_rises
from loop.parts.friction import GRAVITY, velocity_head
from loop.records import dataclass

# Tolerance of the head balance [m]: a thousandth of what any gauge shows.
_HEADS_WITHIN = 1e-6
_LAST_SHARE = 1 - 1e-12


@dataclass(frozen=True)
class State:
    """n loops to be read: inputs of the solver, heat and meters; arrays over n.

    alike : (n,), index of the first loop with the same flows. legs : (n, sections of falling legs),
    those that faults fill with air, except for the share ``full`` (n,). fouling, condensing,
    rejected : (n, units); the others (n,), as in `ModelChange` and
    `loop.diagnose.uncertainty.NAMES`.
    """

    cases: Cases
    alike: NDArray[np.intp]
    legs: NDArray[np.bool_]
    full: Array
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


def states(instruments: Instruments, changes: list[ModelChange], doubts: Array) -> State:
    """Every change under every parameter sample: n = changes × draws, draws varying fastest."""
    network, draws = instruments.network, len(doubts)

    def of_changes(values: list[float]) -> Array:
        return np.repeat(np.array(values, dtype=float), draws)

    def of_doubts(name: str) -> Array:
        return np.tile(doubts[:, INDEX[name]], len(changes))

    known: dict[tuple[object, ...], int] = {}
    first = np.array([known.setdefault(c.of_flows, row) for row, c in enumerate(changes)])
    losses = np.ones((len(changes), len(network.parts)))
    fouling = np.zeros((len(changes), len(instruments.units)))
    condensing, rejected = np.zeros_like(fouling), np.ones_like(fouling)
    for row, change in enumerate(changes):
        for part, factor in change.loss.items():
            losses[row, part] = factor
        for unit, value in change.fouling.items():
            fouling[row, unit] = value
        for unit, value in change.condensing.items():
            condensing[row, unit] = value
        for unit, value in change.rejected.items():
            rejected[row, unit] = value
    own = doubts[:, [INDEX["loss"]]] + doubts[:, list(instruments.sections)]
    loss = np.exp(np.log(losses)[:, None, :] + own[None, :, :]).reshape(-1, len(network.parts))
    drive = network.pump.curve.drive
    speed = of_changes([c.speed for c in changes]) * np.exp(of_doubts("pump"))
    supply = np.exp(of_doubts("supply"))
    return State(
        cases=Cases(
            # An AC motor follows the frequency, which varies much less than the voltage.
            speed=speed * supply if drive == "dc" else speed,
            pump_flow=of_changes([c.pump_flow for c in changes]) * np.exp(of_doubts("pump_flow")),
            pump_head=of_changes([c.pump_head for c in changes]) * np.exp(of_doubts("pump_head")),
            loss=loss,
        ),
        alike=(first[:, None] * draws + np.arange(draws)).ravel(),
        legs=np.repeat(_air_sections(network, changes), draws, axis=0),
        full=of_changes([c.full for c in changes]),
        ua=np.exp(of_doubts("ua")),
        heat=np.exp(of_doubts("heat")),
        sea=_sea(changes, doubts[:, INDEX["sea"]]),
        warmer=of_changes([c.warmer for c in changes]),
        supply=of_changes([c.supply for c in changes]) * supply,
        frequency=of_changes([c.frequency for c in changes]),
        power=of_changes([c.drive for c in changes]) * np.exp(of_doubts("power")),
        fouling=np.repeat(fouling, draws, axis=0),
        condensing=np.repeat(condensing, draws, axis=0),
        rejected=np.repeat(rejected, draws, axis=0),
        current=of_changes([c.current for c in changes]),
    )


def _air_sections(network: Network, changes: list[ModelChange]) -> NDArray[np.bool_]:
    """Falling-leg sections that each change fills with air, (changes, sections)."""
    found = np.zeros((len(changes), len(network.sections)), dtype=bool)
    for row, change in enumerate(changes):
        if change.legs:
            found[row, list(change.legs)] = True
    return found


def _sea(changes: list[ModelChange], doubt: Array) -> Array:
    """Sea temperature above the job's [K]: the change's where it sets it, else the sample's."""
    found = np.tile(doubt, (len(changes), 1))
    for row, change in enumerate(changes):
        if change.sea is not None:
            found[row] = change.sea
    return found.ravel()


class SolvedLoops:
    """n solved loops, and quantities shared by several readings; arrays over n."""

    def __init__(self, instruments: Instruments, state: State, exact: bool) -> None:
        self.instruments, self.state, self.exact = instruments, state, exact
        flows = _flows(instruments, state, exact)
        self.line_flow, self.head = flows.line_flow, flows.pump_head
        self.pump_flow = self.line_flow[:, instruments.network.pump_line]
        self.sea = instruments.job.water.temperature + state.sea
        # Specific weight of the water [Pa/m].
        self.weight = instruments.network.water.density * GRAVITY

    @cached_property
    def watts(self) -> Array:
        """Electrical power of the pump [W]."""
        return _power(self.instruments, self.state, self.pump_flow)

    @cached_property
    def warmed(self) -> Array:
        """Rise of each unit's inlet over the sea, by upstream units or a fault [K], (n, units)."""
        own = inlet_rises(self.instruments.network, self.line_flow, self.sea, self.state.heat)
        return np.asarray(own + self.state.warmer[:, None])

    @cached_property
    def lost(self) -> Array:
        """Head lost in each part before the pump [m], (n, parts before it)."""
        return _losses_before_pump(self.instruments, self.state, self.pump_flow, self.exact)

    @cached_property
    def inlet(self) -> Array:
        """Total head at the pump's inlet relative to the sea surface [m]."""
        return np.asarray(self.instruments.network.start_head - self.lost.sum(axis=1))

    def gauge(self, head: Array, flow: Array, bore: float) -> Array:
        """Gauge pressure [Pa] at the pump's height, where the water has this total head."""
        height = self.instruments.network.heights[self.instruments.network.pump_index]
        return np.asarray(self.weight * (head - height - velocity_head(flow, bore)))

    def through(self, column: Column) -> Array:
        """Flow in the unit of a column [m³/s]."""
        network = self.instruments.network
        return self.line_flow[:, network.line_of[self.instruments.condenser_parts[column.unit]]]

    def exchanger(self, column: Column) -> Exchanger:
        """Deviations of the condenser of a column's unit."""
        state, unit = self.state, column.unit
        return Exchanger(state.ua, state.fouling[:, unit], state.heat * state.rejected[:, unit])


def _flows(instruments: Instruments, state: State, exact: bool) -> Flows:
    """Flows as the loop starts, with the air that faults bring into legs that would be full.

    Where only part of these holds air, flows and head are interpolated linearly between the two
    states. Of identical loops only one is solved.
    """
    network = instruments.network
    one, which = distinct(state.alike)
    cases, legs, full = state.cases[one], state.legs[one], state.full[one]
    flows = solve_flows(network, cases, exact, instruments.flows, tolerance=_HEADS_WITHIN)
    rows = np.flatnonzero(legs.any(axis=1))
    if not len(rows):
        return flows[which]
    cases = replace(cases[rows], air=flows.air[rows] | legs[rows])
    near, share = flows.line_flow[rows], full[rows]
    dry = solve_flows(network, cases, exact, near, tolerance=_HEADS_WITHIN)
    between = replace(
        dry,
        line_flow=dry.line_flow + share[:, None] * (near - dry.line_flow),
        pump_head=dry.pump_head + share * (flows.pump_head[rows] - dry.pump_head),
    )
    return flows.with_rows(rows, between)[which]


def _losses_before_pump(instruments: Instruments, state: State, flow: Array, exact: bool) -> Array:
    """Head lost in each part before the pump [m], shape (n, parts before it)."""
    network = instruments.network
    count = network.pump_index
    assert state.cases.loss is not None
    factor = network.job.fitted.loss * state.cases.loss[:, :count]
    if exact:
        own = [
            [network.head_loss(index, float(q)) if q > 0 else 0.0 for q in flow]
            for index in range(count)
        ]
        return np.asarray(factor * np.array(own).T)
    at = place(flow)
    tables = network.tables[:, :count]
    share = at.share[:, None]
    table = tables[at.node] * (1 - share) + tables[at.node + 1] * share
    return np.asarray(factor * table * (flow**2)[:, None])


def _power(instruments: Instruments, state: State, flow: Array) -> Array:
    """Electrical power of the pump [W]; constant past the curve's last point."""
    pump = instruments.network.pump
    if pump.curve.power_curve is None:
        return np.full(len(flow), np.nan)
    installed = installed_pump(instruments.network, state.cases)
    # Slightly below the last point, so that rounding does not put a flow past it.
    watts = installed.power_at(np.clip(flow, 0.0, _LAST_SHARE * installed.last_flow))
    return np.asarray(watts * state.power)
