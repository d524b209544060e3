"""Changes tried on the job itself, so that a fix can name the size that cures."""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from loop.balancing.isolation import around
from loop.check.result import CondenserResult
from loop.check.subject import Subject
from loop.curve import Array
from loop.hydraulics import Network, build, solve_flows
from loop.job import TRADE_BORES, Job
from loop.margins.speed import HOSE_LEAST
from loop.parts import AnyPart, Branch, Hose, Intake, Manifold, Pump, Seacock, Strainer
from loop.parts.friction import velocity
from loop.pumps import PumpCurve, catalogue, load_pump


@dataclass(frozen=True)
class Care:
    """The job once it is cared for: strainers clean, part-shut seacocks on the way open.

    ``words`` say what that takes, "" where there is nothing to do.
    """

    subject: Subject
    job: Job
    words: str

    def flow(self, unit: str, job: Job | None = None) -> float:
        """Flow through one unit [m³/s], on the tables, of the job cared for or changed further."""
        return self.subject.of(self._flows(build(self.job if job is None else job)), unit)

    def cures(self, job: Job | None = None) -> bool:
        """Whether every running unit has its need, at the low edge too, in the job so changed."""
        network = build(self.job if job is None else job)
        return self.subject.suffices(network, self._flows(network))

    def _flows(self, network: Network) -> Array:
        start = self.subject.point.line_flow if self.subject.flows else None
        return np.asarray(solve_flows(network, start=start).line_flow[0])


def cared_for(subject: Subject, number: int) -> Care:
    """What costs nothing: the strainers cleaned, and the seacocks on a unit's way opened.

    Valves in other branches stay as they are: they may be balancing. So does that of the unit's
    own branch where the branches' balance sees to it.
    """
    network = subject.network
    branch = network.branches[network.condenser_part(subject.condensers[number].name)]
    way = around(branch)
    if subject.balanced is not None:
        way = way[:-1] or way
    on_way = {id(p) for i, p in enumerate(network.parts) if network.branches[i] in way}
    names = [
        (part, subject.name(index))
        for index, part in enumerate(network.parts)
        if id(part) in on_way and not part.shut
    ]
    clean = [name for part, name in names if isinstance(part, Strainer) and part.blocked > 0]
    turn = [name for part, name in names if isinstance(part, Seacock) and part.open < 1]
    words = [f"clean {' and '.join(clean)}"] * bool(clean)
    words += [f"open {' and '.join(turn)} fully"] * bool(turn)

    def change(part: AnyPart) -> AnyPart:
        if id(part) in on_way and isinstance(part, Strainer):
            return part.model_copy(update={"blocked": 0.0})
        if id(part) in on_way and isinstance(part, Seacock) and not part.shut:
            return part.model_copy(update={"open": 1.0})
        return part

    job = with_parts(subject.job, change) if words else subject.job
    return Care(subject, job, " and ".join(words))


def scoop_turned(care: Care, unit: CondenserResult) -> str | None:
    """Words for a flush grate, where an aft-facing scoop keeps the units short, or None.

    A scoop that faces forward gains more, under way; a flush one is judged as at anchor.
    """
    if care.subject.network.start_head >= 0:
        return None
    job = with_parts(
        care.job,
        lambda part: (
            part.model_copy(update={"facing": "flush"}) if isinstance(part, Intake) else part
        ),
    )
    if not care.cures(job):
        return None
    flow = care.subject.say(care.flow(unit.name, job), "flow")
    return f"fit a flush grate in place of the scoop that faces aft: {flow}; facing forward, more"


def rested_supply(care: Care, unit: CondenserResult) -> str | None:
    """Words for a DC pump's rated voltage, where it has less and that alone cures, or None."""
    pump = care.job.pump
    rated = pump.curve.rated_supply
    if pump.curve.drive != "dc" or pump.supply is None or pump.supply >= rated:
        return None

    def change(part: AnyPart) -> AnyPart:
        return part.model_copy(update={"supply": rated}) if isinstance(part, Pump) else part

    job = with_parts(care.job, change)
    if not care.cures(job):
        return None
    say = care.subject.say
    return (
        f"bring the pump's supply up from {say(pump.supply, 'voltage')} to its rated "
        f"{say(rated, 'voltage')} (battery, wire size, connections): "
        f"{say(care.flow(unit.name, job), 'flow')}"
    )


def larger_hose(care: Care, unit: CondenserResult) -> str | None:
    """Words for the smallest trade bore, for all hoses, that gives each unit its need, or None."""
    for bore in _larger_bores(care, unit):
        job = with_hoses(care.job, bore)
        if care.cures(job):
            return (
                f"fit {care.subject.say(bore, 'bore')} hose and barbs in place of the smaller: "
                f"{care.subject.say(care.flow(unit.name, job), 'flow')}"
            )
    return None


def stronger_pump(care: Care, unit: CondenserResult) -> str | None:
    """Words for the weakest catalogue pump of the same supply that gives each unit its need.

    With the largest hose that the flow would still sweep, where that takes a weaker pump.
    """
    say = care.subject.say
    bores = [None, *_larger_bores(care, unit)[-1:]]
    for pump in sorted(_like(care.job.pump.curve), key=lambda p: p.last_flow * p.shutoff_head):
        for bore in bores:
            job = with_pump(care.job if bore is None else with_hoses(care.job, bore), pump.name)
            if care.cures(job):
                hose = "" if bore is None else f"{say(bore, 'bore')} hose and "
                each = "" if care.job.pump.count == 1 else " each"
                return (
                    f"fit {hose}{care.job.pump.some} like {pump.name} "
                    f"({say(pump.shutoff_head, 'head')}{each} at shut-off): "
                    f"{say(care.flow(unit.name, job), 'flow')}"
                )
    return None


def reach(unit: CondenserResult) -> float:
    """Flow at the middle of the band [m³/s] whose low edge is the need, the band being as now."""
    return unit.needed_flow / max(unit.flow_low / max(unit.flow, 1e-12), 0.5)


def _larger_bores(care: Care, unit: CondenserResult) -> list[float]:
    """Trade bores above the smallest hose in which the need would still sweep air along."""
    bores = [p.inner_bore for p in care.subject.network.parts if isinstance(p, Hose)]
    return [
        bore
        for bore in TRADE_BORES
        if bores and bore > min(bores) * 1.02 and velocity(unit.needed_flow, bore) >= HOSE_LEAST
    ]


def _like(now: PumpCurve) -> list[PumpCurve]:
    """Other catalogue pumps on the same supply, self-priming where this one is."""
    return [
        pump
        for pump in map(load_pump, catalogue())
        if (pump.drive, pump.rated_supply, pump.rated_frequency)
        == (now.drive, now.rated_supply, now.rated_frequency)
        and pump.name != now.name
        and (pump.self_priming or not now.self_priming)
    ]


def with_hoses(job: Job, bore: float) -> Job:
    """The job with every hose smaller than `bore` [m] changed to it, barbs in proportion."""

    def change(part: AnyPart) -> AnyPart:
        if isinstance(part, Hose) and part.inner_bore < bore:
            return resized(part, bore)
        return part

    return with_parts(job, change)


def resized(hose: Hose, bore: float) -> Hose:
    """The hose in another bore [m], barbs in proportion."""
    return hose.model_copy(update={"bore": bore, "barb_bore": None})


def with_pump(job: Job, name: str) -> Job:
    """The job with another pump of the catalogue, on the supply that it has."""

    def change(part: AnyPart) -> AnyPart:
        if isinstance(part, Pump):
            return part.model_copy(update={"curve": load_pump(name)})
        return part

    return with_parts(job, change)


def with_parts(job: Job, change: Callable[[AnyPart], AnyPart]) -> Job:
    """The job with `change` applied to every part, those inside branches too."""

    def deep(part: AnyPart) -> AnyPart:
        if isinstance(part, Manifold):
            branches = tuple(
                Branch.model_construct(name=b.name, part=tuple(deep(p) for p in b.part))
                for b in part.branch
            )
            return part.model_copy(update={"branch": branches})
        return change(part)

    return job.model_copy(update={"part": tuple(deep(part) for part in job.part)})
