"""The flows of a network: many cases at once, or one on the exact functions.

Every line's loss rises with its flow, so the flows that balance all heads are the one minimum of a
strictly convex function, the network's content (Birkhoff & Diaz, Quart. Appl. Math. 13 (1956) 431;
Collins, Cooper, Helgason, Kennington & LeBlanc, Management Science 24 (1978) 747). Each step
replaces the lines by their tangents, solves the linear network for the heads of its joints, and
goes along that direction as far as the content falls: a Newton method with a line search, which
converges from any start. The tees of manifolds, whose losses depend on the split, are taken at the
flows of the step before, and steps are shortened where that makes the balance worse.
"""

from dataclasses import dataclass

import numpy as np

from loop.curve import Array, place, resistance
from loop.hydraulics.cases import Cases
from loop.hydraulics.joints import header_losses
from loop.hydraulics.network import SEA_IN, SEA_OUT, Network

_STEPS = 150
_HALVINGS = 12
# Slope [s/m²] that stands for "no way back": 3 m of head drive 3e-15 m³/s through it.
_WALL = 1e15
# Relative rounding of a sum of heads times flows, with room.
_ROUNDING = 1e-14
# Heads closer than this [m] are balanced.
_BALANCED = 1e-9


@dataclass(frozen=True)
class Flows:
    """Answer of the solver for n cases.

    line_flow : shape (n, lines) [m³/s]; pump_head : (n,) [m]; residual : (n,), the largest head by
    which any line is out of balance [m]; settled : (n,), whether that is within what was asked.
    """

    line_flow: Array
    pump_head: Array
    residual: Array
    settled: "np.ndarray[tuple[int], np.dtype[np.bool_]]"


def pump_head(network: Network, cases: Cases, flow: Array) -> tuple[Array, Array]:
    """Head [m] of the pump (or group) and its slope [s/m²], at `flow` [m³/s], shape (n,).

    Affinity laws: flow goes with speed, head with its square. Past the curve's last point the
    head goes on in a straight line, and below zero flow it stays at shut-off.
    """
    pump = network.pump
    speed = cases.spread("speed") * pump.speed * network.job.fitted.pump
    along = cases.spread("pump_flow") * speed * pump.in_parallel
    up = cases.spread("pump_head") * speed**2 * pump.in_series
    rated = np.maximum(flow, 0.0) / along
    curve = pump.curve.head_curve
    return up * curve.extended(rated), up / along * curve.extended_slope(rated)


class _Balance:
    """Losses and slopes of every line at given flows, for one network and set of cases."""

    def __init__(self, network: Network, cases: Cases, exact: bool) -> None:
        self.network, self.cases, self.exact = network, cases, exact
        self.n = cases.count
        tables = network.tables
        self.tables = [np.ascontiguousarray(tables[:, list(l.parts)]) for l in network.lines]
        self.weights: list[Array | None] = [
            None
            if cases.loss is None
            else np.broadcast_to(cases.loss, (self.n, len(network.parts)))[:, list(line.parts)]
            for line in network.lines
        ]
        self.open = np.array(_open_lines(network))

    def line(self, number: int, flow: Array) -> tuple[Array, Array]:
        """Head [m] that a line takes at `flow`, pump counted as negative, and its slope [s/m²]."""
        line = self.network.lines[number]
        weight = self.weights[number]
        size = np.abs(flow)
        value, bend = resistance(self.tables[number], place(size), weight)
        fitted = self.network.job.fitted.loss
        value, bend = fitted * value, fitted * bend
        slope = (2 * value + bend) * size
        loss = value * flow * size
        if self.exact:
            loss = np.sign(flow) * self._exact(number, size)
        # Where nothing flows a quadratic loss has no slope; a floor keeps the step finite.
        slope = np.maximum(slope, np.maximum(value, 1.0) * 1e-9)
        if number == self.network.pump_line:
            head, fall = pump_head(self.network, self.cases, flow)
            loss, slope = loss - head, slope - fall
        if line.one_way:
            back = flow < 0
            loss = np.where(back, loss + _WALL * flow, loss)
            slope = np.where(back, slope + _WALL, slope)
        return loss, slope

    def _exact(self, number: int, size: Array) -> Array:
        network = self.network
        weight = self.weights[number]
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
        return lost * self.cases.spread("tee")[:, None]


def solve_flows(
    network: Network, cases: Cases | None = None, exact: bool = False, start: Array | None = None
) -> Flows:
    """Flows of all lines of a network, in every case.

    Parameters
    ----------
    network : Network
    cases : Cases, optional
        Factors, one row a case; the job as it stands where left out.
    exact : bool
        Take each part's loss from its own function at each step, instead of from its table (which
        lies within 0.1 % of it). For a single answer; studies use the tables.
    start : array, shape (n, lines), optional
        Flows to start from; they must balance at every joint.

    Returns
    -------
    Flows
        Exact in mass by construction. A case that does not settle within the step limit is marked,
        never raised.
    """
    cases = cases or Cases()
    balance = _Balance(network, cases, exact)
    if not balance.open[network.pump_line]:
        return _standing(network, cases)
    n, lines = balance.n, network.lines
    flows = _first_guess(network, balance, n) if start is None else start.copy()
    head_in = network.start_head + cases.spread("extra_head")
    relax, before = np.ones(n), np.zeros_like(flows)
    best, best_residual = flows.copy(), np.full(n, np.inf)
    active = np.ones(n, dtype=bool)
    for _ in range(_STEPS):
        tees = balance.tees(flows)
        loss, slope = _all_lines(balance, flows)
        loss = loss + tees
        target = _linear(network, balance, flows, loss, slope, head_in)
        step = np.where(active[:, None], target - flows, 0.0)
        out_of_balance = np.where(balance.open, np.abs(slope * step), 0.0)
        one_way = np.array([line.one_way for line in lines])
        # Behind a wall a line carries nothing, and its imbalance is what it holds back.
        held = one_way & (flows <= 0) & (target <= 0)
        residual = np.max(np.where(held, 0.0, out_of_balance), axis=1)
        better = active & (residual < best_residual)
        best[better], best_residual[better] = flows[better], residual[better]
        active &= residual > _BALANCED
        if not active.any():
            break
        relax = _aitken(relax, before, step) if network.forks else relax
        before = step
        share = _how_far(network, balance, flows, step, loss, tees, head_in)
        flows = flows + (share * relax)[:, None] * step
    flows = np.where(np.abs(best) < 1e-13, 0.0, best)
    head, _ = pump_head(network, cases, flows[:, network.pump_line])
    return Flows(flows, head, best_residual, best_residual < 1e-8)


def _aitken(relax: Array, before: Array, step: Array) -> Array:
    """Share of a step to take, where the tees lag a step behind: Aitken's delta-squared rule.

    Steps that turn back on each other are shortened, steps that point the same way are not.
    """
    change = step - before
    size = np.einsum("nl,nl->n", change, change)
    along = -np.einsum("nl,nl->n", before, change)
    better = np.divide(relax * along, size, out=relax.copy(), where=size > 0)
    return np.where(np.any(before != 0, axis=1), np.clip(better, 0.05, 1.0), relax)


def _all_lines(balance: _Balance, flows: Array) -> tuple[Array, Array]:
    both = [balance.line(i, flows[:, i]) for i in range(flows.shape[1])]
    return np.stack([b[0] for b in both], axis=1), np.stack([b[1] for b in both], axis=1)


def _linear(
    network: Network, balance: _Balance, flows: Array, loss: Array, slope: Array, head_in: Array
) -> Array:
    """Flows that balance the network whose lines are replaced by their tangents at `flows`."""
    ease = np.where(balance.open, 1.0 / slope, 0.0)
    rest = loss - slope * flows  # head that the tangent takes at no flow
    n, joints = len(flows), network.joints
    matrix, right = np.zeros((n, joints, joints)), np.zeros((n, joints))
    fixed_in = np.zeros_like(flows)
    fixed_out = np.zeros_like(flows)
    for i, line in enumerate(network.lines):
        a, b = line.start, line.end
        if a == SEA_IN:
            fixed_in[:, i] = head_in
        else:
            matrix[:, a, a] += ease[:, i]
        if b == SEA_OUT:
            fixed_out[:, i] = line.outlet_head
        else:
            matrix[:, b, b] += ease[:, i]
        if a >= 0 and b >= 0:
            matrix[:, a, b] -= ease[:, i]
            matrix[:, b, a] -= ease[:, i]
        known = ease[:, i] * (fixed_in[:, i] - fixed_out[:, i] - rest[:, i])
        if a >= 0:
            right[:, a] -= known
        if b >= 0:
            right[:, b] += known
    heads = np.zeros((n, joints))
    if joints:
        # A joint that only shut lines reach has no head of its own; any number will do.
        diagonal = np.einsum("nii->ni", matrix)
        diagonal[diagonal == 0] = 1.0
        heads = np.linalg.solve(matrix, right[:, :, None])[:, :, 0]
    drop = fixed_in - fixed_out
    for i, line in enumerate(network.lines):
        if line.start >= 0:
            drop[:, i] += heads[:, line.start]
        if line.end >= 0:
            drop[:, i] -= heads[:, line.end]
    return ease * (drop - rest)


def _how_far(
    network: Network,
    balance: _Balance,
    flows: Array,
    step: Array,
    loss: Array,
    tees: Array,
    head_in: Array,
) -> Array:
    """Share of the step, 0 to 1, along which the content falls, for each case.

    The content's slope along the step is the heads' imbalance times the step, and rises all the
    way; a step is taken whole where at its end that slope is no steeper than half the first, and
    otherwise cut where it is nearest zero.
    """

    def slope_of(loss: Array) -> Array:
        total = np.einsum("nl,nl->n", np.where(balance.open, loss, 0.0), step)
        for i, line in enumerate(network.lines):
            if line.start == SEA_IN:
                total = total - head_in * step[:, i]
            if line.end == SEA_OUT:
                total = total + line.outlet_head * step[:, i]
        return total

    def slope_at(share: Array) -> Array:
        return slope_of(_all_lines(balance, flows + share[:, None] * step)[0] + tees)

    n = len(flows)
    low, high = np.zeros(n), np.ones(n)
    first, last = slope_of(loss), slope_at(high)
    share = np.ones(n)
    # The flows balance at the joints to rounding only, and heads of metres weigh that imbalance;
    # where the step's own slope is smaller, it is taken whole.
    noise = _ROUNDING * np.einsum("nl,nl->n", np.abs(loss), np.abs(flows) + np.abs(step))
    cut = last > 0.5 * np.abs(first) + noise
    for _ in range(_HALVINGS):
        if not cut.any():
            break
        middle = np.where(cut, (low + high) / 2, share)
        at = slope_at(middle)
        share = np.where(cut, middle, share)
        low = np.where(cut & (at < 0), middle, low)
        high = np.where(cut & (at >= 0), middle, high)
        cut = cut & (np.abs(at) > 0.5 * np.abs(first) + noise)
    return share


def _open_lines(network: Network) -> list[bool]:
    """Whether water can flow through each line: not shut, nor cut off by shut lines around it."""
    is_open = [not line.shut for line in network.lines]
    changed = True
    while changed:
        changed = False
        fed = {l.end for l, o in zip(network.lines, is_open, strict=True) if o} | {SEA_IN}
        drained = {l.start for l, o in zip(network.lines, is_open, strict=True) if o} | {SEA_OUT}
        for i, line in enumerate(network.lines):
            if is_open[i] and not (line.start in fed and line.end in drained):
                is_open[i], changed = False, True
    return is_open


def _first_guess(network: Network, balance: _Balance, n: int) -> Array:
    """Flows that balance at every joint: half of what the pump could give, split evenly."""
    pump = network.pump
    flows = np.zeros((n, len(network.lines)))
    arriving = np.zeros(network.joints)
    ways = np.zeros(network.joints)
    for i, line in enumerate(network.lines):
        if line.start != SEA_IN and balance.open[i]:
            ways[line.start] += 1
    for i, line in enumerate(network.lines):  # in the water's order
        if not balance.open[i]:
            continue
        if line.start == SEA_IN:
            flow = pump.curve.last_flow * pump.speed * pump.in_parallel / 2
        else:
            flow = arriving[line.start] / ways[line.start]
        flows[:, i] = flow
        if line.end != SEA_OUT:
            arriving[line.end] += flow
    return flows


def _standing(network: Network, cases: Cases) -> Flows:
    """The answer where the main line is shut: nothing flows, and the pump holds its shut-off head."""
    n = cases.count
    still = np.zeros((n, len(network.lines)))
    head, _ = pump_head(network, cases, still[:, network.pump_line])
    return Flows(still, head, np.zeros(n), np.ones(n, dtype=bool))


def shutoff_head(network: Network, cases: Cases | None = None) -> Array:
    """Head [m] of the pump against a closed line, shape (n,)."""
    cases = cases or Cases()
    return pump_head(network, cases, np.zeros(cases.count))[0]

