"""Whether a pump can run on its supply: voltage, frequency, and what its maker states."""

from typing import Literal

from loop.pumps.curve import PumpCurve
from loop.records import dataclass

# A mains motor runs within a tenth of its rated voltage and a twentieth of its rated frequency, and
# the two, added up, are within a tenth: NEMA MG 1, 12.44.
AC_VOLTAGE, AC_FREQUENCY = 0.10, 0.05
# Share by which a ratio of stated figures may be off by its rounding alone.
_ROUNDING = 1e-9
# Frequencies of mains and of shore supplies [Hz], for which motors are made.
_MAINS = (50.0, 60.0)
# Share of the nominal 12 or 24 V within which a boat's DC equipment must work: 9 to 16 V, 18 to
# 32 V (ISO 10133, from memory).
DC_LEAST, DC_MOST = 0.75, 1.33
# Nominal voltages of boats' DC systems, and the share of one within which a rating means it: pumps
# rated at 13.6 V or 25.6 V are pumps of 12 V and 24 V.
_NOMINAL, _MEANS = (12.0, 24.0, 32.0, 36.0, 48.0), 0.15
# What is not said to be DC is so up to this voltage [V]: common practice.
MOST_DC = 60.0
# Share of the rated voltage that thicker wire or a shore supply's tap may mend; beyond these it is
# another supply than the pump is made for: engineering estimate.
_WIRE = (0.7, 1.2)
# Two frequencies this near are the same one: IEC 60034-1, zone B, from memory.
_SAME_FREQUENCY = 0.03


@dataclass(frozen=True)
class SupplyFault:
    """One way in which a supply does not suit a pump.

    ``kind`` is "voltage" (beyond what a pump of its drive stands: it burns or stalls), "frequency"
    (another than the pump is made for, and no curve for it), "range" (within what a pump of its
    drive stands, but outside what the maker states), "drift" (a frequency that is off by what
    motors stand) or "sum" (the same, but too much with the voltage's). ``given`` is the supply,
    ``low`` and ``high`` what it may be, ``rated`` the pump's rating: volts, or hertz for a
    frequency.
    """

    kind: Literal["voltage", "frequency", "range", "drift", "sum"]
    level: Literal["danger", "warning", "note"]
    given: float
    low: float
    high: float
    rated: float


@dataclass(frozen=True)
class PowerSupply:
    """What a pump is to run on: AC or DC, volts, and hertz of AC; None where nobody says them."""

    drive: Literal["ac", "dc"]
    volts: float
    hertz: float | None = None


def supply_of(volts: float) -> PowerSupply:
    """The supply that a voltage [V] means where neither AC nor DC is said."""
    return PowerSupply("dc" if volts <= MOST_DC else "ac", volts)


def supply_faults(curve: PumpCurve, supply: PowerSupply) -> tuple[SupplyFault, ...]:
    """What is wrong with a supply of a pump's own drive; empty where it suits.

    A range or frequencies that the maker states count for more than the rules of the trade where
    they allow more: a pump that is made for 9 to 32 V runs on either nominal voltage.
    """
    voltage = _voltage(curve, supply.volts)
    faults = [] if voltage is None else [voltage]
    frequency = _frequency(curve, supply, alone=not faults)
    return tuple(faults if frequency is None else [*faults, frequency])


def supply_suits(supply: PowerSupply, curve: PumpCurve) -> bool:
    """Whether a pump runs on a supply, and within what its maker states."""
    faults = supply_faults(curve, supply)
    return curve.drive == supply.drive and all(fault.level == "note" for fault in faults)


def of_mains(hertz: float) -> bool:
    """Whether pumps are made for a frequency [Hz]; any other is a generator's off its speed."""
    return any(_same(hertz, one) for one in _MAINS)


def bearable(curve: PumpCurve) -> tuple[float, float]:
    """Least and most voltage [V] that a pump stands, by the rules of the trade or by its maker."""
    if curve.drive == "ac":
        low, high = ((1 + off) * curve.rated_supply for off in (-AC_VOLTAGE, AC_VOLTAGE))
    else:
        low, high = (share * nominal(curve.rated_supply) for share in (DC_LEAST, DC_MOST))
    stated = curve.supply_range or (low, high)
    return min(low, stated[0]), max(high, stated[1])


def another_supply(curve: PumpCurve, volts: float) -> bool:
    """Whether a voltage [V] is of a supply that no wire makes the pump's own."""
    fault = _voltage(curve, volts)
    beyond = not _WIRE[0] <= volts / curve.rated_supply <= _WIRE[1]
    return beyond and fault is not None and fault.kind == "voltage"


def nominal(volts: float) -> float:
    """The nominal voltage [V] of the DC system that a rating means; itself where it means none.

    >>> nominal(13.6), nominal(24.0), nominal(18.0)
    (12.0, 24.0, 18.0)
    """
    near = min(_NOMINAL, key=lambda one: abs(volts / one - 1))
    return near if abs(volts / near - 1) <= _MEANS else volts


def _voltage(curve: PumpCurve, volts: float) -> SupplyFault | None:
    low, high = bearable(curve)
    if not (1 - _ROUNDING) * low <= volts <= (1 + _ROUNDING) * high:
        return SupplyFault("voltage", "danger", volts, low, high, curve.rated_supply)
    stated = curve.supply_range
    if stated is not None and not stated[0] <= volts <= stated[1]:
        return SupplyFault("range", "warning", volts, *stated, curve.rated_supply)
    return None


def _frequency(curve: PumpCurve, supply: PowerSupply, alone: bool) -> SupplyFault | None:
    """What is wrong with the frequency; of one that motors stand only where that is all."""
    hertz, rated = supply.hertz, curve.rated_frequency
    if rated is None or hertz is None:
        return None
    made_for = (rated, *curve.frequencies)
    if any(_same(hertz, one) for one in made_for):
        return None
    low, high = min(made_for), max(made_for)
    off = min(abs(hertz / one - 1) for one in made_for)
    if off > AC_FREQUENCY + _ROUNDING:
        return SupplyFault("frequency", "danger", hertz, low, high, rated)
    if not alone:
        return None
    if off + abs(supply.volts / curve.rated_supply - 1) > AC_VOLTAGE + _ROUNDING:
        return SupplyFault("sum", "warning", hertz, low, high, rated)
    return SupplyFault("drift", "note", hertz, low, high, rated)


def _same(hertz: float, other: float) -> bool:
    return abs(hertz / other - 1) <= _SAME_FREQUENCY + _ROUNDING
