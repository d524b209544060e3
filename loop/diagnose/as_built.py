"""Defects of a loop as its file describes it: traps air, is dirty, short of water, or too hot."""

from loop.air.air_paths import air_paths
from loop.diagnose.study import Study
from loop.diagnose.word_likelihoods import TRIPS_AT
from loop.hydraulics import operating_point
from loop.margins.suction import height_above_water, pump_exposed
from loop.parts import Condenser, Intake, Seacock, Strainer
from loop.parts.friction import ROUNDING
from loop.units import bare, show
from loop.words.diagnosis import SAY
from loop.words.numbers import spoken
from loop.words.template import listed

# Largest blocked share of a strainer between cleanings: common practice.
_DIRTY = 0.5


def as_built(study: Study) -> str:
    """One line: what traps air or is dirty; else the unit shortest of water, or the hottest.

    "" where nothing is wrong, or without a file. Uses the flows of `loop check` and the condensing
    temperature at which half of units trip.
    """
    if not study.known:
        return ""
    return traps_air(study) or _dirty(study) or _short(study) or _hot(study)


def traps_air(study: Study) -> str:
    """Why the pump can run dry with no fault, from the hazards that `loop check` finds.

    The pump, or a high point upstream of it, is above the water and the pump is not self-priming;
    or its shut-off head cannot fill a line. "" for none, and without a file.
    """
    if "keeps air" not in study.memory:
        study.memory["keeps air"] = _air_trap(study) if study.known else ""
    found: str = study.memory["keeps air"]
    return found


def _air_trap(study: Study) -> str:
    network, job = study.instruments.network, study.instruments.job
    pump = network.pump
    if pump_exposed(pump, network.heights[network.pump_index], job.boat):
        return SAY("pump-out-as-built")
    point = operating_point(network)
    for path in air_paths(point.network, point):
        for hump in path.suction.humps:
            share = hump.distance / path.profile.pump_at
            above = height_above_water(job.intake, job.pump, share, hump.height, job.boat)
            if above > ROUNDING and not path.suction.self_priming:
                height = hump.height if hump.above_water else above
                return SAY("hump-as-built", above=spoken(height, "height", job.units))
        if not path.starts:
            needed, held = path.start_head, path.shutoff_head
            return SAY(
                "start-as-built",
                needed=show(needed, "head", job.units),
                held=show(held, "head", job.units),
            )
    return ""


def _dirty(study: Study) -> str:
    """What the file states as dirty or partly shut: every prediction includes it."""
    network, units = study.instruments.network, study.instruments.job.units
    found = []
    for part, label, branch in zip(network.parts, network.labels, network.branches, strict=True):
        if isinstance(part, Strainer) and part.blocked >= _DIRTY:
            found.append(SAY("stated-blocked", units, part=label, blocked=part.blocked))
        elif isinstance(part, Seacock) and part.open < 1 and not branch:
            found.append(SAY("stated-open", units, part=label, open=part.open))
        elif isinstance(part, Condenser) and part.scale > 0:
            found.append(SAY("stated-scale", part=label))
        elif isinstance(part, Intake) and part.overgrown:
            found.append(SAY("stated-growth", part=label))
    return SAY("dirty-as-built", parts=listed(found)) if found else ""


def _short(study: Study) -> str:
    place, job = study.instruments, study.instruments.job
    network = place.network
    flows = [float(place.flows[network.line_of[part]]) for part in place.condenser_parts]
    share, worst = min(
        (flow / unit.needed_flow, number)
        for number, (flow, unit) in enumerate(zip(flows, place.units, strict=True))
    )
    if share >= 1:
        return ""
    unit = place.units[worst]
    needed = show(unit.needed_flow, "flow", job.units)
    flow = bare(flows[worst], "flow", job.units)
    several = unit.name if len(job.condenser) > 1 else None
    return SAY("short-as-built", unit=several, flow=flow, needed=needed)


def _hot(study: Study) -> str:
    place, job = study.instruments, study.instruments.job
    healthy = study.from_scale(study.mean[study.healthy])
    hot, hottest = max(
        (float(healthy[number]), column.unit)
        for number, column in enumerate(place.columns)
        if column.kind.name == "condensing_temperature"
    )
    if hot < TRIPS_AT:
        return ""
    unit = place.units[hottest]
    return SAY("hot-as-built", unit=unit.name, hot=show(hot, "temperature", job.units))
