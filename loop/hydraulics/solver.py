"""The flows of a network: many cases at once, or one on the exact functions.

They are found by Newton steps from a first guess (`newton_steps`). Where those do not end, other
flows are begun with, some of them at once, and at last the tees' losses are let in little by
little, each time from the answer before. All this is bounded: a network that none of it settles is
said so.
"""

from collections.abc import Callable
from dataclasses import replace

import numpy as np

from loop.curve import Array
from loop.hydraulics.cases import Cases
from loop.hydraulics.flows import Flows as Flows
from loop.hydraulics.leg_states import Solve, as_it_starts, at_best
from loop.hydraulics.lines import LineLosses, first_guess
from loop.hydraulics.network import Network
from loop.hydraulics.newton_steps import settled
from loop.hydraulics.nodes import joint_drops

# Heads [m] that differ by less are balanced, where nothing else is asked.
_WITHIN = 1e-9
# Shares of the tees' losses, one after the other, where no steps with all of them end.
_LET_IN = np.linspace(0.0, 1.0, 9)
# Of so many cases at once that do not settle no more is asked: the network itself is at fault, and
# the time that it takes must be bounded.
_MOST_HARD = 64
# Steps after each other that may not settle before no more are taken.
_GIVEN_UP = 2
# Share of a line's flow with which other flows are begun; and how many lines are turned so: as many
# as make so many lines together, but no fewer than these.
_BACK = -0.5
_TRIED_LINES, _FEWEST_TRIES = 1200, 3
# Flow [m³/s] at which a line stands behind its wall, which then holds a millimetre of head.
_BEHIND = -1e-20
# Share of a network's largest flow that is no flow.
_NOISE = 1e-12
# How many times what was asked a case may miss it by and still count as settled.
_MISSED = 10
# Cases worked on together: enough that the arithmetic outweighs the calls, and few enough that the
# working arrays stay in the processor's cache and memory bounded however many cases there are.
_ROWS = 4096


def solve_flows(
    network: Network,
    cases: Cases | None = None,
    exact: bool = False,
    start: Array | Flows | None = None,
    within: float = _WITHIN,
) -> Flows:
    """Flows of all lines of a network, in every case.

    Falling legs hold air as `cases.air` says, or else as the network's `air` does; where neither
    does, each case as it starts (`leg_states`), found on the tables.

    Parameters
    ----------
    network : Network
    cases : Cases, optional
        Factors, one row a case; the job as it stands where left out.
    exact : bool
        Take each part's loss from its own function at each step, instead of from its table, which
        lies within 0.1 % of it, and within 3 % for a hose at whose flow laminar flow turns. For a
        single answer; studies use the tables.
    start : array, shape (n, lines) or (lines,), or Flows, optional
        Flows near the answer; they must balance at every joint. Or an answer to the same cases with
        legs in some state: cases that turn out to be in it are not solved again.
    within : float
        Heads that differ by less [m] are balanced.

    Returns
    -------
    Flows
        Exact in mass by construction. A case that does not settle within the step limit is marked,
        never raised.
    """
    return _in_state(as_it_starts, network, cases or Cases(), exact, start, within)


def running(network: Network) -> Flows:
    """`solve_flows` of a network as it stands, solved once and kept with it."""
    kept = vars(network)
    if "running" not in kept:
        kept["running"] = solve_flows(network)
    flows: Flows = kept["running"]
    return flows


def best_flows(
    network: Network,
    cases: Cases | None = None,
    start: Array | Flows | None = None,
    within: float = _WITHIN,
) -> Flows:
    """`solve_flows` with every falling leg full that can stay full, whatever the network says."""
    cases = replace(cases or Cases(), air=None)
    network = network.varied(air=None)
    return _in_state(at_best, network, cases, False, start, within)


def _in_state(
    state: Callable[[Network, Cases, Solve, Array | Flows | None], Flows],
    network: Network,
    cases: Cases,
    exact: bool,
    start: Array | Flows | None,
    within: float,
) -> Flows:
    n = cases.count
    if isinstance(start, np.ndarray):
        start = np.broadcast_to(start, (n, len(network.lines)))
    if n > _ROWS:
        chunks = [slice(i, i + _ROWS) for i in range(0, n, _ROWS)]
        return Flows.joined(
            [
                _in_state(
                    state,
                    network,
                    cases[rows],
                    exact,
                    None if start is None else start[rows],
                    within,
                )
                for rows in chunks
            ]
        )
    if cases.air is None and network.air is None and network.sections:
        found = state(network, cases, _Once(network, within), start)
        left = np.flatnonzero(~found.settled)
        if len(left):
            again = replace(cases[left], air=found.air[left])
            found = found.with_rows(left, _solve(network, again, False, None, within))
        if not exact:
            return found
        cases, start = replace(cases, air=found.air), found
    near = start.line_flow if isinstance(start, Flows) else start
    return _solve(network, cases, exact, near, within)


class _Once:
    """Solves cases of one network, on the tables; where one does not settle, does no more for it.

    The states of a network's legs are many networks in a row, and the time that all take together
    must be bounded.
    """

    def __init__(self, network: Network, within: float) -> None:
        self._network, self._within = network, within

    def __call__(self, cases: Cases, near: Array | None) -> Flows:
        flows = _solve(self._network, cases, False, near, self._within)
        if not flows.settled.all():
            self._network = self._network.varied(settles=False)
        return flows


def _solve(
    network: Network, cases: Cases, exact: bool, start: Array | None, within: float
) -> Flows:
    """`solve_flows` where it is known which sections hold air."""
    n = cases.count
    losses = LineLosses(network, cases, exact)
    best: Array = np.zeros((n, len(network.lines)))
    residual: Array = np.zeros(n)
    moving = np.flatnonzero(~losses.at_rest)
    if len(moving):
        some = losses.of(moving)
        first = first_guess(some) if start is None else _held(some, start[moving])
        best[moving], residual[moving] = settled(some, first, within)
        # An exact answer is polished from one on the tables, for which all this was done already.
        more = network.settles and network.forks and not exact
        for way in (_from_elsewhere, _let_in) if more else ():
            left = moving[residual[moving] >= _MISSED * within]
            if 0 < len(left) <= _MOST_HARD:
                found, missed = way(losses.of(left), within)
                better = missed < residual[left]
                best[left[better]], residual[left[better]] = found[better], missed[better]
    return _answer(losses, cases, best, residual, within)


def _held(losses: LineLosses, flows: Array) -> Array:
    """An answer to begin with, its lines at rest behind a wall held by it: most of them will be.

    At no flow a line's tangent knows nothing of the wall, and the first step would lead far past.
    """
    return np.where(losses.one_way & losses.open & (flows == 0), _BEHIND, flows)


def _answer(
    losses: LineLosses, cases: Cases, flows: Array, residual: Array, within: float
) -> Flows:
    network = losses.network
    flows = _without_noise(losses, _conserving(network, _without_noise(losses, flows)))
    head, _ = losses.pump(flows[:, network.pump_line])
    air = np.array(network.air or [False] * len(network.sections), dtype=bool)
    held = np.broadcast_to(air if cases.air is None else cases.air, (len(flows), len(air)))
    return Flows(flows, head, residual, residual < _MISSED * within, held)


def balanced_from(
    network: Network, starts: Array, cases: Cases | None = None, within: float = _WITHIN
) -> Flows:
    """Where the solver comes to from each of these flows, shape (n, lines), by no other way.

    `cases` are as many, and say which sections hold air; the job as it stands where left out.
    """
    cases = cases or Cases(speed=np.ones(len(starts)))
    losses = LineLosses(network, cases, exact=False)
    flows, residual = settled(losses, starts, within)
    return _answer(losses, cases, flows, residual, within)


def turned(network: Network, flows: Array, line: int, share: float) -> Array:
    """Flows in which one line has this share of its own, the others in balance, (n, lines)."""
    other = flows.copy()
    other[:, line] *= share
    ease = np.abs(other)
    ease[:, line] = 0.0
    return other + ease * joint_drops(network, ease, other)


def _let_in(losses: LineLosses, within: float) -> tuple[Array, Array]:
    """Continuation: the tees' losses scaled from 0 to 1 in steps, each solved from the last.

    Given up where two steps after each other do not settle.
    """
    flows = first_guess(losses)
    missed: Array = np.zeros(len(flows))
    lost = np.zeros(len(flows), dtype=int)
    for share in _LET_IN:
        flows, missed = settled(losses.eased(float(share)), flows, within)
        lost = np.where(missed < _MISSED * within, 0, lost + 1)
        if (lost >= _GIVEN_UP).all():
            return flows, np.full(len(flows), np.inf)
    return flows, missed


def _from_elsewhere(losses: LineLosses, within: float) -> tuple[Array, Array]:
    """The best that `settled` gives from flows in which one line, each in turn, runs backwards.

    Whichever settles first is enough. With tees a network may have more than one answer, and the
    one that lies nearest may end.
    """
    guess = first_guess(losses)
    n, lines = guess.shape
    tried = np.linspace(0, lines - 1, min(lines, most_tries(lines))).astype(int)
    starts = np.concatenate([turned(losses.network, guess, int(i), _BACK) for i in tried])
    rows = np.tile(np.arange(n), len(tried))
    flows, missed = settled(losses.of(rows), starts, within, rows)
    best = missed.reshape(len(tried), n).argmin(axis=0) * n + np.arange(n)
    return flows[best], missed[best]


def most_tries(lines: int) -> int:
    """How many other flows are begun with, at most, in a network of so many lines."""
    return max(_FEWEST_TRIES, _TRIED_LINES // lines)


def _without_noise(losses: LineLosses, flows: Array) -> Array:
    """Flows with 0 for those that are none beside the largest, or leak back through a wall."""
    size = np.abs(flows)
    none = size < _NOISE * size.max(axis=1, keepdims=True)
    return np.where(none | (losses.one_way & (flows < 0)), 0.0, flows)


def _conserving(network: Network, flows: Array) -> Array:
    """Flows that differ by rounding from `flows`, and balance at the joints to the last digit.

    Each line takes of the difference as it does of the flow, and none where it stands.
    """
    ease = np.abs(flows)
    return flows + ease * joint_drops(network, ease, flows)
