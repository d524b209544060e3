"""Loops built like a job's, each a little different: what is uncertain, drawn in one place.

Sizing, the band, the figures and the job sheet draw from here, so that all speak of the same
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

# What all of a loop shares, a column each; after them one for each line's own losses.
SHARED = (
    "pump_flow", "pump_head", "speed", "loss", "tee", "bore", "barb", "barb_measured", "lining",
)  # fmt: skip
AT = {name: column for column, name in enumerate(SHARED)}

_GAMMA = np.uint64(0x9E3779B97F4A7C15)
# Places, in standard deviations, at which a hose's loss is asked for; held past the last.
_PROBES = (-4.0, -2.0, 0.0, 2.0, 4.0)


def standard(count: int, columns: int, seed: int) -> Array:
    """Standard normal draws, shape (count, columns), that fill their range evenly.

    Latin hypercube: each column has the middle of each of `count` slices of equal chance, in an
    order of its own (McKay, Beckman & Conover, Technometrics 21 (1979) 239). A column holds the
    same draws whatever the number of columns after it.
    """
    order = np.argsort(_scattered(count, columns, seed), axis=1, kind="stable")
    return np.ascontiguousarray(_slices(count)[order].T)


@lru_cache(maxsize=32)
def kept(count: int, columns: int, seed: int) -> Array:
    """`standard`, kept and not to be written to: options of a job are asked with the same draws."""
    found = standard(count, columns, seed)
    found.flags.writeable = False
    return found


def _scattered(count: int, columns: int, seed: int) -> NDArray[np.uint64]:
    """Numbers without order, shape (columns, count), the same for a seed on every machine.

    SplitMix64 (Steele, Lea & Flood, OOPSLA 2014, 453): enough for shuffling, and it takes no
    library that would load longer than a check runs.
    """
    start = np.full(1, seed % 2**64, dtype=np.uint64)
    streams = _mixed(_mixed(start) + _GAMMA * np.arange(columns, dtype=np.uint64))
    return _mixed(streams[:, None] + _GAMMA * np.arange(1, count + 1, dtype=np.uint64))


def _mixed(state: NDArray[np.uint64]) -> NDArray[np.uint64]:
    """The output function of SplitMix64, in arithmetic modulo 2⁶⁴."""
    state = (state ^ (state >> np.uint64(30))) * np.uint64(0xBF58476D1CE4E5B9)
    state = (state ^ (state >> np.uint64(27))) * np.uint64(0x94D049BB133111EB)
    return state ^ (state >> np.uint64(31))


def places(shares: Iterable[float]) -> Iterator[float]:
    """The places below which these shares of standard normal draws lie."""
    from statistics import NormalDist  # which a call, whose draws are no boats, does not load

    return map(NormalDist().inv_cdf, shares)


@lru_cache(maxsize=16)
def _slices(count: int) -> Array:
    half = np.array([*places((number + 0.5) / count for number in range(count // 2))])
    found = np.concatenate([half, np.zeros(count % 2), -half])
    found.flags.writeable = False
    return found


def columns_of(network: Network) -> int:
    """How many standard draws one loop takes."""
    return len(SHARED) + len(network.lines)


def boats(network: Network, normal: Array) -> Cases:
    """The drawn loops as factors on a network.

    Parameters
    ----------
    normal : array, shape (n, columns)
        Standard normal draws in the order of `SHARED`, then one a line: `columns_of` or more.

    Notes
    -----
    Factors are log-normal. After a baseline the fit's own spreads stand for what all losses share
    and for the pump's speed; of what it cannot see one by one, hoses and pump, a share stays.
    """
    fitted = network.job.fitted.spread is not None
    left = tolerances.AFTER_BASELINE if fitted else 1.0
    flow, head = pump_tolerances(network.pump)
    common, speed = _fitted(network, normal) if fitted else _as_designed(normal)
    own = left * own_loss_sigma()
    return Cases(
        speed=np.exp(speed),
        pump_flow=np.exp(left * flow.sigma * normal[:, AT["pump_flow"]]),
        pump_head=np.exp(left * head.sigma * normal[:, AT["pump_head"]]),
        loss=np.exp(common[:, None] + _of_parts(network, normal, own, fitted)),
        tee=np.exp(common + own * normal[:, AT["tee"]]),
    )


def pump_tolerances(pump: Pump) -> tuple[Tolerance, Tolerance]:
    """Tolerance of a pump's flow and of its head, wider where only its nameplate is known."""
    plate = pump.curve.curve.nameplate
    if plate is None:
        return tolerances.PUMP_FLOW, tolerances.PUMP_HEAD
    guessed, estimate = plate.estimated, tolerances.NAMEPLATE_ESTIMATE
    return (
        estimate if guessed == "flow" else tolerances.NAMEPLATE_FLOW,
        estimate if guessed == "head" else tolerances.NAMEPLATE_HEAD,
    )


def common_loss_sigma() -> float:
    """Standard deviation of the logarithm of what all losses of a loop share."""
    return tolerances.LOSS.sigma * math.sqrt(tolerances.LOSS_COMMON_VARIANCE)


def own_loss_sigma() -> float:
    """Standard deviation of the logarithm of what the losses of one line have of their own."""
    return tolerances.LOSS.sigma * math.sqrt(1 - tolerances.LOSS_COMMON_VARIANCE)


def fitted_covariance(spread: tuple[float, ...], correlation: tuple[float, float, float]) -> Array:
    """Covariance of loss, pump and UA from spreads and correlations (loss–pump, loss–ua, pump–ua).

    Correlations as written in a file are rounded; they are shrunk where needed, to stay possible.
    """
    one, two, three = correlation
    matrix = np.array([[1.0, one, two], [one, 1.0, three], [two, three, 1.0]])
    least = float(np.linalg.eigvalsh(matrix)[0])
    if least < 1e-3:
        matrix = (matrix + (1e-3 - least) * np.eye(3)) / (1 + 1e-3 - least)
    return np.asarray(matrix * np.outer(spread, spread))


def _as_designed(normal: Array) -> tuple[Array, Array]:
    """Logarithms of what all losses share and of the speed, which the curve's tolerance holds."""
    return common_loss_sigma() * normal[:, AT["loss"]], np.zeros(len(normal))


def _fitted(network: Network, normal: Array) -> tuple[Array, Array]:
    """The same after a baseline, whose fit knows how the two go together."""
    fitted = network.job.fitted
    assert fitted.spread is not None
    half = np.linalg.cholesky(fitted_covariance(fitted.spread, fitted.correlation)[:2, :2])
    both = normal[:, [AT["loss"], AT["speed"]]] @ half.T
    return both[:, 0], both[:, 1]


def _of_parts(network: Network, normal: Array, own: float, fitted: bool) -> Array:
    """Logarithm of each part's own factor in each loop, shape (n, parts)."""
    lines = own * normal[:, len(SHARED) :]
    found = np.zeros((len(normal), len(network.parts)))
    for index, part in enumerate(network.parts):
        if isinstance(part, Pump | Manifold) or part.shut:
            continue
        found[:, index] = lines[:, network.line_of[index]]
        # What hoses are apart from the design is in the fit, once there is one.
        if isinstance(part, Hose) and not fitted:
            for name, logs in _hose_logs(part, network.water):
                found[:, index] += np.interp(normal[:, AT[name]], _PROBES, logs)
    return found


Logs = tuple[float, ...]


def _hose_logs(hose: Hose, water: Water) -> tuple[tuple[str, Logs], ...]:
    """For each draw that moves a hose's loss, the log of its factor at each of `_PROBES`."""
    return _probed(
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
def _probed(
    hose: Hose, water: Water, table: tuple[float, float, float, tuple[float, float]]
) -> tuple[tuple[str, Logs], ...]:
    bore_sigma, by_rule, measured, (smoothest, roughest) = table
    bore, barb = hose.inner_bore, hose.barb
    # A sixteenth of an inch, or a fifth of a narrow bore, at the ends of the probes.
    step = min(bore_sigma, bore / 20)
    found = [("bore", [_with_bore(hose, bore + step * at) for at in _PROBES])]
    if hose.barbs:
        known = hose.barb_bore is not None and not math.isclose(barb, BARB_OVER_HOSE * bore)
        off = measured if known else by_rule
        name = "barb_measured" if known else "barb"
        bores = [min(barb * (1 + off * at), bore) for at in _PROBES]
        found.append((name, [_with(hose, barb_bore=other) for other in bores]))
    if hose.lining == "ribbed" and hose.roughness is None:
        middle = hose.roughness_height
        edges = [(smoothest if at < 0 else roughest) / middle for at in _PROBES]
        heights = [
            middle * edge ** (abs(at) / tolerances.SIGMAS)
            for edge, at in zip(edges, _PROBES, strict=True)
        ]
        found.append(("lining", [_with(hose, roughness=height) for height in heights]))
    return tuple((name, _logs(hoses, hose, water)) for name, hoses in found)


def _logs(hoses: list[Hose], middle: Hose, water: Water) -> Logs:
    """Logs of loss over the middle's, at the flow of 1 m/s: the factor changes little with flow."""
    flow = math.pi / 4 * middle.inner_bore**2
    own = middle.head_loss(flow, water)
    return tuple(math.log(hose.head_loss(flow, water) / own) for hose in hoses)


def _with_bore(hose: Hose, bore: float) -> Hose:
    return _with(hose, bore=bore, barb_bore=min(hose.barb, bore))


def _with(hose: Hose, **fields: float) -> Hose:
    return hose.model_copy(update=fields)
