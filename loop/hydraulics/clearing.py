"""Water speed that sweeps air down a falling leg."""

import math

import numpy as np
from numpy.typing import ArrayLike

from loop.curve import Array
from loop.parts.friction import GRAVITY

# Steepest leg [rad] on which the clearing relations were measured: Escarameia 2007.
TESTED_SLOPE = math.radians(22)
# Froude number that sweeps an air pocket, a + b √sin(slope): Wisner, Mohsen & Kouwen (1975), and
# Escarameia (2007), whose a is for large pockets and from memory. Not read; from secondary sources.
WISNER, ESCARAMEIA = (0.825, 0.25), (0.61, 0.56)


def clearing_froude(slope: ArrayLike) -> tuple[Array, Array]:
    """Froude number V/√(gD) that sweeps air down a leg: (low, high) edges of a band.

    ``slope`` is the angle below horizontal [rad], 0 to pi/2; raises ValueError outside. The
    relations are those of `clearing_velocity`.
    """
    slope = validated("slope", slope, 0.0, math.pi / 2)
    root = np.sqrt(np.sin(slope))
    laws = [first + second * root for first, second in (WISNER, ESCARAMEIA)]
    return np.minimum(*laws), np.maximum(*laws)


def clearing_velocity(bore: ArrayLike, slope: ArrayLike) -> tuple[Array, Array]:
    """Water speed that sweeps an air pocket down a falling leg.

    Two published fits disagree, so the result is a band: below ``low`` the pocket stays, above
    ``high`` it is swept out, in between either may happen.

    Parameters
    ----------
    bore : float or array
        Inside diameter [m], finite, above 0.
    slope : float or array
        Angle below horizontal [rad], 0 to pi/2; broadcasts with ``bore``.

    Returns
    -------
    low, high : float or array
        Edges of the band [m/s], in the broadcast shape.

    Raises
    ------
    ValueError
        An input out of range; the message gives name, value and limit.

    Notes
    -----
    With r = sqrt(sin(slope)) and c = sqrt(g * bore)::

        (0.825 + 0.25 r) c    [1]_
        (0.61  + 0.56 r) c    [2]_, large pockets; 0.61 from memory

    Tested to about 22 degrees [2]_; similar in 25 and 38 mm bores to 30 degrees [3]_. Beyond
    `TESTED_SLOPE` a leg or high point is marked ``extrapolated``. Only the abstracts of [3]_ and
    [4]_ were read ([3]_, 25 and 38 mm, 0 to 30 degrees: "similar to" larger pipes, the larger of
    the two needs the higher speed; [4]_, 12.7 to 38.1 mm: a hydraulic jump tears off bubbles, then
    thrust moves the rest; a model for each bore, not printed there), and nothing of the others;
    coefficients come from secondary sources.

    Examples
    --------
    >>> low, high = clearing_velocity(0.0254, math.radians(20))
    >>> print(f"{low:.3f} {high:.3f}")
    0.468 0.485

    References
    ----------
    .. [1] Wisner, Mohsen, Kouwen, J. Hydraul. Div. ASCE 101(2), 1975, 243.
    .. [2] Escarameia, Proc. ICE Water Management 160(1), 2007, 25.
    .. [3] May, Allen, Nelson, Int. J. Hydraul. Eng. 7(3), 2018, 51.
    .. [4] Quintana-Molina, Prado-Hernández, Monserrat-Viscarri, Quintana-Molina, Entrapped air
       removal by hydraulic means in gravity water systems in small diameter pipelines, Water.
    """
    bore = validated("bore", bore, 0.0, math.inf, above=True)
    low, high = clearing_froude(slope)
    wave = np.sqrt(GRAVITY * bore)
    return low * wave, high * wave


def validated(name: str, value: ArrayLike, low: float, high: float, above: bool = False) -> Array:
    """The numbers as an array; ValueError if one is outside `low` to `high`."""
    numbers = np.asarray(value, dtype=float)
    # Numbers read from text have a dozen digits: 90° exceeds pi/2 in the last one.
    numbers = np.where(np.isclose(numbers, high, rtol=1e-12, atol=0.0), high, numbers)
    wrong = ~np.isfinite(numbers) | (numbers < low) | (numbers > high)
    wrong |= above & (numbers <= low)
    if np.any(wrong):
        word = "above" if above else "at least"
        most = "" if math.isinf(high) else f" and at most {high:.6g}"
        raise ValueError(
            f"{name} is {np.extract(wrong, numbers)[0]:.6g}; must be {word} {low:.6g}{most}"
        )
    return numbers
