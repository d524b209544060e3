"""When to clean the strainer, by what is seen under its lid and by the bucket."""

import math

from loop.check import CheckResult
from loop.parts import Strainer
from loop.sheet.card import bucket, open_discharges
from loop.units import show


def cleaning(result: CheckResult) -> tuple[str, ...]:
    """When to clean the strainer, a sentence a unit, with the bucket time that tells it."""
    network, system = result.point.network, result.job.units
    if not any(isinstance(part, Strainer) for part in network.parts):
        return ("No strainer is listed. Weed and shells go straight to the pump: fit one.",)
    said = []
    for unit in result.condensers:
        if unit.flow < unit.needed_flow:
            said.append(
                f"{unit.name} is short of flow with the strainer as it is in the job: every "
                "blocked hole makes it worse. Mend the loop first."
            )
        elif math.isnan(unit.clean_at):
            said.append(f"{unit.name} meets its need however much of the basket is covered.")
        else:
            said.append(
                f"{unit.name} meets its need until {unit.clean_at:.0%} of the basket is covered: "
                f"clean it by {unit.clean_before:.0%}. Half covered it gets "
                f"{show(unit.flow_half_blocked, 'flow', system)} of "
                f"{show(unit.needed_flow, 'flow', system)}."
            )
    if (
        len(result.condensers) == 1
        and open_discharges(network)
        and result.condensers[0].flow >= result.condensers[0].needed_flow
    ):
        text, volume = bucket(result.point.flow, system)
        slow = show(volume / result.condensers[0].needed_flow, "time", system)
        said.append(f"The bucket tells: {text} that takes longer than {slow} means clean now.")
    return tuple(said)
