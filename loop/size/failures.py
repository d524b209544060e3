"""Why an option fails: every reason, in words, in the order in which a fitter would meet them."""

from collections.abc import Iterator

from loop.air.air_paths import START_SPARE, AirPath, Crest, air_paths
from loop.check import check
from loop.hydraulics import installed_pump
from loop.job import Job
from loop.margins.speed import PartSpeed, part_speeds
from loop.margins.suction import NPSH_RATIO, npsh_available
from loop.parts import Hose
from loop.parts.friction import velocity
from loop.records import dataclass
from loop.size.study import Outcome
from loop.units import show
from loop.words import say


@dataclass(frozen=True)
class Judgement:
    """What the margins say of one option: reasons for failing, speeds [m/s], start head [m].

    ``starts_last`` names the branches that stay dry while the others run.
    """

    reasons: tuple[str, ...]
    suction_velocity: float
    pressure_velocity: float
    start_head: float
    starts_last: tuple[str, ...]


def judge(job: Job, found: Outcome) -> Judgement:
    """An option's margins, from its outcome: all but the dangers that a whole check may add."""
    air = air_paths(found.service.network, found.service)
    reasons = (
        *_flow_reasons(job, found),
        *_air_reasons(job, air),
        *_suction_reasons(job, found),
        *_speed_reasons(job, found),
        *_curve_reasons(found),
    )
    return Judgement(
        reasons=reasons,
        suction_velocity=_fastest(found, suction=True),
        pressure_velocity=_fastest(found, suction=False),
        start_head=max((path.start_head for path in air), default=0.0),
        starts_last=tuple(path.branch for path in air if path.starves),
    )


def danger_reasons(job: Job) -> tuple[str, ...]:
    """Dangers that a whole `check` of the option finds, at its worst service."""
    said = [
        say(finding, job)
        for finding in check(job, fixes=False).findings
        if finding.level == "danger"
    ]
    return tuple(f"danger: {one.message} ({one.where})" for one in said)


def _flow_reasons(job: Job, found: Outcome) -> Iterator[str]:
    for unit in found.units:
        if unit.chance < job.sizing.confidence:
            yield (
                f"flow: {unit.chance:.0%} chance that {unit.name} gets its "
                f"{show(unit.needed_flow, 'flow', job.units)}; {job.sizing.confidence:.0%} is asked"
            )


def _air_reasons(job: Job, air: tuple[AirPath, ...]) -> Iterator[str]:
    worst = max(air, key=lambda path: path.start_head, default=None)
    if worst is not None and not worst.starts_with_spare:
        short = "cannot start" if not worst.starts else f"under {START_SPARE:.0%} to spare to start"
        yield (
            f"air: {short}: it takes {show(worst.start_head, 'head', job.units)}, and the pump "
            f"holds {show(worst.shutoff_head, 'head', job.units)} at no flow"
        )
    told = set()
    for path in air:
        for crest in path.crests:
            if _holds(crest) and crest.distance not in told:
                told.add(crest.distance)
                stays = "stays" if crest.running == "held" else "may stay"
                yield (
                    f"air: {stays} in the {show(crest.bore, 'bore', job.units)} hose at the high "
                    f"point {show(crest.height, 'height', job.units)} up: "
                    f"{show(crest.velocity, 'velocity', job.units)}, and "
                    f"{show(crest.clearing[1], 'velocity', job.units)} sweeps it"
                )


def _holds(crest: Crest) -> bool:
    """Whether air may stay at a high point of the pressure side that no bleed vents."""
    return crest.side == "pressure" and not crest.open_end and crest.state in ("held", "may stay")


def _suction_reasons(job: Job, found: Outcome) -> Iterator[str]:
    for point, when in ((found.service, "with a dirty strainer"), (found.as_new, "as new")):
        network = point.network
        needed = float(installed_pump(network).npsh_required_at(point.flow)[0])
        there = npsh_available(point, network.water)
        if there < NPSH_RATIO * needed:
            yield (
                f"suction: the pump cavitates {when}: {show(there, 'head', job.units)} of net "
                f"suction head against {show(needed, 'head', job.units)} needed"
            )
            return


def _speed_reasons(job: Job, found: Outcome) -> Iterator[str]:
    """Too fast is judged as new, when most water runs; too slow at the worst service.

    Where flow is short, too slow is told by the flow itself: a smaller hose would be no cure.
    """
    short = any(unit.flow < unit.needed_flow for unit in found.units)
    fast = [speed for speed in part_speeds(found.as_new) if speed.speed > speed.most]
    slow = [
        speed for speed in part_speeds(found.service) if speed.speed < speed.least and not short
    ]
    for word, beyond, over in (("fast", fast, True), ("slow", slow, False)):
        for side in dict.fromkeys(_side(speed) for speed in beyond):
            those = [speed for speed in beyond if _side(speed) == side]
            worst = (max if over else min)(those, key=lambda speed: speed.speed)
            limit = worst.most if over else worst.least
            network = found.service.network
            which = f" ({network.labels[worst.index]})" if network.forks else ""
            yield (
                f"speed: too {word} in {side}{which}, {show(worst.speed, 'velocity', job.units)}; "
                f"{'at most' if over else 'at least'} {show(limit, 'velocity', job.units)}"
                f"{'' if over else ', or air and silt settle'}"
            )


def _side(speed: PartSpeed) -> str:
    if speed.tube:
        return "the condenser's tube"
    return "the suction hose" if speed.suction else "the pressure hose"


def _curve_reasons(found: Outcome) -> Iterator[str]:
    if found.as_new.past_curve:
        yield "pump: runs past the last measured point of its curve, so nothing is known of it"


def _fastest(found: Outcome, suction: bool) -> float:
    """Highest speed [m/s] in the hoses of one side at the worst service."""
    point = found.service
    network = point.network
    return max(
        (
            velocity(float(point.line_flow[network.line_of[index]]), part.inner_bore)
            for index, part in enumerate(network.parts)
            if isinstance(part, Hose) and (index < network.pump_index) == suction
        ),
        default=0.0,
    )
