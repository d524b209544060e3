"""Monte Carlo samples of a job: loops built like it, each a little different.

Sizing, the flow band, the figures and the job sheet all sample here, so that they agree on the same
loops. Spreads and their sources are those of `loop.tolerances`.
"""

import math
from collections.abc import Iterable, Iterator
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from loop import tolerances
from loop.curve import Array
from loop.hydraulics.cases import Cases
from loop.hydraulics.network import Network
from loop.parts import Hose, Manifold, Pump
from loop.parts.hose import BARB_OVER_HOSE
from loop.seawater import Water
from loop.tolerances import Tolerance

# Draws shared by a whole loop, one column each; a column per line for its own losses follows.
SHARED = (
    "pump_flow", "pump_head", "speed", "loss", "tee", "bore", "barb", "barb_measured", "lining",
)  # fmt: skip
COLUMN = {name: column for column, name in enumerate(SHARED)}

_GAMMA = np.uint64(0x9E3779B97F4A7C15)
# Standard deviations at which a hose's loss is evaluated; held constant beyond the last.
_PROBES = (-4.0, -2.0, 0.0, 2.0, 4.0)


def latin_hypercube(count: int, columns: int, seed: int) -> Array:
    """Stratified standard normal draws, shape (count, columns).

    Latin hypercube: each column holds the midpoint of each of `count` equally likely strata, in its
    own random order (McKay, Beckman & Conover, Technometrics 21 (1979) 239). A column does not
    depend on the number of columns after it.
    """
    order = np.argsort(_random_integers(count, columns, seed), axis=1, kind="stable")
    return np.ascontiguousarray(_strata_midpoints(count)[order].T)


@lru_cache(maxsize=32)
def cached_draws(count: int, columns: int, seed: int) -> Array:
    """`latin_hypercube`, cached and read-only: all options of a job share the same draws."""
    found = latin_hypercube(count, columns, seed)
    found.flags.writeable = False
    return found


def _random_integers(count: int, columns: int, seed: int) -> NDArray[np.uint64]:
    """Pseudorandom numbers, shape (columns, count), equal for a seed on every machine.

    SplitMix64 (Steele, Lea & Flood, OOPSLA 2014, 453): good enough for shuffling, and needs no
    library that would take longer to import than a check takes to run.
    """
    start = np.full(1, seed % 2**64, dtype=np.uint64)
    streams = _splitmix64(_splitmix64(start) + _GAMMA * np.arange(columns, dtype=np.uint64))
    return _splitmix64(streams[:, None] + _GAMMA * np.arange(1, count + 1, dtype=np.uint64))


def _splitmix64(state: NDArray[np.uint64]) -> NDArray[np.uint64]:
    """Output function of SplitMix64, modulo 2⁶⁴."""
    state = (state ^ (state >> np.uint64(30))) * np.uint64(0xBF58476D1CE4E5B9)
    state = (state ^ (state >> np.uint64(27))) * np.uint64(0x94D049BB133111EB)
    return state ^ (state >> np.uint64(31))


def normal_quantiles(shares: Iterable[float]) -> Iterator[float]:
    """Standard normal quantiles of these probabilities."""
    from statistics import NormalDist  # a diagnosis does not sample here, and does not load it

    return map(NormalDist().inv_cdf, shares)


@lru_cache(maxsize=16)
def _strata_midpoints(count: int) -> Array:
    half = np.array([*normal_quantiles((number + 0.5) / count for number in range(count // 2))])
    found = np.concatenate([half, np.zeros(count % 2), -half])
    found.flags.writeable = False
    return found


def draw_columns(network: Network) -> int:
    """Number of standard normal draws per sampled loop."""
    return len(SHARED) + len(network.lines)


def sampled_cases(network: Network, normal: Array) -> Cases:
    """Sampled loops as factors on a network.

    Parameters
    ----------
    normal : array, shape (n, columns)
        Standard normal draws in the order of `SHARED`, then one per line: `draw_columns` or more.

    Notes
    -----
    Factors are log-normal. After a baseline, the fit's own spreads replace those of the common loss
    factor and of the pump speed. Of the spreads that a fit cannot resolve, those of single lines
    and of the pump curve, the share `loop.tolerances.AFTER_BASELINE` remains.
    """
    fitted = network.job.fitted.spread is not None
    remaining_share = tolerances.AFTER_BASELINE if fitted else 1.0
    flow, head = pump_tolerances(network.pump)
    common, speed = (
        _common_logs_fitted(network, normal) if fitted else _common_logs_as_designed(normal)
    )
    own = remaining_share * own_loss_sigma()
    loss = _part_logs(network, normal, own, fitted)
    loss += common[:, None]
    return Cases(
        speed=np.exp(speed),
        pump_flow=np.exp(remaining_share * flow.sigma * normal[:, COLUMN["pump_flow"]]),
        pump_head=np.exp(remaining_share * head.sigma * normal[:, COLUMN["pump_head"]]),
        loss=np.exp(loss, out=loss),
        tee=np.exp(common + own * normal[:, COLUMN["tee"]]),
    )


def pump_tolerances(pump: Pump) -> tuple[Tolerance, Tolerance]:
    """Tolerances of a pump's flow and head, wider where only its nameplate is known."""
    plate = pump.curve.curve.nameplate
    if plate is None:
        return tolerances.PUMP_FLOW, tolerances.PUMP_HEAD
    guessed, estimate = plate.estimated, tolerances.NAMEPLATE_ESTIMATE
    return (
        estimate if guessed == "flow" else tolerances.NAMEPLATE_FLOW,
        estimate if guessed == "head" else tolerances.NAMEPLATE_HEAD,
    )


def common_loss_sigma() -> float:
    """Standard deviation of the logarithm of the loss factor common to a whole loop."""
    return tolerances.LOSS.sigma * math.sqrt(tolerances.LOSS_COMMON_VARIANCE)


def own_loss_sigma() -> float:
    """Standard deviation of the logarithm of each line's own loss factor."""
    return tolerances.LOSS.sigma * math.sqrt(1 - tolerances.LOSS_COMMON_VARIANCE)


def fitted_covariance(spread: tuple[float, ...], correlation: tuple[float, float, float]) -> Array:
    """Covariance of loss, pump and UA from spreads and correlations (loss–pump, loss–ua, pump–ua).

    Correlations are rounded when written to a file; they are shrunk where needed to keep the matrix
    positive definite.
    """
    one, two, three = correlation
    matrix = np.array([[1.0, one, two], [one, 1.0, three], [two, three, 1.0]])
    least = float(np.linalg.eigvalsh(matrix)[0])
    if least < 1e-3:
        matrix = (matrix + (1e-3 - least) * np.eye(3)) / (1 + 1e-3 - least)
    return np.asarray(matrix * np.outer(spread, spread))


def _common_logs_as_designed(normal: Array) -> tuple[Array, Array]:
    """Logarithms of the common loss factor and of speed; the curve's tolerance covers the speed."""
    return common_loss_sigma() * normal[:, COLUMN["loss"]], np.zeros(len(normal))


def _common_logs_fitted(network: Network, normal: Array) -> tuple[Array, Array]:
    """The same after a baseline, with the correlation of the two from its fit."""
    fitted = network.job.fitted
    assert fitted.spread is not None
    half = np.linalg.cholesky(fitted_covariance(fitted.spread, fitted.correlation)[:2, :2])
    both = normal[:, [COLUMN["loss"], COLUMN["speed"]]] @ half.T
    return both[:, 0], both[:, 1]


def _part_logs(network: Network, normal: Array, own: float, fitted: bool) -> Array:
    """Logarithm of each part's own factor in each sample, shape (n, parts)."""
    draws = np.ascontiguousarray(normal.T)
    lines = own * draws[len(SHARED) :]
    found = np.zeros((len(network.parts), len(normal)))
    for index, part in enumerate(network.parts):
        if isinstance(part, Pump | Manifold) or part.shut:
            continue
        found[index] = lines[network.line_of[index]]
        # A baseline's fit already includes how the hoses differ from the design.
        if isinstance(part, Hose) and not fitted:
            for name, logs in _hose_logs(part, network.water):
                found[index] += np.interp(draws[COLUMN[name]], _PROBES, logs)
    return found.T


Logs = tuple[float, ...]


def _hose_logs(hose: Hose, water: Water) -> tuple[tuple[str, Logs], ...]:
    """For each draw that affects a hose's loss, the log of its loss factor at each of `_PROBES`."""
    return _hose_logs_at_probes(
        hose,
        water,
        (
            tolerances.BORE.sigma,
            tolerances.BARB.sigma,
            tolerances.BARB_MEASURED.sigma,
            tolerances.RIBBED,
        ),
    )


@lru_cache(maxsize=4096)
def _hose_logs_at_probes(
    hose: Hose, water: Water, table: tuple[float, float, float, tuple[float, float]]
) -> tuple[tuple[str, Logs], ...]:
    bore_sigma, by_rule, measured, (smoothest, roughest) = table
    bore, barb = hose.inner_bore, hose.barb
    # 1/16 in, or a fifth of a narrow bore, at the outermost probes.
    step = min(bore_sigma, bore / 20)
    found = [("bore", [_with_bore(hose, bore + step * at) for at in _PROBES])]
    if hose.barbs:
        known = hose.barb_bore is not None and not math.isclose(barb, BARB_OVER_HOSE * bore)
        off = measured if known else by_rule
        name = "barb_measured" if known else "barb"
        bores = [min(barb * (1 + off * at), bore) for at in _PROBES]
        found.append((name, [_with_fields(hose, barb_bore=other) for other in bores]))
    if hose.lining == "ribbed" and hose.roughness is None:
        middle = hose.roughness_height
        edges = [(smoothest if at < 0 else roughest) / middle for at in _PROBES]
        heights = [
            middle * edge ** (abs(at) / tolerances.SIGMAS)
            for edge, at in zip(edges, _PROBES, strict=True)
        ]
        found.append(("lining", [_with_fields(hose, roughness=height) for height in heights]))
    return tuple((name, _loss_logs(hoses, hose, water)) for name, hoses in found)


def _loss_logs(hoses: list[Hose], middle: Hose, water: Water) -> Logs:
    """Logs of loss over nominal loss at a speed of 1 m/s; the ratio varies little with flow."""
    flow = math.pi / 4 * middle.inner_bore**2
    own = middle.head_loss(flow, water)
    return tuple(math.log(hose.head_loss(flow, water) / own) for hose in hoses)


def _with_bore(hose: Hose, bore: float) -> Hose:
    return _with_fields(hose, bore=bore, barb_bore=min(hose.barb, bore))


def _with_fields(hose: Hose, **fields: float) -> Hose:
    return hose.model_copy(update=fields)
