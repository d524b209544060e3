"""Losses and slopes of a network's lines at given flows, and the pump that drives one of them."""

import copy

import numpy as np
from numpy.typing import NDArray

from loop.curve import Array, place, resistance
from loop.hydraulics.cases import Cases
from loop.hydraulics.joints import header_losses
from loop.hydraulics.network import SEA_IN, SEA_OUT, Network

# Slope [s/m²] that stands for "no way back": 3 m of head drive 3e-17 m³/s through it.
_WALL = 1e17


def pump_head(network: Network, cases: Cases, flow: Array) -> tuple[Array, Array]:
    """Head [m] of the pump (or group) and its slope [s/m²], at `flow` [m³/s], shape (n,).

    Affinity laws: flow goes with speed, head with its square. Past the curve's last point the
    head goes on in a straight line, and below zero flow it stays at shut-off.
    """
    return _pump(network, *_pump_scales(network, cases), flow)


def _pump(network: Network, along: Array, up: Array, flow: Array) -> tuple[Array, Array]:
    head, slope = network.pump.curve.head_curve.extended_with_slope(np.maximum(flow, 0.0) / along)
    return up * head, up / along * slope


def _pump_scales(network: Network, cases: Cases) -> tuple[Array, Array]:
    """Flow and head of the pump as it runs, over those of its curve, each shape (n,)."""
    pump = network.pump
    speed = cases.spread("speed") * pump.speed * network.job.fitted.pump
    along = cases.spread("pump_flow") * speed * pump.in_parallel
    return along, cases.spread("pump_head") * speed**2 * pump.in_series


def shutoff_head(network: Network, cases: Cases | None = None) -> Array:
    """Head [m] of the pump against a closed line, shape (n,)."""
    cases = cases or Cases()
    return pump_head(network, cases, np.zeros(cases.count))[0]


class LineLosses:
    """Losses and slopes of every line at given flows, for one network and set of cases.

    ``open`` says through which lines water can flow, and ``one_way`` which let none back;
    ``head_in`` is the head at the intake [m] and
    ``n`` the number of cases.
    """

    def __init__(self, network: Network, cases: Cases, exact: bool) -> None:
        self.network, self.exact = network, exact
        self.n = cases.count
        tables = network.tables
        self._tables = [np.ascontiguousarray(tables[:, list(line.parts)]) for line in network.lines]
        self._weights: list[Array | None] = [
            None
            if cases.loss is None
            else np.broadcast_to(cases.loss, (self.n, len(network.parts)))[:, list(line.parts)]
            for line in network.lines
        ]
        self.open = np.array(_open_lines(network))
        self.one_way = np.array([line.one_way for line in network.lines])
        self.head_in = np.asarray(network.start_head + cases.spread("extra_head"))
        self._along, self._up = _pump_scales(network, cases)
        self._tee = cases.spread("tee")

    def of(self, rows: NDArray[np.bool_] | NDArray[np.intp]) -> "LineLosses":
        """The same for some of the cases: `rows` are indices or a mask."""
        part = copy.copy(self)
        part._weights = [None if weight is None else weight[rows] for weight in self._weights]
        part.head_in, part._tee = self.head_in[rows], self._tee[rows]
        part._along, part._up = self._along[rows], self._up[rows]
        part.n = len(part.head_in)
        return part

    def pump(self, flow: Array) -> tuple[Array, Array]:
        """Head [m] of the pump and its slope [s/m²], as `pump_head` gives them."""
        return _pump(self.network, self._along, self._up, flow)

    def lines(self, flows: Array) -> tuple[Array, Array]:
        """Head [m] that every line takes at its flow, and its slope, each shape (n, lines)."""
        loss, slope = np.empty_like(flows), np.empty_like(flows)
        for number in range(flows.shape[1]):
            loss[:, number], slope[:, number] = self._line(number, flows[:, number])
        return loss, slope

    def _line(self, number: int, flow: Array) -> tuple[Array, Array]:
        """Head [m] that a line takes at `flow`, pump counted as negative, and its slope [s/m²]."""
        line = self.network.lines[number]
        size = np.abs(flow)
        value, bend = resistance(self._tables[number], place(size), self._weights[number])
        fitted = self.network.job.fitted.loss
        value, bend = fitted * value, fitted * bend
        slope = (2 * value + bend) * size
        loss = value * flow * size
        if self.exact:
            loss = np.sign(flow) * self._exact(number, size)
        # Where nothing flows a quadratic loss has no slope; a floor keeps the step finite.
        slope = np.maximum(slope, np.maximum(value, 1.0) * 1e-9)
        if number == self.network.pump_line:
            head, fall = self.pump(flow)
            loss, slope = loss - head, slope - fall
        if line.one_way:
            back = flow < 0
            if back.any():
                loss = np.where(back, loss + _WALL * flow, loss)
                slope = np.where(back, slope + _WALL, slope)
        return loss, slope

    def _exact(self, number: int, size: Array) -> Array:
        network = self.network
        weight = self._weights[number]
        total = np.zeros(len(size))
        for column, index in enumerate(network.lines[number].parts):
            part = network.parts[index]
            for row, flow in enumerate(size):
                if flow > 0:
                    factor = 1.0 if weight is None else weight[row, column]
                    total[row] += factor * part.head_loss(float(flow), network.water)
        return network.job.fitted.loss * total

    def tees(self, flows: Array) -> Array:
        """Head lost in tees [m], charged to the lines that leave and come back, (n, lines)."""
        lost = np.zeros_like(flows)
        for fork in self.network.forks:
            leaving, returning = header_losses(fork, flows, self.exact)
            for i, first in enumerate(fork.first):
                lost[:, first] += leaving[:, i]
                last = fork.last[i]
                if last is not None:
                    lost[:, last] += returning[:, i]
        return lost * self._tee[:, None]


def _open_lines(network: Network) -> list[bool]:
    """Whether water can flow through each line: not shut, nor cut off by shut lines around it."""
    is_open = [not line.shut for line in network.lines]
    changed = True
    while changed:
        changed = False
        through = [line for line, o in zip(network.lines, is_open, strict=True) if o]
        fed = {line.end for line in through} | {SEA_IN}
        drained = {line.start for line in through} | {SEA_OUT}
        for i, line in enumerate(network.lines):
            if is_open[i] and not (line.start in fed and line.end in drained):
                is_open[i], changed = False, True
    return is_open


def first_guess(network: Network, losses: LineLosses, n: int) -> Array:
    """Flows that balance at every joint: half of what the pump could give, split evenly."""
    pump = network.pump
    flows = np.zeros((n, len(network.lines)))
    arriving = np.zeros(network.joints)
    ways = np.zeros(network.joints)
    for i, line in enumerate(network.lines):
        if line.start != SEA_IN and losses.open[i]:
            ways[line.start] += 1
    for i, line in enumerate(network.lines):  # in the water's order
        if not losses.open[i]:
            continue
        if line.start == SEA_IN:
            flow = pump.curve.last_flow * pump.speed * pump.in_parallel / 2
        else:
            flow = arriving[line.start] / ways[line.start]
        flows[:, i] = flow
        if line.end != SEA_OUT:
            arriving[line.end] += flow
    return flows
