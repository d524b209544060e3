"""Whether a pump can run on its supply: voltage, frequency, and what its maker states."""

from typing import Literal

from loop.parts import Pump
from loop.pumps import PumpCurve
from loop.records import dataclass

# A mains motor runs within a tenth of its rated voltage: NEMA MG 1, 12.44.
AC_VOLTAGE = 0.10
# Share of the nominal 12 or 24 V within which a boat's DC equipment must work: 9 to 16 V, 18 to
# 32 V (ISO 10133, from memory).
DC_LEAST, DC_MOST = 0.75, 1.33
# Nominal voltages of boats' DC systems, and the share of one within which a rating means it: pumps
# rated at 13.6 V or 25.6 V are pumps of 12 V and 24 V.
_NOMINAL, _MEANS = (12.0, 24.0, 32.0, 36.0, 48.0), 0.15
# Two frequencies this near are the same one: IEC 60034-1, zone B, from memory.
_SAME_FREQUENCY = 0.03


@dataclass(frozen=True)
class SupplyFault:
    """One way in which a supply does not suit a pump.

    ``kind`` is "voltage" (beyond what a pump of its drive stands: it burns or stalls), "frequency"
    (another than the pump is made for, and no curve for it) or "range" (within what a pump of its
    drive stands, but outside what the maker states). ``given`` is the supply, ``low`` and ``high``
    what it may be, ``rated`` the pump's rating: volts, or hertz for a frequency.
    """

    kind: Literal["voltage", "frequency", "range"]
    level: Literal["danger", "warning"]
    given: float
    low: float
    high: float
    rated: float


def supply_faults(pump: Pump, lowest: float | None = None) -> tuple[SupplyFault, ...]:
    """What is wrong with the supply of a pump as the job has it; empty where it suits.

    `lowest` is the least voltage [V] that the job expects of a DC pump's supply. A range or
    frequencies that the maker states count for more than the rules of the trade where they allow
    more: a pump that is made for 9 to 32 V runs on either nominal voltage.
    """
    curve = pump.curve
    faults = []
    given = pump.voltage
    volts = (
        [given] if lowest is None or curve.drive == "ac" else sorted({given, min(lowest, given)})
    )
    worst = next((fault for volt in volts if (fault := _voltage(curve, volt))), None)
    if worst is not None:
        faults.append(worst)
    if curve.rated_frequency is not None and pump.frequency is not None:
        made_for = (curve.rated_frequency, *curve.frequencies)
        if all(abs(pump.frequency / one - 1) > _SAME_FREQUENCY for one in made_for):
            faults.append(
                SupplyFault(
                    "frequency",
                    "danger",
                    pump.frequency,
                    min(made_for),
                    max(made_for),
                    curve.rated_frequency,
                )
            )
    return tuple(faults)


def bearable(curve: PumpCurve) -> tuple[float, float]:
    """Least and most voltage [V] that a pump stands, by the rules of the trade or by its maker."""
    if curve.drive == "ac":
        low, high = ((1 + off) * curve.rated_supply for off in (-AC_VOLTAGE, AC_VOLTAGE))
    else:
        low, high = (share * nominal(curve.rated_supply) for share in (DC_LEAST, DC_MOST))
    stated = curve.supply_range or (low, high)
    return min(low, stated[0]), max(high, stated[1])


def nominal(volts: float) -> float:
    """The nominal voltage [V] of the DC system that a rating means; itself where it means none.

    >>> nominal(13.6), nominal(24.0), nominal(18.0)
    (12.0, 24.0, 18.0)
    """
    near = min(_NOMINAL, key=lambda one: abs(volts / one - 1))
    return near if abs(volts / near - 1) <= _MEANS else volts


def _voltage(curve: PumpCurve, volts: float) -> SupplyFault | None:
    low, high = bearable(curve)
    if not low <= volts <= high:
        return SupplyFault("voltage", "danger", volts, low, high, curve.rated_supply)
    stated = curve.supply_range
    if stated is not None and not stated[0] <= volts <= stated[1]:
        return SupplyFault("range", "warning", volts, *stated, curve.rated_supply)
    return None
