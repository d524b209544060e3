"""Flow uncertainty: Monte Carlo samples of the loop, all solved at once."""

import numpy as np

from loop.curve import Array
from loop.draw.scene import Scene
from loop.records import dataclass


@dataclass(frozen=True)
class Spread:
    """Flow through the pump in each sample [m³/s], and each unit's flow over need, (n, units)."""

    flow: Array
    over_need: Array

    @property
    def enough(self) -> "np.ndarray[tuple[int], np.dtype[np.bool_]]":
        """Whether every unit gets its need, for each sample."""
        return np.asarray((self.over_need >= 1).all(axis=1))

    @property
    def share(self) -> float:
        """Share of samples in which every unit gets its need, 0 to 1."""
        return float(np.mean(self.enough))


def spread(scene: Scene) -> Spread:
    """The samples behind the band: pump, losses, bores and barbs varied within tolerance.

    They are the same on every call, so the same job gives the same figure.
    """
    network = scene.network
    flows = scene.point.drawn.line_flow
    shares = [
        flows[:, network.unit_line(unit.name)] / unit.needed_flow for unit in scene.job.condenser
    ]
    return Spread(flows[:, network.pump_line], np.stack(shares, axis=1))


def density(values: Array, at: Array) -> Array:
    """Smooth density of `values` at the points `at`, scaled to a maximum of 1.

    A Gaussian kernel of Silverman's bandwidth (Density Estimation for Statistics and Data Analysis,
    1986, eq. 3.28), no narrower than 1/200 of the range of `at`.
    """
    width = 1.06 * float(np.std(values)) * len(values) ** -0.2
    width = max(width, float(at[-1] - at[0]) / 200)
    heights = np.exp(-0.5 * ((at[:, None] - values) / width) ** 2).sum(axis=1)
    return np.asarray(heights / max(float(heights.max()), 1e-300))
