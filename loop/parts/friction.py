"""Friction and velocity head: what every part's loss is made of."""

import math
from typing import TypeVar

import fluids
import numpy as np

from loop.curve import Array
from loop.seawater import Water

# One number, or an array of them.
Numbers = TypeVar("Numbers", float, Array)

# Standard gravity [m/s²], ISO 80000-3.
GRAVITY = 9.80665

# Reynolds numbers: end of laminar flow as the friction library takes it; and where turbulent flow
# is taken as established (textbooks give 2300 to 4000).
_LAMINAR, _TURBULENT = 2040.0, 3000.0


def velocity(flow: Numbers, bore: float) -> Numbers:
    """Mean velocity [m/s] of `flow` [m³/s] through `bore` [m]."""
    return flow / (math.pi / 4 * bore**2)


def velocity_head(flow: Numbers, bore: float) -> Numbers:
    """V²/2g [m] of `flow` [m³/s] through `bore` [m]."""
    return velocity(flow, bore) ** 2 / (2 * GRAVITY)


def reynolds(flow: Numbers, bore: float, water: Water) -> Numbers:
    """Reynolds number of `flow` [m³/s] through `bore` [m]."""
    return velocity(flow, bore) * bore / water.kinematic_viscosity


def friction_factor(reynolds_number: float, relative_roughness: float) -> float:
    """Darcy friction factor.

    Parameters
    ----------
    reynolds_number : float
        Above 0.
    relative_roughness : float
        Roughness height over bore, 0 to about 0.05 in the sources; larger values are extrapolated.

    Notes
    -----
    ``fluids.friction_factor`` (64/Re, then the Colebrook equation as solved by Clamond), except
    between Re 2040 and 3000. There the library steps from 0.031 to 0.05 at once, and a loop whose
    head falls inside that step would have no operating point; a straight line in log f against
    log Re joins the two laws instead, so that loss rises continuously with flow.

    Examples
    --------
    >>> round(friction_factor(1e5, 0.0), 3)
    0.018
    """
    if reynolds_number < _LAMINAR or reynolds_number >= _TURBULENT:
        return float(fluids.friction_factor(reynolds_number, relative_roughness))
    low = math.log(64 / _LAMINAR)
    high = math.log(fluids.friction_factor(_TURBULENT, relative_roughness))
    share = math.log(reynolds_number / _LAMINAR) / math.log(_TURBULENT / _LAMINAR)
    return math.exp(low + share * (high - low))


def friction_factors(reynolds_numbers: Array, relative_roughness: float) -> Array:
    """`friction_factor` at each of many Reynolds numbers, shape (n,)."""
    numbers = reynolds_numbers.tolist()
    return np.array([friction_factor(number, relative_roughness) for number in numbers])
