"""Sea water and fresh water."""

from loop import seawater
from tests.published.relations.registry import relation

# Practical salinity per g/kg: reference composition, Millero et al., Deep-Sea Res. I 55, 2008, 50.
_PRACTICAL = 35.0 / 35.16504


@relation()
def density(temperature: float, salinity: float = 0.0) -> float:
    """Density [kg/m³]."""
    return float(seawater.density(temperature, salinity))


@relation()
def density_at_absolute_salinity(temperature: float, absolute_salinity: float) -> float:
    """Density [kg/m³], salt in g/kg."""
    return float(seawater.density(temperature, absolute_salinity * _PRACTICAL))


@relation()
def heat_capacity_at_absolute_salinity(temperature: float, absolute_salinity: float) -> float:
    """Heat capacity [J/(kg K)], salt in g/kg."""
    return float(seawater.heat_capacity(temperature, absolute_salinity * _PRACTICAL))


@relation()
def dynamic_viscosity(temperature: float, salinity: float = 0.0) -> float:
    """Dynamic viscosity [Pa s]."""
    return float(seawater.dynamic_viscosity(temperature, salinity))


@relation()
def kinematic_viscosity(temperature: float, salinity: float = 0.0) -> float:
    """Kinematic viscosity [m²/s]."""
    return float(seawater.kinematic_viscosity(temperature, salinity))


@relation("pressure")
def vapor_pressure(temperature: float, salinity: float = 0.0) -> float:
    """Vapor pressure [Pa]."""
    return float(seawater.vapor_pressure(temperature, salinity))


@relation()
def vapor_pressure_ratio(temperature: float, salinity: float) -> float:
    """Vapor pressure over that of fresh water."""
    over = seawater.vapor_pressure(temperature, salinity)
    return float(over / seawater.vapor_pressure(temperature, 0.0))
