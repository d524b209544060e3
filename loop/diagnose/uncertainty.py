"""What is not known about this boat's loop, fault or no fault: spreads, and draws of them."""

from dataclasses import dataclass

import numpy as np

from loop.curve import Array
from loop.hydraulics import Network
from loop.job import Job
from loop.parts import Condenser, Strainer

# The order of the columns of every array of doubts.
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

# Standard deviations before any baseline. The edges of the band that `check` shows (loss ±25 %,
# pump ISO 9906 grade 2B ±8 % of flow and ±5 % of head, hose bore ±1/32 in) are read as two
# standard deviations and split between what all parts share and what each section has of its own;
# heat (the load of the day), UA, power and sea are engineering estimates.
_SPREAD = {
    "loss": 0.125,
    "loss_suction": 0.10,
    "loss_strainer": 0.10,
    "loss_pressure": 0.10,
    "loss_condenser": 0.10,
    "pump": 0.02,
    "pump_flow": 0.03,
    "pump_head": 0.012,
    "ua": 0.10,
    "heat": 0.06,
    "supply": 0.02,
    "sea": 4.0,
    "power": 0.05,
}
# After a baseline the shared factors have the spread of the fit; what it could not see stays, at
# about half (engineering estimate).
_SPREAD_AFTER = {
    "loss_suction": 0.06,
    "loss_strainer": 0.06,
    "loss_pressure": 0.06,
    "loss_condenser": 0.06,
    "pump_flow": 0.015,
    "pump_head": 0.006,
    "heat": 0.04,
    "power": 0.04,
}
# A loop is designed for about the warmest sea it meets: on the day of a call the sea is taken as
# this much cooler than the job's water (engineering estimate).
_SEA_MEAN = -3.0


@dataclass(frozen=True)
class Doubt:
    """Mean, shape (k,), and covariance, (k, k), of the doubts `NAMES`; normal."""

    mean: Array
    covariance: Array

    def draws(self, pairs: int, seed: int = 7) -> Array:
        """Draws, shape (2·pairs, k), whose mean and covariance are exactly these.

        Mirrored normals, whitened: every quantity that is linear in the doubts gets its exact mean
        and variance from any number of them (at least k pairs).
        """
        count = max(pairs, len(NAMES))
        normal = np.random.default_rng(seed).standard_normal((count, len(NAMES)))
        left, _, right = np.linalg.svd(normal, full_matrices=False)
        white = np.sqrt(count) * left @ right
        half = white @ np.linalg.cholesky(self.covariance).T
        return np.asarray(self.mean + np.concatenate([half, -half]))


def doubt(job: Job, fitting: bool = False) -> Doubt:
    """What is doubted about a job's loop: wide, or narrow where a baseline was taken.

    With `fitting` the shared factors are as wide as without a baseline and the rest as narrow as
    after one, since what a fit finds is laid on the shared factors.
    """
    mean = np.zeros(len(NAMES))
    mean[INDEX["sea"]] = _SEA_MEAN
    spread = dict(_SPREAD)
    fitted = job.fitted
    if fitting or fitted.spread is not None:
        spread |= _SPREAD_AFTER
    covariance = np.diag([spread[name] ** 2 for name in NAMES])
    if fitting:
        loss = INDEX["loss"]
        covariance[loss, loss] += _SPREAD["loss_suction"] ** 2
    elif fitted.spread is not None:
        which = [INDEX[name] for name in FITTED]
        covariance[np.ix_(which, which)] = block(fitted.spread, fitted.correlation)
    return Doubt(mean, covariance)


def block(spread: tuple[float, ...], correlation: tuple[float, ...]) -> Array:
    """Covariance of loss, pump and UA from spreads and correlations (loss–pump, loss–ua, pump–ua).

    Correlations as written in a file are rounded; they are shrunk where needed, to stay possible.
    """
    one, two, three = correlation
    matrix = np.array([[1.0, one, two], [one, 1.0, three], [two, three, 1.0]])
    least = float(np.linalg.eigvalsh(matrix)[0])
    if least < 1e-3:
        matrix = (matrix + (1e-3 - least) * np.eye(3)) / (1 + 1e-3 - least)
    return np.asarray(matrix * np.outer(spread, spread))


def section_of(network: Network) -> tuple[int, ...]:
    """For each part, the column of the doubt about its section's losses."""
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
