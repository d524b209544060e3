"""How fast an air cavity climbs a falling leg from its open end, against standing water."""

import math

import numpy as np
from numpy.typing import ArrayLike

from loop.curve import Array
from loop.hydraulics.clearing import validated
from loop.parts.friction import GRAVITY

# Surface tension of water against air [N/m] near 20 degC: IAPWS R1-76 (2014), 72.75 mN/m, from
# memory. Salt adds 1 to 2 %; a boat's range of temperatures changes it by 3 % either way.
SURFACE_TENSION = 0.0728
# Cavity that empties a level pipe: Benjamin, J. Fluid Mech. 31 (1968) 209, abstract read, and
# Bendiksen (1984); reduction by surface tension: Weber (1981), coefficients from memory.
LEVEL, _LEVEL_LOSS, _LEVEL_POWER = 0.54, 1.76, 0.56
# Long bubble in a vertical pipe: Dumitrescu (1943); Davies & Taylor (1950); Bendiksen (1984);
# reduction by surface tension: Viana, Pardo, Yanez, Trallero & Joseph, J. Fluid Mech. 494 (2003)
# 379, for water and less viscous liquids, coefficients from memory.
UPRIGHT, _UPRIGHT_EO, _UPRIGHT_POWER, _UPRIGHT_ROOT = 0.35, 3805.0, 3.06, 0.58


def cavity_froude(bore: ArrayLike, slope: ArrayLike, density: float) -> Array:
    """Froude number V/√(gD) of water that just holds a cavity at a leg's open end.

    Slower water lets air climb the leg, so that the leg cannot stay full.

    Parameters
    ----------
    bore : float or array
        Inside diameter [m], above 0.
    slope : float or array
        Angle below horizontal [rad], 0 to pi/2; broadcasts with ``bore``.
    density : float
        Density of the water [kg/m³].

    Raises
    ------
    ValueError
        An input out of range.

    Notes
    -----
    h cos θ + v sin θ (form: Bendiksen, Int. J. Multiphase Flow 10 (1984) 467). Surface tension
    lowers both in small bores, with Eo = ρ g D²/σ::

        h = 0.54 − 1.76 Eo^−0.56
        v = 0.35 (1 + 3805 Eo^−3.06)^−0.58

    Both are at least 0. The form with 0.54 and 0.35, for Froude numbers below 3.5, was read in
    public programs that follow Rodrigues et al. (2007); the reduction by surface tension is from
    memory.

    Examples
    --------
    >>> [round(float(cavity_froude(1.0, slope, 1025.0)), 2) for slope in (0.0, math.pi / 2)]
    [0.54, 0.35]
    """
    bore = validated("bore", bore, 0.0, math.inf, above=True)
    slope = validated("slope", slope, 0.0, math.pi / 2)
    tension = density * GRAVITY * bore**2 / SURFACE_TENSION
    level = np.maximum(LEVEL - _LEVEL_LOSS * tension**-_LEVEL_POWER, 0.0)
    upright = UPRIGHT * (1 + _UPRIGHT_EO * tension**-_UPRIGHT_POWER) ** -_UPRIGHT_ROOT
    return np.asarray(level * np.cos(slope) + upright * np.sin(slope))
