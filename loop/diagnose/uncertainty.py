"""Uncertain parameters of this boat's loop, faults aside: their prior, and samples of it."""

import math
from pathlib import Path

import numpy as np

from loop import tolerances
from loop.curve import Array
from loop.hydraulics import Network
from loop.hydraulics.monte_carlo import common_loss_sigma, fitted_covariance, own_loss_sigma
from loop.job import Job
from loop.parts import Condenser, Strainer
from loop.records import dataclass

# Column order of every array of uncertain parameters.
NAMES = (
    "loss",  # log of a factor on every loss
    "loss_suction",  # log of a further factor on the suction side's losses
    "loss_strainer",
    "loss_pressure",
    "loss_condenser",
    "pump",  # log of a factor on the pump's speed
    "pump_flow",  # log of a factor on its curve's flows
    "pump_head",
    "ua",  # log of a factor on the condensers' UA
    "heat",  # log of a factor on the heat that they reject
    "supply",  # log of a factor on the supply's voltage
    "sea",  # sea temperature minus the job's [K]
    "power",  # log of a factor on the pump's electrical power
)
INDEX = {name: number for number, name in enumerate(NAMES)}
FITTED = ("loss", "pump", "ua")

# Standard deviation of a section's log loss from the band's tolerances of hose bores and barbs:
# ±1/32 in and ±8 % on a 3/4 in hose (a test holds it to the band).
_HOSES = 0.10
# Number of samples in `draws.txt`, one per line.
_WRITTEN = 16
# Standard deviation of a call's sea temperature [K]: engineering estimate.
_SEA = 4.0


def _spreads(after: bool) -> dict[str, float]:
    """Standard deviations from `loop.tolerances`; with `after`, those that a baseline leaves.

    The speed's share is taken out of the pump's tolerances of flow and head.
    """
    left = tolerances.AFTER_BASELINE if after else 1.0
    speed = tolerances.PUMP_SPEED.sigma
    section = left * math.hypot(own_loss_sigma(), _HOSES)
    return {
        "loss": common_loss_sigma(),
        **{name: section for name in NAMES if name.startswith("loss_")},
        "pump": speed,
        "pump_flow": left * math.sqrt(tolerances.PUMP_FLOW.sigma**2 - speed**2),
        "pump_head": left * math.sqrt(tolerances.PUMP_HEAD.sigma**2 - (2 * speed) ** 2),
        "ua": tolerances.CONDUCTANCE.sigma,
        "heat": tolerances.HEAT.sigma,
        "supply": tolerances.SUPPLY.sigma,
        "sea": _SEA,
        "power": tolerances.PUMP_POWER.sigma,
    }


# A loop is designed for about the warmest sea it meets: mean of a call's sea temperature relative
# to the job's water [K] (engineering estimate).
_SEA_MEAN = -3.0


@dataclass(frozen=True)
class ParameterDistribution:
    """Normal prior of the uncertain parameters `NAMES`: mean (k,) and covariance (k, k)."""

    mean: Array
    covariance: Array

    def draws(self, pairs: int) -> Array:
        """Samples, shape (2·pairs, k), with exactly this mean and covariance.

        Antithetic and whitened normals: any quantity linear in the parameters gets its exact mean
        and variance from any number of pairs. Fewer than k pairs are raised to k.
        """
        normal = _normal(max(pairs, len(NAMES)))
        left, _, right = np.linalg.svd(normal, full_matrices=False)
        white = np.sqrt(len(normal)) * left @ right
        half = white @ np.linalg.cholesky(self.covariance).T
        return np.asarray(self.mean + np.concatenate([half, -half]))


def _normal(count: int) -> Array:
    """Standard normal samples, (count, k), the same each time.

    Those of a call are read from a file as originally drawn: importing the random number library
    would take a fortieth of a short call's time.
    """
    if count == _WRITTEN:
        lines = (Path(__file__).parent / "draws.txt").read_text(encoding="utf-8").splitlines()
        return np.array([line.split() for line in lines], dtype=float)
    return np.random.default_rng(7).standard_normal((count, len(NAMES)))


def parameter_prior(job: Job, fitting: bool = False) -> ParameterDistribution:
    """Prior of a job's uncertain parameters: wide, or narrow after a baseline.

    With `fitting` the shared factors are as wide as without a baseline and the rest as narrow as
    after one, since the result of a fit is assigned to the shared factors.
    """
    mean = np.zeros(len(NAMES))
    mean[INDEX["sea"]] = _SEA_MEAN
    fitted = job.fitted
    spread = _spreads(after=fitting or fitted.spread is not None)
    covariance = np.diag([spread[name] ** 2 for name in NAMES])
    if fitting:
        loss = INDEX["loss"]
        covariance[loss, loss] += _spreads(after=False)["loss_suction"] ** 2
    elif fitted.spread is not None:
        which = [INDEX[name] for name in FITTED]
        covariance[np.ix_(which, which)] = fitted_covariance(fitted.spread, fitted.correlation)
    return ParameterDistribution(mean, covariance)


def section_of(network: Network) -> tuple[int, ...]:
    """For each part, the parameter column of its section's losses."""
    found = []
    for index, part in enumerate(network.parts):
        if isinstance(part, Condenser):
            name = "loss_condenser"
        elif isinstance(part, Strainer):
            name = "loss_strainer"
        else:
            name = "loss_suction" if index < network.pump_index else "loss_pressure"
        found.append(INDEX[name])
    return tuple(found)
