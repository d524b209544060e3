"""Changes tried on the job itself, so that a fix can name the size that cures."""

from collections.abc import Callable

from loop.check.subject import Subject
from loop.hydraulics import build, solve_flows
from loop.job import TRADE_BORES, Job
from loop.margins.speed import HOSE_LEAST
from loop.parts import AnyPart, Branch, Hose, Manifold, Pump
from loop.parts.friction import velocity
from loop.pumps import PumpCurve, catalogue, load_pump


def larger_hose(subject: Subject, number: int) -> str | None:
    """Words for the smallest trade bore, for all hoses, that gives a unit its need, or None."""
    unit = subject.condensers[number]
    for bore in _larger_bores(subject, number):
        flow = _flow_with(subject, unit.name, bore, None)
        if flow >= _reach(subject, number):
            return (
                f"fit {subject.say(bore, 'bore')} hose and barbs in place of the smaller: "
                f"{subject.say(flow, 'flow')}"
            )
    return None


def stronger_pump(subject: Subject, number: int) -> str | None:
    """Words for the weakest catalogue pump of the same supply that gives a unit its need.

    With the largest hose that the flow would still sweep, where that takes a weaker pump.
    """
    unit = subject.condensers[number]
    bores = [None, *_larger_bores(subject, number)[-1:]]
    for pump in sorted(_like(subject.job.pump.curve), key=lambda p: p.last_flow * p.shutoff_head):
        for bore in bores:
            flow = _flow_with(subject, unit.name, bore, pump.name)
            if flow >= _reach(subject, number):
                hose = "" if bore is None else f"{subject.say(bore, 'bore')} hose and "
                return (
                    f"fit {hose}a pump like {pump.name} "
                    f"({subject.say(pump.shutoff_head, 'head')} at shut-off): "
                    f"{subject.say(flow, 'flow')}"
                )
    return None


def _reach(subject: Subject, number: int) -> float:
    """Flow at the middle of the band [m³/s] whose low edge is the need, the band being as now."""
    unit = subject.condensers[number]
    return unit.needed_flow / max(unit.flow_low / max(unit.flow, 1e-12), 0.5)


def _larger_bores(subject: Subject, number: int) -> list[float]:
    """Trade bores above the smallest hose in which the need would still sweep air along."""
    bores = [p.inner_bore for p in subject.network.parts if isinstance(p, Hose)]
    need = subject.condensers[number].needed_flow
    return [
        bore
        for bore in TRADE_BORES
        if bores and bore > min(bores) * 1.02 and velocity(need, bore) >= HOSE_LEAST
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


def shed_head(subject: Subject, target: float) -> float:
    """Head [m] that a series loop has to spare at flow `target` [m³/s]."""
    network = subject.network
    pump = network.pump
    along = pump.speed * subject.job.fitted.pump
    head = float(pump.curve.head_curve.extended(target / (along * pump.in_parallel)))
    up = head * along**2 * pump.in_series
    lost = sum(p.head_loss(target, network.water) for p in network.parts)
    static = network.lines[0].outlet_head - network.start_head
    return up - static - subject.job.fitted.loss * lost


def _flow_with(subject: Subject, unit: str, bore: float | None, pump: str | None) -> float:
    """Flow through one unit's condenser [m³/s], on the tables, with larger hoses or a pump."""
    tried = (bore, pump)
    if tried not in subject.tried:
        job = subject.job if bore is None else with_hoses(subject.job, bore)
        job = job if pump is None else with_pump(job, pump)
        subject.tried[tried] = solve_flows(build(job)).line_flow[0]
    network = subject.network
    return float(subject.tried[tried][network.line_of[network.condenser_part(unit)]])


def with_hoses(job: Job, bore: float) -> Job:
    """The job with every hose smaller than `bore` [m] changed to it, barbs in proportion."""

    def change(part: AnyPart) -> AnyPart:
        if isinstance(part, Hose) and part.inner_bore < bore:
            return part.model_copy(update={"bore": bore, "barb_bore": None})
        return part

    return with_parts(job, change)


def with_pump(job: Job, name: str) -> Job:
    """The job with another pump of the catalogue, at its rated supply."""

    def change(part: AnyPart) -> AnyPart:
        if isinstance(part, Pump):
            return part.model_copy(
                update={"curve": load_pump(name), "supply": None, "frequency": None}
            )
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
