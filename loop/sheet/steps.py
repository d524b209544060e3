"""Start-up and bleeding steps, in order for this loop."""

from collections.abc import Iterator

from loop.check import CheckResult
from loop.sheet.at_rest import AtRest
from loop.sheet.running import Running
from loop.sheet.vents import Vent
from loop.words.job_sheet import SAY


def steps(result: CheckResult, vents: tuple[Vent, ...]) -> tuple[str, ...]:
    """One sentence per step, in the order to take them; `vents` are the bleeds in the loop."""
    return (
        *_fixed_first(result),
        *AtRest(result, vents).steps(),
        *Running(result, vents).steps(),
    )


def _fixed_first(result: CheckResult) -> Iterator[str]:
    """What must be fixed before the loop can start at all."""
    if any(path.suction.stops_pump for path in result.air):
        yield SAY("start-suction")
    elif any(not path.starts and not path.bleeds_suffice for path in result.air):
        yield SAY("start-lift")
