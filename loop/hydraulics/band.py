"""How far the flow may lie from the middle answer: the loops that are built like this one."""

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

from loop.curve import Array
from loop.hydraulics.boats import boats, columns_of, kept, places
from loop.hydraulics.network import Network
from loop.hydraulics.solver import Flows, solve_flows

# About 95 in 100 loops built like this one lie between the edges.
_EDGES = (0.025, 0.975)
_SEED = 20260101
# Loops drawn: the share inside is then within half a percent of 95. A network of many lines takes
# fewer, so that the work stays bounded.
_DRAWS, _FEWEST, _NUMBERS = 2048, 512, 4096
# Loops at each end of a line's flows, asked whether a leg is in another state in them.
_ENDS = 8
# Heads [m] that differ by less are balanced: a quantile of a sample is not known half as well.
_WITHIN = 1e-7


def flow_band(network: Network, middle: Array) -> tuple[Array, Array]:
    """Low and high edge of every line's flow [m³/s], each shape (lines,).

    About 95 of 100 loops drawn as `loop.tolerances` says have a line's flow between its edges, for
    each line by itself: they are the quantiles of as many solved loops. So they hold where flow is
    no straight line of what is uncertain: near shut-off, where a pump just lifts the water, and
    where a falling leg holds air in some of the loops and runs full in the others.

    `middle` is the flow of the job as it stands, shape (lines,), from which the loops are solved,
    as they start.
    """
    return band_of(network, middle, drawn_flows(network, middle, solve_flows))


def band_of(network: Network, middle: Array, flows: Flows) -> tuple[Array, Array]:
    """`flow_band` from the loops' flows, as `drawn_flows` gives them."""
    normal = draws_of(network)
    # Too few that settle tell no distribution; then all are taken as they are.
    enough = flows.settled.sum() > 2 * normal.shape[1]
    kept = flows.settled if enough else np.ones(len(normal), dtype=bool)
    low, high = edges_of(flows.line_flow[kept], normal[kept])
    return np.minimum(low, middle), np.maximum(high, middle)


def edges_of(values: Array, normal: Array) -> tuple[Array, Array]:
    """The values below and above which about 2.5 in 100 loops lie, each (m,).

    Parameters
    ----------
    values : array, shape (n, m)
        What n drawn loops give, a column each.
    normal : array, shape (n, columns)
        The draws that they were made with.

    Notes
    -----
    Quantiles, each taken at the share of these draws that lies past the same quantile of the best
    straight line in the draws, whose distribution is known: a control variate (Hesterberg & Nelson,
    Management Science 44 (1998) 1295), which takes most of the luck out of a small sample.
    """
    squares = normal.T @ normal
    # Of a network that hardly settles fewer draws may be left than there are columns.
    slopes, *_ = np.linalg.lstsq(squares, normal.T @ (values - values.mean(axis=0)), rcond=None)
    line, spread = normal @ slopes, np.linalg.norm(slopes, axis=0)
    ranked = np.sort(values, axis=0)
    low, high = (_quantile(ranked, np.mean(line < at * spread, axis=0)) for at in places(_EDGES))
    return low, high


def _quantile(ranked: Array, share: Array) -> Array:
    """Values below which these shares of sorted columns lie, half way between two of them."""
    columns, last = np.arange(ranked.shape[1]), len(ranked) - 1
    above = np.minimum(np.rint(share * len(ranked)).astype(np.intp), last)
    below = np.maximum(above - 1, 0)
    return np.asarray((ranked[below, columns] + ranked[above, columns]) / 2)


def drawn_flows(
    network: Network, middle: Array, solve: Callable[..., Flows] = solve_flows
) -> Flows:
    """Flows of the loops behind `flow_band`: the same draws each time, whatever the job.

    Each drawn loop has its falling legs in its own state. They are solved in that of `network`
    first; where the loops at the ends of the lines' flows turn out to be in no other, none is.
    """
    cases = boats(network, draws_of(network))
    flows = solve_flows(network, cases, start=middle, within=_WITHIN)
    if not network.sections:
        return flows
    # Of loops that no plain steps settle the states are not looked for in all the other ways too.
    ends, free = _ends(network, flows.line_flow), network.varied(air=None, settles=False)
    own = solve(free, cases[ends], start=flows[ends], within=_WITHIN)
    if (own.air == flows.air[ends]).all():
        return flows
    return solve(free, cases, start=flows, within=_WITHIN)


def _ends(network: Network, flows: Array) -> NDArray[np.intp]:
    """The loops with the least and the most water in any line that has a falling leg."""
    lines = sorted({section.line for section in network.sections})
    ranked = np.argsort(flows[:, lines], axis=0)
    # `np.unique` would load the library's masked arrays, a thirtieth of a short check.
    return np.flatnonzero(np.bincount(np.concatenate([ranked[:_ENDS], ranked[-_ENDS:]]).ravel()))


def draws_of(network: Network, more: int = 0) -> Array:
    """The standard draws behind `flow_band`, (n, columns), and `more` for a reading's own."""
    count = min(max(_NUMBERS // len(network.lines), _FEWEST), _DRAWS)
    return kept(count, columns_of(network) + more, _SEED)
