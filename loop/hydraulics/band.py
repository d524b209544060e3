"""How far the flow may lie from the middle answer: pump tolerance, loss and bore uncertainty."""

from functools import lru_cache

import numpy as np

from loop.curve import Array
from loop.hydraulics.cases import Cases
from loop.hydraulics.network import Network
from loop.hydraulics.solver import solve_flows
from loop.parts import Hose
from loop.seawater import Water

# ISO 9906:2012, grade 2B: tolerance of a pump's flow and head about its stated curve.
PUMP_FLOW, PUMP_HEAD = 0.08, 0.05
# Engineering estimate: loss coefficients of hoses and fittings as they are fitted.
LOSS = 0.25
# Engineering estimate: hose bore, 1/32 in either way [m].
BORE = 0.0254 / 32

_PROBES = (-2.0, -1.0, 0.0, 1.0, 2.0)  # in units of BORE


def bore_factors(network: Network, shift: Array) -> Array:
    """Factor on each part's loss where every hose's bore is off by `shift` [m].

    Parameters
    ----------
    shift : array, shape (n,)
        Bore minus nominal bore [m]. One figure for all hoses: they come off one reel.

    Returns
    -------
    array, shape (n, parts)
        1 for parts that are not hoses. The factor is taken at the flow of 1 m/s in the hose, since
        it changes little with flow; barbs keep their bore. Shifts past 1/16 in, or a fifth of
        the bore, are held there.
    """
    factors = np.ones((len(shift), len(network.parts)))
    for index, part in enumerate(network.parts):
        if isinstance(part, Hose):
            step, logs = _bore_probes(part, network.water)
            held = np.clip(shift / step, _PROBES[0], _PROBES[-1])
            factors[:, index] = np.exp(np.interp(held, _PROBES, logs))
    return factors


@lru_cache(maxsize=4096)
def _bore_probes(hose: Hose, water: Water) -> tuple[float, tuple[float, ...]]:
    """Step of bore [m], and log of the loss factor at each of `_PROBES` steps."""
    bore = hose.inner_bore
    step = min(BORE, bore / 10)
    flow = np.pi / 4 * bore**2
    losses = [_with_bore(hose, bore + step * probe).head_loss(flow, water) for probe in _PROBES]
    return step, tuple(float(np.log(loss / losses[2])) for loss in losses)


def _with_bore(hose: Hose, bore: float) -> Hose:
    return hose.model_copy(update={"bore": bore, "barb_bore": min(hose.barb, bore)})


def flow_band(network: Network, middle: Array) -> tuple[Array, Array]:
    """Low and high edge of every line's flow [m³/s], each shape (lines,).

    The four tolerances are independent, so the shifts that each makes alone, at its edge, add as
    the root of their squares (JCGM 100:2008, 5.1.2). A shift that lowers a flow widens the low
    edge, one that raises it the high edge.
    """
    change = band_shifts(network, middle)
    below = (np.minimum(change, 0.0) ** 2).sum(axis=0)
    above = (np.maximum(change, 0.0) ** 2).sum(axis=0)
    return middle - np.sqrt(below), middle + np.sqrt(above)


def band_shifts(network: Network, middle: Array) -> Array:
    """Shift of every line's flow [m³/s] with one tolerance at its edge, shape (8, lines).

    Two rows each, the one that takes flow away first: the pump's flow, its head, the losses, the
    bore of the hoses.
    """
    bores = bore_factors(network, np.array([BORE, -BORE]))
    pump_flow, pump_head, loss = np.ones(8), np.ones(8), np.ones((8, len(network.parts)))
    pump_flow[0:2] = 1 - PUMP_FLOW, 1 + PUMP_FLOW
    pump_head[2:4] = 1 - PUMP_HEAD, 1 + PUMP_HEAD
    loss[4:6] = [[1 + LOSS], [1 - LOSS]]
    loss[6:8] = bores[::-1]
    edges = Cases(pump_flow=pump_flow, pump_head=pump_head, loss=loss)
    shifts: Array = solve_flows(network, edges, start=middle).line_flow - middle
    return shifts
