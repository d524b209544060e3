"""Flows of a network: many cases at once, or one with the parts' own functions.

Solved by Newton steps from a first guess (`newton_steps`). Where these do not converge, further
starting flows are tried, several at once, and then continuation: the tees' losses are scaled up
from 0, each solution starting the next. The work is bounded; a network that still does not converge
is reported as such.
"""

from collections.abc import Callable
from dataclasses import replace

import numpy as np

from loop.curve import Array
from loop.hydraulics.cases import Cases
from loop.hydraulics.flows import Flows as Flows
from loop.hydraulics.leg_solutions import Solve
from loop.hydraulics.leg_states import flows_at_best, flows_at_start
from loop.hydraulics.lines import LineLosses, initial_flows
from loop.hydraulics.network import Network
from loop.hydraulics.newton_steps import newton_solve
from loop.hydraulics.nodes import joint_drops

# Default tolerance [m] on the balance of heads.
TOLERANCE = 1e-9
# Continuation: factors on the tee losses, in order, where no start with all of them converges.
_TEE_FACTORS = np.linspace(0.0, 1.0, 9)
# With more unconverged cases than this, no fallback is tried: the network itself is at fault, and
# the time must be bounded.
_MOST_UNCONVERGED = 64
# Consecutive continuation steps that may fail before it is given up.
_MOST_FAILURES = 2
# Factor on one line's flow for further starts; and how many of these: starts times lines stay
# within this number, but at least so many starts.
_REVERSED = -0.5
_RESTARTS_TIMES_LINES, _FEWEST_RESTARTS = 1200, 3
# Flow [m³/s] of a line held by its wall, which then holds a millimeter of head.
_FLOW_AT_WALL = -1e-20
# Share of a network's largest flow below which a flow is zero.
_NOISE = 1e-12
# Factor on the tolerance up to which a case still counts as converged.
_CONVERGED = 10
# Cases per chunk: enough that arithmetic outweighs call overhead, few enough that the working
# arrays stay in the processor's cache and memory stays bounded.
_CHUNK = 4096


def solve_flows(
    network: Network,
    cases: Cases | None = None,
    exact: bool = False,
    start: Array | Flows | None = None,
    tolerance: float = TOLERANCE,
) -> Flows:
    """Flows of all lines of a network in every case.

    Falling legs hold air as `cases.air` says, otherwise as the network's `air` says; if both are
    None, each case has its state at start-up (`leg_states`), found with the tables.

    Parameters
    ----------
    network : Network
    cases : Cases, optional
        Factors, one row per case; the job as it stands if omitted.
    exact : bool
        Take each part's loss from its own function at each step, instead of from its table, which
        is within 0.1 % of it, or 3 % for a hose in laminar-turbulent transition. For a single
        result; studies use the tables.
    start : array, shape (n, lines) or (lines,), or Flows, optional
        Flows near the solution, which must balance at every joint. Or a result for the same cases
        with the legs in some state: cases that end in that state are not solved again.
    tolerance : float
        Tolerance on the balance of heads [m].

    Returns
    -------
    Flows
        Conserves mass by construction. A case that does not converge within the step limit is
        marked by ``settled``, without an exception.
    """
    return _solve_with_leg_states(
        flows_at_start, network, cases or Cases(), exact, start, tolerance
    )


def nominal_flows(network: Network) -> Flows:
    """`solve_flows` for a network as it stands, cached on the network."""
    kept = vars(network)
    if "nominal_flows" not in kept:
        kept["nominal_flows"] = solve_flows(network)
    flows: Flows = kept["nominal_flows"]
    return flows


def best_flows(
    network: Network,
    cases: Cases | None = None,
    start: Array | Flows | None = None,
    tolerance: float = TOLERANCE,
) -> Flows:
    """`solve_flows` with every falling leg full that can stay full; ignores the network's `air`."""
    cases = replace(cases or Cases(), air=None)
    network = network.varied(air=None)
    return _solve_with_leg_states(flows_at_best, network, cases, False, start, tolerance)


def _solve_with_leg_states(
    flows_in_state: Callable[[Network, Cases, Solve, Array | Flows | None], Flows],
    network: Network,
    cases: Cases,
    exact: bool,
    start: Array | Flows | None,
    tolerance: float,
) -> Flows:
    n = cases.count
    if isinstance(start, np.ndarray):
        start = np.broadcast_to(start, (n, len(network.lines)))
    if n > _CHUNK:
        chunks = [slice(i, i + _CHUNK) for i in range(0, n, _CHUNK)]
        return Flows.concatenate(
            [
                _solve_with_leg_states(
                    flows_in_state,
                    network,
                    cases[rows],
                    exact,
                    None if start is None else start[rows],
                    tolerance,
                )
                for rows in chunks
            ]
        )
    if cases.air is None and network.air is None and network.sections:
        found = flows_in_state(network, cases, _TableSolver(network, tolerance), start)
        left = np.flatnonzero(~found.settled)
        if len(left):
            again = replace(cases[left], air=found.air[left])
            found = found.with_rows(left, solve_in_state(network, again, False, None, tolerance))
        if not exact:
            return found
        cases, start = replace(cases, air=found.air), found
    near = start.line_flow if isinstance(start, Flows) else start
    return solve_in_state(network, cases, exact, near, tolerance)


class _TableSolver:
    """Solves cases of one network on the tables; after one failure it tries no more fallbacks.

    Finding the states of a network's legs solves many networks in turn, and their total time must
    be bounded.
    """

    def __init__(self, network: Network, tolerance: float) -> None:
        self._network, self._tolerance = network, tolerance

    def __call__(self, cases: Cases, near: Array | None) -> Flows:
        flows = solve_in_state(self._network, cases, False, near, self._tolerance)
        if not flows.settled.all():
            self._network = self._network.varied(settles=False)
        return flows


def solve_in_state(
    network: Network, cases: Cases, exact: bool, start: Array | None, tolerance: float
) -> Flows:
    """`solve_flows` where the sections that hold air are known."""
    n = cases.count
    losses = LineLosses(network, cases, exact)
    best: Array = np.zeros((n, len(network.lines)))
    residual: Array = np.zeros(n)
    moving = np.flatnonzero(~losses.pump_stalls)
    if len(moving):
        some = losses if len(moving) == n else losses.subset(moving)
        first = initial_flows(some) if start is None else _start_at_walls(some, start[moving])
        best[moving], residual[moving] = newton_solve(some, first, tolerance)
        # An exact solution starts from one on the tables, which has tried all this already.
        more = network.settles and network.forks and not exact
        for fallback in (_multistart, _continuation) if more else ():
            left = moving[residual[moving] >= _CONVERGED * tolerance]
            if 0 < len(left) <= _MOST_UNCONVERGED:
                found, residuals = fallback(losses.subset(left), tolerance)
                better = residuals < residual[left]
                best[left[better]], residual[left[better]] = found[better], residuals[better]
    return _result(losses, cases, best, residual, tolerance)


def _start_at_walls(losses: LineLosses, flows: Array) -> Array:
    """Starting flows in which lines at rest behind a wall are held by it, as most will stay.

    At zero flow a line's tangent does not include the wall, and the first step would overshoot it.
    """
    return np.where(losses.one_way & losses.open & (flows == 0), _FLOW_AT_WALL, flows)


def _result(
    losses: LineLosses, cases: Cases, flows: Array, residual: Array, tolerance: float
) -> Flows:
    network = losses.network
    flows = _with_noise_zeroed(losses, flows)
    if network.joints:
        flows = _with_noise_zeroed(losses, _mass_balanced(network, flows))
    head, _ = losses.pump(flows[:, network.pump_line])
    air = np.array(network.air or [False] * len(network.sections), dtype=bool)
    held = np.broadcast_to(air if cases.air is None else cases.air, (len(flows), len(air)))
    return Flows(flows, head, residual, residual < _CONVERGED * tolerance, held)


def balanced_from(
    network: Network, starts: Array, cases: Cases | None = None, tolerance: float = TOLERANCE
) -> Flows:
    """The solution reached from each of these flows, shape (n, lines), without fallbacks.

    `cases`, one per row, say which sections hold air; the job as it stands if omitted.
    """
    cases = cases or Cases(speed=np.ones(len(starts)))
    losses = LineLosses(network, cases, exact=False)
    flows, residual = newton_solve(losses, starts, tolerance)
    return _result(losses, cases, flows, residual, tolerance)


def with_scaled_line(network: Network, flows: Array, line: int, factor: float) -> Array:
    """Flows with this factor on one line's flow and the others rebalanced, (n, lines)."""
    other = flows.copy()
    other[:, line] *= factor
    conductance = np.abs(other)
    conductance[:, line] = 0.0
    return other + conductance * joint_drops(network, conductance, other)


def _continuation(losses: LineLosses, tolerance: float) -> tuple[Array, Array]:
    """Continuation: tee losses scaled from 0 to 1 in steps, each solved from the last.

    Given up after two consecutive steps that do not converge.
    """
    flows = initial_flows(losses)
    residuals: Array = np.zeros(len(flows))
    failures = np.zeros(len(flows), dtype=int)
    for factor in _TEE_FACTORS:
        flows, residuals = newton_solve(losses.with_tee_factor(float(factor)), flows, tolerance)
        failures = np.where(residuals < _CONVERGED * tolerance, 0, failures + 1)
        if (failures >= _MOST_FAILURES).all():
            return flows, np.full(len(flows), np.inf)
    return flows, residuals


def _multistart(losses: LineLosses, tolerance: float) -> tuple[Array, Array]:
    """Best result of `newton_solve` from starts in which each line in turn runs backwards.

    The first start that converges is enough. With tees a network may have several solutions, and
    the iteration may fail near one and converge to another.
    """
    guess = initial_flows(losses)
    n, lines = guess.shape
    tried = np.linspace(0, lines - 1, min(lines, most_restarts(lines))).astype(int)
    starts = np.concatenate(
        [with_scaled_line(losses.network, guess, int(i), _REVERSED) for i in tried]
    )
    rows = np.tile(np.arange(n), len(tried))
    flows, residuals = newton_solve(losses.subset(rows), starts, tolerance, rows)
    best = residuals.reshape(len(tried), n).argmin(axis=0) * n + np.arange(n)
    return flows[best], residuals[best]


def most_restarts(lines: int) -> int:
    """Most further starts that are tried in a network of this many lines."""
    return max(_FEWEST_RESTARTS, _RESTARTS_TIMES_LINES // lines)


def _with_noise_zeroed(losses: LineLosses, flows: Array) -> Array:
    """Flows with rounding noise and leakage back through walls set to 0."""
    size = np.abs(flows)
    none = size < _NOISE * np.asfortranarray(size).max(axis=1, keepdims=True)
    return np.where(none | (losses.one_way & (flows < 0)), 0.0, flows)


def _mass_balanced(network: Network, flows: Array) -> Array:
    """Flows that differ from `flows` by rounding, and balance at the joints to the last digit.

    The correction of each line is in proportion to its flow, and zero where the flow is zero.
    """
    conductance = np.abs(flows)
    return flows + conductance * joint_drops(network, conductance, flows)
