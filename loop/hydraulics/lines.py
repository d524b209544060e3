"""Losses and slopes of a network's lines at given flows, and the pump that drives one line."""

import copy

import numpy as np
from numpy.typing import NDArray

from loop.curve import FLOW_GRID, Array
from loop.hydraulics.cases import Cases
from loop.hydraulics.flow_paths import open_lines, runs_on_to_sea
from loop.hydraulics.installed_pump import installed_pump
from loop.hydraulics.leg_losses import leg_losses
from loop.hydraulics.manifolds import Manifolds
from loop.hydraulics.network import SEA_IN, SEA_OUT, Network
from loop.hydraulics.nodes import joint_drops
from loop.hydraulics.resistances import Resistances

# Penalty slope of a wall [s/m²], which blocks reverse flow: 3 m of head drive 3e-17 m³/s through
# it.
_WALL = 1e17
# Least slope of a line in which water falls as a film, as a share of its slope running full.
_LEAST_SLOPE = 0.01


def pump_head(network: Network, cases: Cases, flow: Array) -> tuple[Array, Array]:
    """Head [m] of the pump (or group) and its slope [s/m²], at `flow` [m³/s], shape (n,).

    Head is extrapolated linearly past the curve's last point, and equals shut-off head below zero
    flow.
    """
    return installed_pump(network, cases).head_at(flow)


def shutoff_head(network: Network, cases: Cases | None = None) -> Array:
    """Shut-off head [m] of the pump (or group), shape (n,)."""
    pump = installed_pump(network, cases)
    return np.broadcast_to(pump.shutoff_head, ((cases or Cases()).count,))


class LineLosses:
    """Losses and slopes of every line at given flows, for one network and set of cases.

    ``open`` marks the lines that can have flow, and ``one_way`` those without reverse flow (shape
    (lines,), or (n, lines) where legs hold air); ``sea``, shape (n, lines), is the head [m] that
    the sea adds along a line that begins at the intake, less the outlet head of a line that ends
    overboard; ``n`` is the number of cases.
    """

    def __init__(self, network: Network, cases: Cases, exact: bool) -> None:
        self.network, self.exact = network, exact
        self.n = cases.count
        self._resistances = Resistances.of_lines(network, cases)
        self.open = open_lines(network)
        self.one_way = np.array([line.one_way for line in network.lines])
        head_in = network.start_head + cases.broadcast("extra_head")
        self._outlets = np.array([line.outlet_head for line in network.lines])
        self.sea: Array = np.where(network.starts == SEA_IN, head_in[:, None], 0.0) - self._outlets
        self._pump = installed_pump(network, cases)
        self._tee_factor = cases.broadcast("tee")
        self._manifolds = Manifolds.of_cases(network, cases) if network.forks else None
        self._sizes_differ = cases.networks is not None
        self.legs = leg_losses(network, cases)
        if self.legs is not None:
            self.one_way = self.one_way | self.legs.one_way

    def subset(self, rows: NDArray[np.intp]) -> "LineLosses":
        """The losses of some of the cases, by their indices."""
        subset = copy.copy(self)
        subset._resistances = self._resistances.subset(rows)
        subset.sea, subset._tee_factor = self.sea[rows], self._tee_factor[rows]
        subset._pump = self._pump.subset(rows)
        if self.legs is not None:
            subset.legs, subset.one_way = self.legs.subset(rows), self.one_way[rows]
        if self._manifolds is not None and self._sizes_differ:
            subset._manifolds = self._manifolds.subset(rows)
        subset.n = len(subset.sea)
        return subset

    def with_tee_factor(self, factor: float) -> "LineLosses":
        """A copy with this share of the tee losses."""
        scaled = copy.copy(self)
        scaled._tee_factor = factor * self._tee_factor
        return scaled

    @property
    def pump_stalls(self) -> "NDArray[np.bool_]":
        """Whether the pump cannot lift water out by the easiest path, shape (n,): no flow at all.

        Besides its outlet height, a path holds the falls of its legs with air.
        """
        ends = (self.network.ends == SEA_OUT) & self.open
        main = self.network.pump_line
        if not self.open[main] or not ends.any():
            return np.ones(self.n, dtype=bool)
        lift = self.sea[:, main] + self._outlets[main] + self._pump.shutoff_head
        static_head = self._outlets
        if self.legs is not None:
            falls = self.legs.falls
            most = self._outlets[ends].max() + falls.sum(axis=-1)
            if runs_on_to_sea(self.network) and (lift > most).all():
                return np.zeros(self.n, dtype=bool)
            static_head = static_head + self._falls_before_end(falls)
        return np.asarray(lift <= static_head[..., ends].min(axis=-1))

    def _falls_before_end(self, falls: Array) -> Array:
        """Least head [m] held by falls on any path from the pump to each line's end, (n, lines)."""
        network = self.network
        held = np.full((self.n, network.joints + 2), np.inf)
        held[:, network.starts[network.pump_line]] = 0.0
        for _ in range(network.joints + 1):
            before = held.copy()
            for number in np.flatnonzero(self.open):
                start, end = network.starts[number], network.ends[number]
                held[:, end] = np.minimum(held[:, end], held[:, start] + falls[:, number])
                if end >= 0 and not network.lines[number].one_way:
                    back = np.where(falls[:, number] > 0, np.inf, held[:, end])
                    held[:, start] = np.minimum(held[:, start], back)
            if np.array_equal(held, before):
                break
        return np.asarray(held[:, network.starts] + falls)

    @property
    def pump_last_flow(self) -> Array | float:
        """Last measured flow [m³/s] of each case's pump, or of the network's pump in the job."""
        if self._pump.case_pumps is None:
            return float(installed_pump(self.network).last_flow[0])
        return self._pump.last_flow

    def pump(self, flow: Array) -> tuple[Array, Array]:
        """Head [m] of the pump and its slope [s/m²], as in `pump_head`."""
        return self._pump.head_at(flow)

    def lines(self, flows: Array) -> tuple[Array, Array]:
        """Head loss [m] of every line, less its pump's head, and the slope [s/m²].

        Each of shape (n, lines).
        """
        size = np.abs(flows)
        resistance, log_slope = self._resistances(size)
        if (fitted := self.network.job.fitted.loss) != 1:
            resistance, log_slope = fitted * resistance, fitted * log_slope
        # Below the grid the flow creeps, and loss is linear in flow.
        friction_slope, creeping = resistance * np.maximum(size, FLOW_GRID[0]), size < FLOW_GRID[0]
        loss, slope = friction_slope * flows, (2 * resistance + log_slope) * size
        if np.count_nonzero(creeping):
            slope = np.where(creeping, friction_slope, slope)
        if self.exact:
            loss = np.sign(flows) * self._exact_losses(size)
        if self.legs is not None:
            added, added_slope = self.legs.by_line(flows, self.exact)
            # A line in which only a film loses head has zero slope; the steps need a positive one.
            loss, slope = loss + added, np.maximum(slope + added_slope, _LEAST_SLOPE * slope)
        # A line of wide, empty parts has almost no slope; a floor keeps the step finite.
        slope = np.maximum(slope, 1e-9)
        main = self.network.pump_line
        head, fall = self.pump(flows[:, main])
        loss[:, main] -= head
        slope[:, main] -= fall
        if np.count_nonzero(negative := flows < 0):
            back = self.one_way & negative
            loss = np.where(back, loss + _WALL * flows, loss)
            slope = np.where(back, slope + _WALL, slope)
        return loss, slope

    def _exact_losses(self, size: Array) -> Array:
        """Head loss [m] of every line, from the parts' own functions."""
        network = self.network
        total = np.zeros_like(size)
        for number, line in enumerate(network.lines):
            for index in line.parts:
                for row, flow in enumerate(size[:, number]):
                    if flow > 0:
                        factor = self._resistances.factor(row, index)
                        total[row, number] += factor * network.head_loss(index, float(flow))
        return network.job.fitted.loss * total

    def tees(self, flows: Array) -> Array:
        """Tee losses [m], charged to the lines that leave and return, (n, lines)."""
        if self._manifolds is None:
            return np.zeros_like(flows)
        leaving, returning = self.tees_by_side(flows)
        return leaving + returning

    def tees_by_side(self, flows: Array) -> tuple[Array, Array]:
        """The same for supply and return headers separately, in a network with forks."""
        assert self._manifolds is not None
        factor = self._tee_factor[:, None]
        leaving, returning = self._manifolds.losses(flows, self.exact)
        return factor * leaving, factor * returning

    def tee_slopes(self, flows: Array) -> Array:
        """Derivatives of tee losses by flow [s/m²], as in `Manifolds.slopes`."""
        assert self._manifolds is not None
        slopes = self._manifolds.slopes(flows)
        return slopes * self._tee_factor[:, None, None]


def initial_flows(losses: "LineLosses") -> Array:
    """Flows balanced at every joint: half of the pump's last measured flow, split evenly."""
    network, n = losses.network, losses.n
    flows = np.zeros((n, len(network.lines)))
    arriving = np.zeros((network.joints, n))
    open_branches = np.zeros(network.joints)
    for i, line in enumerate(network.lines):
        if line.start != SEA_IN and losses.open[i]:
            open_branches[line.start] += 1
    for i, line in enumerate(network.lines):  # in flow order
        if not losses.open[i]:
            continue
        if line.start == SEA_IN:
            flow = losses.pump_last_flow / 2
        else:
            flow = arriving[line.start] / open_branches[line.start]
        flows[:, i] = flow
        if line.end != SEA_OUT:
            arriving[line.end] += flow
    # Where all lines out of a joint point against the flow, the inflow is not yet balanced.
    conductance = np.broadcast_to(losses.open.astype(float), flows.shape)
    return flows + conductance * joint_drops(network, conductance, flows)
