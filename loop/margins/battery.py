"""How much current a battery bank supplies, and for how many hours."""

import math

from loop.job import Supply
from loop.pumps import PumpCurve
from loop.records import dataclass


@dataclass(frozen=True)
class Running:
    """One stage of the unit: battery currents [A], the pump's share of them, and battery hours."""

    draw: float
    pump_draw: float
    pump_share: float
    hours: float


def usable_charge(supply: Supply) -> float:
    """Charge that the bank delivers before it must be recharged [A·h]."""
    return supply.battery * supply.batteries * supply.usable


def running_hours(supply: Supply, draw: float) -> float:
    """Hours that the bank sustains a steady `draw` [A], above 0.

    Charge over current. Lithium cells deliver nearly the same charge at any of these currents,
    lead-acid cells less at a high one.

    Two of 300 A·h, 85 % usable: a little over 10 hours at 47 A, about 21 at 24 A (a fact of the
    trade; common practice):

    >>> bank = Supply(battery=300.0, batteries=2, voltage=12.8)
    >>> print(f"{running_hours(bank, 47.0):.1f} {running_hours(bank, 24.0):.1f}")
    10.9 21.2
    """
    return usable_charge(supply) / draw


def pump_draw(supply: Supply, pump: PumpCurve, power: float) -> float:
    """Current that a pump of `power` [W] draws from the bank [A]; NaN if the power is unknown.

    An AC pump is supplied through the inverter.
    """
    return power / (source_efficiency(supply, pump.drive) * supply.voltage)


def source_efficiency(supply: Supply | None, drive: str) -> float:
    """Share of a source's power that reaches a load on this drive; "ac" is through the inverter."""
    return supply.inverter_efficiency if supply is not None and drive == "ac" else 1.0


def running_stages(supply: Supply | None, pump_included: float, pump: float) -> tuple[Running, ...]:
    """Current and hours at each stage that the job states, with one pump instead of another.

    Parameters
    ----------
    supply : Supply or None
        None gives an empty result.
    pump_included, pump : float
        Draw of the pump that the stated draws include, and of the pump in question [A]. If either
        is unknown (NaN), so are the hours.
    """
    found = []
    for stage in supply.draw if supply else ():
        total = stage - pump_included + pump
        known = math.isfinite(total) and total > 0
        share = pump / total if known else math.nan
        hours = running_hours(supply, total) if supply and known else math.nan
        found.append(Running(total, pump, share, hours))
    return tuple(found)
