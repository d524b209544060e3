"""Density, heat capacity, viscosity and vapor pressure of seawater at the surface.

Salinity is practical salinity, as instruments and charts give it; the relations need grams of salt
per kilogram of seawater, which is 0.47 % greater. Liquid only: below its `freezing_point` the water
is supercooled here; a job with such water is refused.

The functions take temperature [degC], -2 to 45, and practical salinity [-], 0 to 42, floats or
arrays that broadcast, and return a float or an array of their shape. An input out of range, NaN or
infinite raises ValueError; the message gives name, value and limits.
"""

import math
from functools import cached_property
from typing import Any

import gsw
import numpy as np
from numpy.typing import ArrayLike, NDArray

from loop.records import dataclass

Array = NDArray[np.float64]

# Standard atmosphere [Pa]: 10th CGPM (1954), resolution 4; value as in NIST SP 811, B.8.
ATMOSPHERE = 101325.0

_ZERO_CELSIUS = 273.15  # [K], by definition

# TEOS-10 states 0 to 42 g/kg for most of its functions. The viscosity fit and the saturation line
# start at 0 degC; at -2 degC the tests compare them with relations for supercooled water.
TEMPERATURE_RANGE = (-2.0, 45.0)  # [degC]
SALINITY_RANGE = (0.0, 42.0)  # practical salinity [-]


def _bare(function: Any) -> Any:
    """A gsw function without its wrapper, which imports masked arrays; we use none."""
    return getattr(function, "__wrapped__", function)


_DENSITY, _HEAT_CAPACITY = _bare(gsw.rho_t_exact), _bare(gsw.cp_t_exact)
_SALT = _bare(gsw.SR_from_SP)


def density(temperature: ArrayLike, salinity: ArrayLike) -> float | Array:
    """Density [kg/m3] of seawater at atmospheric pressure.

    Full Gibbs function of TEOS-10 (package ``gsw``), not its 75-term fit, with salt of the
    reference composition: IOC, SCOR & IAPSO, UNESCO Manuals and Guides 56, 2010.

    >>> print(f"{density(15.0, 35.0):.2f}")
    1025.98
    """
    temperature, salinity = _checked(temperature, salinity)
    return _plain(_DENSITY(_SALT(salinity), temperature, 0.0))


def heat_capacity(temperature: ArrayLike, salinity: ArrayLike) -> float | Array:
    """Specific isobaric heat capacity [J/(kg K)] of seawater at atmospheric pressure.

    TEOS-10, as for `density`.

    >>> print(f"{heat_capacity(15.0, 35.0):.1f}")
    3993.1
    """
    temperature, salinity = _checked(temperature, salinity)
    return _plain(_HEAT_CAPACITY(_SALT(salinity), temperature, 0.0))


def freezing_point(salinity: float) -> float:
    """Temperature [degC] at which seawater freezes at atmospheric pressure.

    Millero (1978), in Fofonoff & Millard, UNESCO Technical Papers in Marine Science 44, 1983: for
    practical salinity 4 to 40, and correct at 0; within 0.01 K of TEOS-10.

    >>> round(freezing_point(35.0), 2)
    -1.92
    """
    root = math.sqrt(salinity)
    return (-0.0575 + 1.710523e-3 * root - 2.154996e-4 * salinity) * salinity


def dynamic_viscosity(temperature: ArrayLike, salinity: ArrayLike) -> float | Array:
    """Dynamic viscosity [Pa s] of seawater at atmospheric pressure.

    Sharqawy, Lienhard & Zubair, Desalination and Water Treatment 16, 2010, 354, eq. 22-23 (paper
    not read; three codes that cite it agree). With w the salt in kg/kg and t in degC::

        mu   = mu_w (1 + A w + B w^2)
        mu_w = 4.2844e-5 + 1 / (0.157 (t + 64.993)^2 - 91.296)
        A    = 1.541 + 1.998e-2 t - 9.52e-5 t^2
        B    = 7.974 - 7.561e-2 t + 4.724e-4 t^2

    Stated for 0 to 180 degC and 0 to 150 g/kg, within 1.5 %; extrapolated below 0 degC.

    >>> print(f"{dynamic_viscosity(15.0, 35.0):.3e}")
    1.220e-03
    """
    temperature, salinity = _checked(temperature, salinity)
    fraction = _mass_fraction(salinity)
    fresh = 4.2844e-5 + 1.0 / (0.157 * (temperature + 64.993) ** 2 - 91.296)
    linear = 1.541 + 1.998e-2 * temperature - 9.52e-5 * temperature**2
    square = 7.974 - 7.561e-2 * temperature + 4.724e-4 * temperature**2
    return _plain(fresh * (1.0 + linear * fraction + square * fraction**2))


def kinematic_viscosity(temperature: ArrayLike, salinity: ArrayLike) -> float | Array:
    """Kinematic viscosity [m2/s]: dynamic viscosity over density, as in the Reynolds number.

    Sources: those of `dynamic_viscosity` and `density`.

    >>> print(f"{kinematic_viscosity(15.0, 35.0):.3e}")
    1.189e-06
    """
    return dynamic_viscosity(temperature, salinity) / density(temperature, salinity)


def vapor_pressure(temperature: ArrayLike, salinity: ArrayLike) -> float | Array:
    """Vapor pressure [Pa absolute], at which seawater of this temperature boils.

    Pure water: Wagner & Pruss, J. Phys. Chem. Ref. Data 31, 2002, 387, eq. 2.5. Salt, w in kg/kg,
    lowers it by Raoult's law, in the form of Sharqawy, Lienhard & Zubair, Desalination and Water
    Treatment 16, 2010, 354 (both papers not read; several codes that cite them agree)::

        p = p_w / (1 + 0.57357 w / (1 - w))

    Seawater is not quite an ideal solution: by the water activity of TEOS-10, the pressure is up to
    0.25 % higher, at most 20 Pa.

    >>> print(f"{vapor_pressure(25.0, 35.0):.0f}")
    3105
    """
    temperature, salinity = _checked(temperature, salinity)
    fraction = _mass_fraction(salinity)
    return _plain(_saturation_pressure(temperature) / (1.0 + 0.57357 * fraction / (1.0 - fraction)))


@dataclass(frozen=True)
class Water:
    """Water of one temperature and salinity; its properties are floats, computed on first use.

    Units, sources and limits are those of the module's functions; ``viscosity`` is the dynamic
    viscosity. Salinity 0 is a lake, 35 the ocean. Values out of range raise ValueError on creation.

    >>> Water(15.0)
    Water(15 °C, salinity 35: 1026.0 kg/m³, 1.189e-06 m²/s)
    """

    temperature: float
    salinity: float = 35.0

    def __post_init__(self) -> None:
        _checked(float(self.temperature), float(self.salinity))

    @cached_property
    def density(self) -> float:
        """Density [kg/m3]."""
        return float(density(self.temperature, self.salinity))

    @cached_property
    def viscosity(self) -> float:
        """Dynamic viscosity [Pa s]."""
        return float(dynamic_viscosity(self.temperature, self.salinity))

    @cached_property
    def kinematic_viscosity(self) -> float:
        """Kinematic viscosity [m2/s]."""
        return float(kinematic_viscosity(self.temperature, self.salinity))

    @cached_property
    def heat_capacity(self) -> float:
        """Heat capacity [J/kg/K]."""
        return float(heat_capacity(self.temperature, self.salinity))

    @cached_property
    def vapor_pressure(self) -> float:
        """Absolute vapor pressure [Pa]."""
        return float(vapor_pressure(self.temperature, self.salinity))

    def __repr__(self) -> str:
        return (
            f"Water({self.temperature:g} °C, salinity {self.salinity:g}: "
            f"{self.density:.1f} kg/m³, {self.kinematic_viscosity:.3e} m²/s)"
        )


# Wagner & Pruss (2002), eq. 2.5: critical point, factors and exponents.
_CRITICAL_TEMPERATURE = 647.096  # [K]
_CRITICAL_PRESSURE = 22.064e6  # [Pa]
_SATURATION_FACTORS = -7.85951783, 1.84408259, -11.7866497, 22.6807411, -15.9618719, 1.80122502
_SATURATION_EXPONENTS = 1.0, 1.5, 3.0, 3.5, 4.0, 7.5


def _saturation_pressure(temperature: Array) -> Array:
    """Vapor pressure [Pa] over liquid pure water at ``temperature`` [degC]."""
    kelvin = temperature + _ZERO_CELSIUS
    distance = 1.0 - kelvin / _CRITICAL_TEMPERATURE
    terms = zip(_SATURATION_FACTORS, _SATURATION_EXPONENTS, strict=True)
    total = sum(factor * distance**exponent for factor, exponent in terms)
    return np.asarray(_CRITICAL_PRESSURE * np.exp(total * _CRITICAL_TEMPERATURE / kelvin))


def _mass_fraction(salinity: Array) -> Array:
    """Salt [kg/kg of seawater] at practical ``salinity``, by the reference composition."""
    return np.asarray(_SALT(salinity) / 1000.0)  # gsw counts in g/kg


def _checked(temperature: ArrayLike, salinity: ArrayLike) -> tuple[Array, Array]:
    """Both inputs as float arrays, or one ValueError naming all that is out of range."""
    temperatures = np.asarray(temperature, dtype=np.float64)
    salinities = np.asarray(salinity, dtype=np.float64)
    faults = [
        *_faults("temperature", temperatures, TEMPERATURE_RANGE, " degC"),
        *_faults("salinity", salinities, SALINITY_RANGE, " (practical salinity)"),
    ]
    if faults:
        raise ValueError("; ".join(faults))
    return temperatures, salinities


def _faults(name: str, values: Array, limits: tuple[float, float], unit: str) -> list[str]:
    low, high = limits
    # Written this way because NaN fails every comparison and so counts as outside.
    outside = values[~((values >= low) & (values <= high))]
    return [
        f"{name} {value} is outside {low:g} to {high:g}{unit}" for value in outside[:1].tolist()
    ]


def _plain(values: Any) -> float | Array:
    """A float for scalar inputs, so that no 0-d array leaks into JSON or a repr."""
    return float(values) if np.ndim(values) == 0 else np.asarray(values, dtype=np.float64)
