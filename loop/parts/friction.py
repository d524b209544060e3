"""Friction and velocity head, which the losses of all parts are built on."""

import math

import fluids
import numpy as np

from loop.curve import Array
from loop.curve import Numbers as Numbers
from loop.seawater import Water

# Standard gravity [m/s²], ISO 80000-3.
GRAVITY = 9.80665

# Heights and heads that differ by less than this [m] are equal: they are sums of numbers read from
# text.
ROUNDING = 1e-9

# Reynolds numbers: the end of laminar flow in the friction library; and of fully established
# turbulence: Caenn, Darley & Gray, chapter 6 (others give 2300 to 4000).
LAMINAR, TURBULENT = 2040.0, 3000.0


def velocity(flow: Numbers, bore: float) -> Numbers:
    """Mean velocity [m/s] of `flow` [m³/s] through `bore` [m]."""
    return flow / (math.pi / 4 * bore**2)


def velocity_head(flow: Numbers, bore: float) -> Numbers:
    """V²/2g [m] of `flow` [m³/s] through `bore` [m]."""
    return velocity(flow, bore) ** 2 / (2 * GRAVITY)


def reynolds(flow: Numbers, bore: float, water: Water) -> Numbers:
    """Reynolds number of `flow` [m³/s] through `bore` [m]."""
    return velocity(flow, bore) * bore / water.kinematic_viscosity


def friction_factor(reynolds_number: Numbers, relative_roughness: float) -> Numbers:
    """Darcy friction factor at one Reynolds number or at each of an array.

    Parameters
    ----------
    reynolds_number : float or array of float
        Above 0.
    relative_roughness : float
        Roughness height over bore, 0 to about 0.05 in the sources; larger values are extrapolated.

    Notes
    -----
    ``fluids.friction_factor`` (64/Re, then the Colebrook equation as solved by Clamond), except
    between Re 2040 and 3000. There the library jumps from 0.031 to 0.05, and a loop whose head
    falls inside that jump would have no operating point; a straight line in log f against log Re
    joins the two laws instead, so that loss increases continuously with flow.

    Examples
    --------
    >>> round(friction_factor(1e5, 0.0), 3)
    0.018
    >>> friction_factor(np.array([1e3, 1e5]), 0.0).round(3).tolist()
    [0.064, 0.018]
    """
    if isinstance(reynolds_number, np.ndarray):
        return _friction_factors(reynolds_number, relative_roughness)
    if reynolds_number < LAMINAR or reynolds_number >= TURBULENT:
        return float(fluids.friction_factor(reynolds_number, relative_roughness))
    low = math.log(64 / LAMINAR)
    high = math.log(fluids.friction_factor(TURBULENT, relative_roughness))
    share = math.log(reynolds_number / LAMINAR) / math.log(TURBULENT / LAMINAR)
    return math.exp(low + share * (high - low))


def _friction_factors(numbers: Array, relative_roughness: float) -> Array:
    """The same for arrays; the library takes single numbers."""
    start = float(fluids.friction_factor(TURBULENT, relative_roughness))
    share = np.log(numbers / LAMINAR) / math.log(TURBULENT / LAMINAR)
    transition = np.exp(math.log(64 / LAMINAR) + share * math.log(start / (64 / LAMINAR)))
    turbulent = _clamond(np.maximum(numbers, TURBULENT), relative_roughness)
    laminar, fully_turbulent = numbers < LAMINAR, numbers >= TURBULENT
    return np.where(laminar, 64 / numbers, np.where(fully_turbulent, turbulent, transition))


def _clamond(numbers: Array, relative_roughness: float) -> Array:
    """Solution of the Colebrook equation at turbulent Reynolds numbers, shape (n,).

    Clamond, Ind. Eng. Chem. Res. 48 (2009) 3665: two third-order steps from the logarithm, arranged
    as in ``fluids.friction.Clamond``.
    """
    rough = relative_roughness * numbers * (math.log(10) / 18.574)
    smooth = np.log(numbers) + math.log(math.log(10) / 5.02)
    root = smooth - 0.2
    error = (np.log(rough + root) - 0.2) / (1 + rough + root)
    root = root - _third_order(rough + root, error)
    error = (np.log(rough + root) + root - smooth) / (1 + rough + root)
    root = root - _third_order(rough + root, error)
    return (0.5 * math.log(10) / root) ** 2


def _third_order(x: Array, error: Array) -> Array:
    """Correction of a third-order step, where ln x + x is off by `error` times its slope."""
    return (1 + x + 0.5 * error) * error * x / (1 + x + error * (1 + error / 3))
