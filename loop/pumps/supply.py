"""Whether a pump can run on its supply: voltage, frequency, and its manufacturer's limits."""

import re
from dataclasses import replace
from typing import Literal

from loop.pumps.curve import PumpCurve
from loop.records import dataclass
from loop.units import UnitError, parse
from loop.wrong import wrong

# An AC motor runs within 10 % of its rated voltage and 5 % of its rated frequency, with the sum of
# the two within 10 %: NEMA MG 1, 12.44.
AC_VOLTAGE, AC_FREQUENCY = 0.10, 0.05
# Relative rounding of a ratio of stated values.
_ROUNDING = 1e-9
# Utility and shore power frequencies [Hz] that motors are made for.
_MAINS = (50.0, 60.0)
# Share of the nominal 12 or 24 V within which a boat's DC equipment must work: 9 to 16 V, 18 to 32
# V (ISO 10133, from memory).
DC_MIN, DC_MAX = 0.75, 1.33
# Nominal voltages of boat DC systems, and the tolerance within which a rating refers to one: pumps
# rated at 13.6 V or 25.6 V are 12 V and 24 V pumps.
_NOMINAL_VOLTAGES, _NOMINAL_TOLERANCE = (12.0, 24.0, 32.0, 36.0, 48.0), 0.15
# Voltage [V] up to which a supply is assumed to be DC if not stated: common practice.
MAX_DC = 60.0
# Share of the rated voltage that thicker wire or a shore supply's tap can correct; beyond it, the
# supply is not the one that the pump is made for: engineering estimate.
_CORRECTABLE = (0.7, 1.2)
_FREQUENCY = r"[\s,/]*(\d+(?:\.\d+)?\s*hz)\s*$"
_AC_DC = r"\s*\b(ac|dc)\b\.?\s*$"
# Frequencies this close are the same: IEC 60034-1, zone B, from memory.
_SAME_FREQUENCY = 0.03


@dataclass(frozen=True)
class SupplyFault:
    """One way in which a supply does not suit a pump.

    ``kind`` is "voltage" (beyond what a pump of its drive tolerates: it burns out or stalls),
    "frequency" (not one that the pump is made for, and without a curve), "range" (tolerable for a
    pump of its drive, but outside the manufacturer's range), "drift" (a frequency that is off by a
    tolerable amount), "sum" (the same, but too much combined with the voltage) or "scaled" (volts
    and hertz both far too low, but in proportion, as 100 V 50 Hz to 115 V 60 Hz). ``given`` is the
    supply, ``low`` and ``high`` its limits, ``rated`` the pump's rating: volts, or hertz for a
    frequency.
    """

    kind: Literal["voltage", "frequency", "range", "drift", "sum", "scaled"]
    level: Literal["danger", "warning", "note"]
    given: float
    low: float
    high: float
    rated: float


@dataclass(frozen=True)
class PowerSupply:
    """Supply of a pump: AC or DC, volts, and hertz for AC; None if not stated."""

    drive: Literal["ac", "dc"]
    volts: float
    hertz: float | None = None


def read_supply(text: str) -> tuple[str, str | None]:
    """Voltage and frequency, as text, of the supply on a nameplate; no frequency for DC.

    Raises UnitError if the text states no supply.

    >>> read_supply("115 V 60 Hz"), read_supply("12 V DC")
    (('115 V', '60 Hz'), ('12 V', None))
    """
    hertz = re.search(_FREQUENCY, text, re.IGNORECASE)
    volts = text[: hertz.start()] if hertz else text
    current = re.search(_AC_DC, volts, re.IGNORECASE)
    volts = volts[: current.start()] if current else volts
    parse(volts, "voltage")
    is_ac = current is not None and current[1].lower() == "ac"
    if hertz is None and (is_ac or (current is None and parse(volts, "voltage") > MAX_DC)):
        raise UnitError(wrong("runs-on-frequency", text=text))
    if hertz is not None and current is not None and not is_ac:
        raise UnitError(wrong("runs-on-dc", text=text))
    return volts.strip(), hertz[1] if hertz else None


def power_supply(text: str) -> PowerSupply:
    """The supply stated by a text for `read_supply`; raises UnitError as that does."""
    volts, hertz = read_supply(text)
    if hertz is None:
        return PowerSupply("dc", parse(volts, "voltage"))
    return PowerSupply("ac", parse(volts, "voltage"), parse(hertz, "frequency"))


def supply_of(volts: float) -> PowerSupply:
    """The supply of this voltage [V] if neither AC nor DC is stated."""
    return PowerSupply("dc" if volts <= MAX_DC else "ac", volts)


def supply_faults(curve: PumpCurve, supply: PowerSupply) -> tuple[SupplyFault, ...]:
    """Faults of a supply of the pump's own drive; empty if it suits.

    A range or frequencies stated by the manufacturer override general practice where they allow
    more: a pump made for 9 to 32 V runs on either nominal voltage.
    """
    voltage = _voltage_fault(curve, supply.volts)
    faults = [] if voltage is None else [voltage]
    frequency = _frequency_fault(curve, supply, alone=not faults)
    if frequency is not None and _slowed_in_proportion(curve, supply):
        return (replace(frequency, kind="scaled", level="warning"),)
    return tuple(faults if frequency is None else [*faults, frequency])


def supply_suits(supply: PowerSupply, curve: PumpCurve) -> bool:
    """Whether a pump runs on a supply, within what its manufacturer states."""
    faults = supply_faults(curve, supply)
    return curve.drive == supply.drive and all(fault.level == "note" for fault in faults)


def is_mains(hertz: float) -> bool:
    """Whether pumps are made for a frequency [Hz]; any other is a generator off its speed."""
    return any(_same_frequency(hertz, one) for one in _MAINS)


def tolerated_range(curve: PumpCurve) -> tuple[float, float]:
    """Least and greatest voltage [V] that a pump tolerates, in general or by its manufacturer."""
    if curve.drive == "ac":
        low, high = (factor * curve.rated_supply for factor in (1 - AC_VOLTAGE, 1 + AC_VOLTAGE))
    else:
        low, high = (share * nominal_voltage(curve.rated_supply) for share in (DC_MIN, DC_MAX))
    stated = curve.supply_range or (low, high)
    return min(low, stated[0]), max(high, stated[1])


def is_other_supply(curve: PumpCurve, volts: float) -> bool:
    """Whether a voltage [V] is that of a different supply, which no wiring can correct."""
    fault = _voltage_fault(curve, volts)
    beyond = not _CORRECTABLE[0] <= volts / curve.rated_supply <= _CORRECTABLE[1]
    return beyond and fault is not None and fault.kind == "voltage"


def nominal_voltage(volts: float) -> float:
    """Nominal voltage [V] of the DC system that a rating refers to; the rating itself if none.

    >>> nominal_voltage(13.6), nominal_voltage(24.0), nominal_voltage(18.0)
    (12.0, 24.0, 18.0)
    """
    nearest = min(_NOMINAL_VOLTAGES, key=lambda one: abs(volts / one - 1))
    return nearest if abs(volts / nearest - 1) <= _NOMINAL_TOLERANCE else volts


def _voltage_fault(curve: PumpCurve, volts: float) -> SupplyFault | None:
    low, high = tolerated_range(curve)
    if not (1 - _ROUNDING) * low <= volts <= (1 + _ROUNDING) * high:
        return SupplyFault("voltage", "danger", volts, low, high, curve.rated_supply)
    stated = curve.supply_range
    if stated is not None and not stated[0] <= volts <= stated[1]:
        return SupplyFault("range", "warning", volts, *stated, curve.rated_supply)
    return None


def _frequency_fault(curve: PumpCurve, supply: PowerSupply, alone: bool) -> SupplyFault | None:
    """Fault of the frequency; a tolerable deviation counts only if the voltage has no fault."""
    hertz, rated = supply.hertz, curve.rated_frequency
    if rated is None or hertz is None:
        return None
    suitable = (rated, *curve.frequencies)
    if any(_same_frequency(hertz, one) for one in suitable):
        return None
    low, high = min(suitable), max(suitable)
    deviation = min(abs(hertz / one - 1) for one in suitable)
    if deviation > AC_FREQUENCY + _ROUNDING:
        return SupplyFault("frequency", "danger", hertz, low, high, rated)
    if not alone:
        return None
    if deviation + abs(supply.volts / curve.rated_supply - 1) > AC_VOLTAGE + _ROUNDING:
        return SupplyFault("sum", "warning", hertz, low, high, rated)
    return SupplyFault("drift", "note", hertz, low, high, rated)


def _slowed_in_proportion(curve: PumpCurve, supply: PowerSupply) -> bool:
    """Whether volts and hertz of other mains are both too low in proportion, as in eastern Japan.

    Their ratio sets the motor's flux; it turns slower, against a lighter load (theory of induction
    motors).
    """
    if curve.rated_frequency is None or supply.hertz is None or not is_mains(supply.hertz):
        return False
    volts, hertz = supply.volts / curve.rated_supply, supply.hertz / curve.rated_frequency
    in_proportion = abs(volts / hertz - 1) <= AC_VOLTAGE + _ROUNDING
    return volts < 1 - AC_VOLTAGE and hertz < 1 - AC_FREQUENCY and in_proportion


def _same_frequency(hertz: float, other: float) -> bool:
    return abs(hertz / other - 1) <= _SAME_FREQUENCY + _ROUNDING
