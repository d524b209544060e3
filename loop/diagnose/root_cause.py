"""What explains why something failed that a step only restarted or filled."""

from loop.diagnose.fix_status import LOCKED
from loop.records import dataclass

# Alternatives, one of which is enough: reading keys, and steps by name or with their answer.
Want = tuple[str, ...]


@dataclass(frozen=True)
class RootCauseCheck:
    """What explains why something failed that a step only restarted.

    ``wants`` : kinds of readings that must then be usual, or steps that must have been done on the
    call; ``unknown`` and ``watch`` : keys of the texts on what is not known, and on what to do
    where none of it is available; ``told`` : statements that already explain it. ``only`` : the
    fault that needs a reason; fixing any other fault is that reason. ``well`` : key of the text on
    what to do where all of it is usual and so gives no reason, "" where that is the answer;
    ``again`` : wants instead, whatever was told, where the same was done before and it ran since.
    """

    wants: tuple[Want, ...]
    unknown: str
    watch: str
    told: tuple[str, ...] = ()
    only: str = ""
    well: str = ""
    again: tuple[Want, ...] = ()


# Cleaning the basket reseats the lid; a pump behind a shut seacock loses its water. Air is
# explained where the line was out of the water, or a unit was installed; a lid that was off and a
# new pump's joints are checked. Air that returns on the same call is leaking in somewhere.
_AIR = RootCauseCheck(
    (("seat-lid-and-clamps", "clean-basket", "open-seacock: was not fully open"),),
    "unknown-air",
    "watch-air",
    ("since haul-out", "since a unit was added", "after a lay-up"),
    again=(("seat-lid-and-clamps",),),
)
ROOT_CAUSE_CHECKS: dict[str, RootCauseCheck] = {
    "bleed": _AIR,
    "loosen-outlet-hose": _AIR,
    "prime": _AIR,
    "reset-unit": RootCauseCheck(
        (("flow",), ("condensing_temperature", "outlet_temperature")),
        "unknown-trip",
        "watch-trip",
        only=LOCKED,
        well="watch-trip-well",
    ),
    "check-breaker": RootCauseCheck(
        (("pump_current", "pump_power"),), "unknown-power", "watch-power"
    ),
    "fill-and-purge": _AIR,
}
