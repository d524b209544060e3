"""Flow band: the range of flows of loops built like this one, from Monte Carlo samples."""

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

from loop.curve import Array
from loop.hydraulics.leg_states import certainly_full
from loop.hydraulics.monte_carlo import cached_draws, draw_columns, normal_quantiles, sampled_cases
from loop.hydraulics.network import Network
from loop.hydraulics.solver import Flows, solve_flows

# About 95 of 100 loops built like this one lie between these quantiles.
_QUANTILES = (0.025, 0.975)
_SEED = 20260101
# Samples: the share inside the band is then within half a percent of 95 %. A network with many
# lines gets fewer samples, to bound the work.
_MOST_SAMPLES, _FEWEST_SAMPLES, _SAMPLES_TIMES_LINES = 2048, 512, 4096
# Samples at each end of a line's flow range that are checked for a different leg state.
_EXTREMES = 8
# Convergence tolerance on head [m]; the sampling error of a quantile is more than twice as large.
_TOLERANCE = 1e-7


def flow_band(network: Network, middle: Array) -> tuple[Array, Array]:
    """Low and high edge of every line's flow [m³/s], each shape (lines,).

    About 95 of 100 loops sampled from the spreads of `loop.tolerances` have a line's flow between
    its edges, for each line separately: the edges are quantiles of that many solved loops. They
    therefore hold where flow is far from linear in the uncertain inputs: near shut-off, where a
    pump barely lifts the water, and where a falling leg holds air in some samples and runs full in
    others.

    `middle` is the flow of the job as it stands, shape (lines,), the starting point of the solves.
    Each sample is solved in its state at start-up.
    """
    return band_from_samples(network, middle, sampled_flows(network, middle, solve_flows))


def band_from_samples(network: Network, middle: Array, flows: Flows) -> tuple[Array, Array]:
    """`flow_band` from the sampled flows that `sampled_flows` returns."""
    normal = band_draws(network)
    # Too few converged samples define no distribution; then use all of them.
    values = flows.line_flow
    if 2 * normal.shape[1] < np.count_nonzero(flows.settled) < len(normal):
        values, normal = values[flows.settled], normal[flows.settled]
    low, high = band_edges(values, normal)
    return np.minimum(low, middle), np.maximum(high, middle)


def band_edges(values: Array, normal: Array) -> tuple[Array, Array]:
    """Values below and above which about 2.5 of 100 loops lie, each shape (m,).

    Parameters
    ----------
    values : array, shape (n, m)
        Results of n sampled loops, one column per quantity.
    normal : array, shape (n, columns)
        The standard normal draws of those loops.

    Notes
    -----
    Quantiles with a control variate (Hesterberg & Nelson, Management Science 44 (1998) 1295): each
    is read at the share of samples in which the best linear fit in the draws lies below its own
    quantile, which is known exactly. This removes most of the sampling noise of a small sample.
    """
    squares = normal.T @ normal
    # Where few samples converge there may be fewer rows than columns.
    slopes, *_ = np.linalg.lstsq(squares, normal.T @ (values - values.mean(axis=0)), rcond=None)
    line, spread = normal @ slopes, np.linalg.norm(slopes, axis=0)
    ranked = np.sort(values, axis=0)
    low, high = (
        _quantile(ranked, np.mean(line < at * spread, axis=0))
        for at in normal_quantiles(_QUANTILES)
    )
    return low, high


def _quantile(ranked: Array, share: Array) -> Array:
    """Quantiles of sorted columns at these shares, midway between two neighboring values."""
    columns, last = np.arange(ranked.shape[1]), len(ranked) - 1
    above = np.minimum(np.rint(share * len(ranked)).astype(np.intp), last)
    below = np.maximum(above - 1, 0)
    return np.asarray((ranked[below, columns] + ranked[above, columns]) / 2)


def sampled_flows(
    network: Network, middle: Array, solve: Callable[..., Flows] = solve_flows
) -> Flows:
    """Flows of the sampled loops behind `flow_band`; the draws do not depend on the job.

    Each sample has its own state of the falling legs. All are first solved in the state of
    `network`; the states of all samples are solved only if one of those at the ends of the lines'
    flow ranges turns out to be in another.
    """
    cases = sampled_cases(network, band_draws(network))
    flows = solve_flows(network, cases, start=middle, tolerance=_TOLERANCE)
    full = not any(network.air or (True,)) and certainly_full(network, cases)
    if full or not network.sections:
        return flows
    # Samples that do not converge directly get no fallback solves.
    ends, free = _extreme_samples(network, flows.line_flow), network.varied(air=None, settles=False)
    own = solve(free, cases[ends], start=flows[ends], tolerance=_TOLERANCE)
    if (own.air == flows.air[ends]).all():
        return flows
    return solve(free, cases, start=flows, tolerance=_TOLERANCE)


def _extreme_samples(network: Network, flows: Array) -> NDArray[np.intp]:
    """Samples with the least and the most flow in any line that has a falling leg."""
    lines = sorted({section.line for section in network.sections})
    ranked = np.argsort(flows[:, lines], axis=0)
    # `np.unique` would import numpy's masked arrays, a thirtieth of a short check.
    return np.flatnonzero(
        np.bincount(np.concatenate([ranked[:_EXTREMES], ranked[-_EXTREMES:]]).ravel())
    )


def band_draws(network: Network, more: int = 0) -> Array:
    """Standard normal draws behind `flow_band`, (n, columns), plus `more` columns for readings."""
    count = min(max(_SAMPLES_TIMES_LINES // len(network.lines), _FEWEST_SAMPLES), _MOST_SAMPLES)
    return cached_draws(count, draw_columns(network) + more, _SEED)
