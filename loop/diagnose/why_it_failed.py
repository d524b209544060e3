"""What shows why something failed that a step only set going again or filled."""

from loop.diagnose.put_right import LOCKED
from loop.records import dataclass

# Of these keys, and steps by name or with what they showed, one is enough.
Want = tuple[str, ...]


@dataclass(frozen=True)
class Then:
    """What shows why something failed that a step only set going again.

    ``wants`` : kinds of readings that are then as they should be, or steps that were done on the
    call; ``unknown`` and ``watch`` : the rows of words that say what is not known, and what to do
    where none of it can be had; ``told`` : what the customer says that tells it already.
    ``only`` : the fault that has a reason behind it: any other that was put right is that reason.
    ``well`` : the row of words for what to do where all of it is as it should be and so shows no
    reason, "" where that is the answer; ``again`` : what is wanted instead, whatever was told,
    where the same was done before and it ran since.
    """

    wants: tuple[Want, ...]
    unknown: str
    watch: str
    told: tuple[str, ...] = ()
    only: str = ""
    well: str = ""
    again: tuple[Want, ...] = ()


# The lid is seated whenever the basket was out; a pump behind a shut seacock loses its water. Air
# came in for good reason where the line was out of the water, or a unit was put in; a lid that was
# off and a new pump's joints are looked at. Air that comes twice on one call comes in somewhere.
_AIR = Then(
    (("seat-lid-and-clamps", "clean-basket", "open-seacock: was not fully open"),),
    "unknown-air",
    "watch-air",
    ("since haul-out", "since a unit was added", "after a lay-up"),
    again=(("seat-lid-and-clamps",),),
)
THEN: dict[str, Then] = {
    "bleed": _AIR,
    "loosen-outlet-hose": _AIR,
    "prime": _AIR,
    "reset-unit": Then(
        (("flow",), ("condensing_temperature", "outlet_temperature")),
        "unknown-trip",
        "watch-trip",
        only=LOCKED,
        well="watch-trip-well",
    ),
    "check-breaker": Then((("pump_current", "pump_power"),), "unknown-power", "watch-power"),
    "fill-and-purge": _AIR,
}
