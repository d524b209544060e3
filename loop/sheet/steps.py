"""Start-up and bleeding, in the order for this loop."""

from collections.abc import Iterator

from loop.check import CheckResult
from loop.sheet.at_rest import AtRest
from loop.sheet.running import Running
from loop.sheet.vents import Vent


def steps(result: CheckResult, vents: tuple[Vent, ...]) -> tuple[str, ...]:
    """Sentences, one a step, in the order to take them; `vents` are the bleeds along the way."""
    return (
        *_mend(result),
        *AtRest(result, vents).steps(),
        *Running(result, vents).steps(),
    )


def _mend(result: CheckResult) -> Iterator[str]:
    """What keeps the loop from starting at all, told before anything else."""
    after = "fix that first (see the findings). The steps below are for the loop as fixed."
    if any(path.suction.stops_pump for path in result.air):
        yield f"No water passes the high point before the pump: {after}"
    elif any(not path.starts and not path.bleeds_suffice for path in result.air):
        yield f"The pump cannot push water over the high points after it: {after}"
