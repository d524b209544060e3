"""Fixes of named faults that no other action cures for good: one row per fault.

Allowed where that fault is likely, or after what found it; the text is in the fault's row of words.
All numbers are engineering estimates.
"""

from collections.abc import Callable

from loop.diagnose.action import CallAction
from loop.diagnose.faults import BY_NAME
from loop.hydraulics import Network
from loop.words.to_do import FIX

# Probability of the first answer without the fault: some sound parts are repaired anyway.
_ANYWAY = 0.15
# The voltage at the motor is read before it is repaired or replaced, or its wiring traced; and no
# motor is taken off before somebody has looked at it.
_VOLTS = ("supply",)
_MOTOR = (*_VOLTS, "look-at-motor")


def _can_have(fault: str) -> Callable[[Network], bool]:
    def needs(network: Network) -> bool:
        return any(BY_NAME[fault].sites(network, len(network.job.condenser)))

    return needs


def _fix(
    fault: str,
    minutes: float,
    risk: int,
    price: float = 0.0,
    after: tuple[str, ...] = (),
    earlier: tuple[str, ...] = (),
    also: tuple[tuple[str, float, float], ...] = (),
) -> CallAction:
    """The row; ``also`` : effects of the same work on other faults."""
    return CallAction(
        f"{FIX}{fault}",
        minutes,
        risk,
        ("at fault, put right", "in order"),
        _ANYWAY,
        ((fault, 0.9, 0.87), *also),
        _can_have(fault),
        price=price,
        after=after,
        for_lead=(fault,),
        earlier=earlier,
        renews=("unit",) if fault == "unit-off" else (),
    )


FIXES: tuple[CallAction, ...] = (
    # A new hose has no loose lining.
    _fix("suction-hose-collapsed", 40.0, 2, price=15.0,
         also=(("suction-blocked-inside", 0.6, 0.55),)),
    _fix("suction-air-leak", 25.0, 2),
    _fix("pressure-hose-kinked", 40.0, 2, price=15.0),
    _fix("branch-blocked", 40.0, 2),
    _fix("branches-unbalanced", 40.0, 2, price=15.0),
    _fix("intake-air", 120.0, 0),
    _fix("no-power", 30.0, 1, earlier=_VOLTS),
    _fix("no-power-under-way", 30.0, 1, after=("supply-under-way: no power there",),
         earlier=("supply-under-way",)),
    _fix("supply-low", 30.0, 1),
    _fix("generator-slow", 30.0, 1),
    _fix("frequency-low", 30.0, 1),
    _fix("motor-dead", 60.0, 2, price=45.0, earlier=_MOTOR),
    _fix("motor-weak", 45.0, 2, price=45.0, earlier=_MOTOR),
    _fix("unit-off", 30.0, 1, after=("reset-unit: it does not",)),
    _fix("not-water-side", 45.0, 1,
         after=("measure-refrigerant: charge or circuit at fault",)),
    _fix("refrigerant-low", 45.0, 1,
         after=("measure-refrigerant: charge or circuit at fault",)),
)  # fmt: skip
