"""Whether a loop with nothing wrong is short of water, or too hot, as its file has it."""

from loop.diagnose.study import Study
from loop.diagnose.words_seen import TRIPS_AT
from loop.units import bare, show
from loop.words.diagnosis import SAY


def as_built(study: Study) -> str:
    """One line about the unit that is shortest, or hottest; "" where all is well or without a file.

    By the flows that `loop check` gives, and by the condensing temperature at which half trip.
    """
    place, job = study.bench, study.bench.job
    if not study.known:
        return ""
    several = len(job.condenser) > 1
    network = place.network
    flows = [float(place.flows[network.line_of[part]]) for part in place.condenser_parts]
    share, worst = min(
        (flow / unit.needed_flow, number)
        for number, (flow, unit) in enumerate(zip(flows, place.units, strict=True))
    )
    if share < 1:
        unit = place.units[worst]
        needed = show(unit.needed_flow, "flow", job.units)
        flow = bare(flows[worst], "flow", job.units)
        return SAY("short-as-built", unit=unit.name if several else None, flow=flow, needed=needed)
    healthy = study.natural(study.mean[study.healthy])
    hot, hottest = max(
        (float(healthy[number]), column.unit)
        for number, column in enumerate(place.columns)
        if column.kind.name == "condensing_temperature"
    )
    if hot < TRIPS_AT:
        return ""
    unit = place.units[hottest]
    return SAY("hot-as-built", unit=unit.name, hot=show(hot, "temperature", job.units))
