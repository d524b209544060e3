"""The uncertain answer: many loops like this one, each a little different, solved at once."""

from dataclasses import dataclass

import numpy as np

from loop.curve import Array
from loop.draw.scene import Scene
from loop.hydraulics import Cases, bore_factors, solve_flows
from loop.hydraulics.band import BORE, LOSS, PUMP_FLOW, PUMP_HEAD

DRAWS = 1000
_SEED = 20260101


@dataclass(frozen=True)
class Spread:
    """Flow through the pump in each draw [m³/s], and whether every unit got its need there."""

    flow: Array
    enough: "np.ndarray[tuple[int], np.dtype[np.bool_]]"

    @property
    def share(self) -> float:
        """Share of the draws in which every unit gets its need, 0 to 1."""
        return float(np.mean(self.enough))


def spread(scene: Scene) -> Spread:
    """A thousand loops with pump, losses and hose bore drawn at random within their tolerances.

    Each tolerance is taken as two standard deviations of a normal distribution (an engineering
    estimate); the same numbers are drawn each time, so that the same job gives the same figure.
    """
    network = scene.network
    normal = np.random.default_rng(_SEED).standard_normal((DRAWS, 4)) / 2
    loss = np.maximum(1 + LOSS * normal[:, 2], 0.05)[:, None]
    cases = Cases(
        pump_flow=1 + PUMP_FLOW * normal[:, 0],
        pump_head=1 + PUMP_HEAD * normal[:, 1],
        loss=loss * bore_factors(network, BORE * normal[:, 3]),
    )
    flows = solve_flows(network, cases).line_flow
    needs = [
        flows[:, network.line_of[network.condenser_part(unit.name)]] >= unit.needed_flow
        for unit in scene.job.condenser
    ]
    return Spread(flows[:, network.pump_line], np.logical_and.reduce(needs))


def density(values: Array, at: Array) -> Array:
    """Smooth density of `values` at the places `at`, its greatest value 1.

    A Gaussian kernel of Silverman's width (Density Estimation for Statistics and Data Analysis,
    1986, eq. 3.28), no narrower than a two-hundredth of the range of `at`.
    """
    width = 1.06 * float(np.std(values)) * len(values) ** -0.2
    width = max(width, float(at[-1] - at[0]) / 200)
    heights = np.exp(-0.5 * ((at[:, None] - values) / width) ** 2).sum(axis=1)
    return np.asarray(heights / max(float(heights.max()), 1e-300))
