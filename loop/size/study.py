"""One option solved at its worst service, as new, and in every draw."""

from collections.abc import Sequence
from typing import Any

import numpy as np
from numpy.typing import NDArray

from loop.curve import Array
from loop.hydraulics import (
    Cases,
    Flows,
    Network,
    OperatingPoint,
    build,
    installed_pump,
    solve_flows,
    stations,
)
from loop.job import Job, Unit
from loop.margins.heat import condensing_in_loop, inlet_rises
from loop.parts import Condenser, Strainer
from loop.records import dataclass
from loop.size.result import UnitOdds
from loop.size.uncertainty import Draws, cases, sea_temperatures


@dataclass(frozen=True)
class Outcome:
    """What the solver says of one option.

    ``service`` is the point at the worst service, its band that of the draws; ``as_new`` the point
    with a clean strainer, clean tubes and the full supply, where the water runs fastest.
    """

    service: OperatingPoint
    as_new: OperatingPoint
    units: tuple[UnitOdds, ...]


def outcome(job: Job, full_speed: float, blocks: Sequence[Draws]) -> Outcome:
    """Solves one option: `job` is the option at its worst service.

    `full_speed` is the pump's speed on the full supply over that on the lowest.
    """
    network = build(job)
    two, solved = _solved(network, _service_and_new(network, full_speed), blocks)
    edges = _edges(solved, job.sizing.confidence)
    return Outcome(
        service=_point(network, two, 0, edges),
        as_new=_point(network, two, 1, edges),
        units=tuple(_odds(network, unit, two, solved, blocks) for unit in job.condenser),
    )


def _solved(network: Network, two: Cases, blocks: Sequence[Draws]) -> tuple[Flows, list[Flows]]:
    """Flows of the two cases, and of each block of draws.

    The two go along with the first block: a call for two costs nearly as much as a block does.
    """
    first, *others = (cases(network, drawn) for drawn in blocks)
    along = solve_flows(network, _joined(two, first))
    count = two.count
    return along[:count], [
        along[count:],
        *(solve_flows(network, block) for block in others),
    ]


def _joined(first: Cases, then: Cases) -> Cases:
    """Cases of both, of which each states the losses; those of `first` before those of `then`."""
    names = ("speed", "pump_flow", "pump_head", "extra_head", "tee")
    factors: dict[str, Any] = {
        name: np.concatenate([first.spread(name), then.spread(name)]) for name in names
    }
    losses = [block.loss for block in (first, then) if block.loss is not None]
    return Cases(loss=np.concatenate(losses), **factors)


def _service_and_new(network: Network, full_speed: float) -> Cases:
    """Two cases: the job as it stands, at its worst; and all that wears and blocks as new."""
    loss = np.ones((2, len(network.parts)))
    for index, part in enumerate(network.parts):
        if isinstance(part, Strainer):
            loss[1, index] = part.blocked_factor(0.0)
        elif isinstance(part, Condenser) and part.scale:
            clean = part.model_copy(update={"scale": 0.0})
            need = network.job.unit(part.serves).needed_flow
            loss[1, index] = clean.head_loss(need, network.water) / part.head_loss(
                need, network.water
            )
    return Cases(speed=np.array([1.0, full_speed]), loss=loss)


def _edges(solved: Sequence[Flows], confidence: float) -> tuple[Array, Array]:
    """Flow of every line that is exceeded with this chance, and not exceeded with it, (lines,)."""
    every = np.concatenate([flows.line_flow for flows in solved])
    low, high = np.quantile(every, [1 - confidence, confidence], axis=0)
    return low, high


def _point(network: Network, flows: Flows, row: int, edges: tuple[Array, Array]) -> OperatingPoint:
    pump = installed_pump(network)
    flow = float(flows.line_flow[row, network.pump_line])
    return OperatingPoint(
        network=network,
        flow=flow,
        flow_low=float(edges[0][network.pump_line]),
        flow_high=float(edges[1][network.pump_line]),
        pump_head=float(flows.pump_head[row]),
        shutoff_head=float(pump.shutoff_head[0]),
        power=float(pump.power_at(flow)[0]),
        past_curve=bool(pump.past_curve(flow)[0]),
        settled=bool(flows.settled[row]),
        residual=float(flows.residual[row]),
        line_flow=flows.line_flow[row],
        line_low=edges[0],
        line_high=edges[1],
        stations=stations(network, flows, row),
    )


def _odds(
    network: Network, unit: Unit, two: Flows, solved: Sequence[Flows], blocks: Sequence[Draws]
) -> UnitOdds:
    line = network.line_of[network.condenser_part(unit.name)]
    met = [
        _meets(network, unit, flows.line_flow, drawn) & flows.settled
        for flows, drawn in zip(solved, blocks, strict=True)
    ]
    every = np.concatenate([flows.line_flow[:, line] for flows in solved])
    confidence = network.job.sizing.confidence
    low, high = np.quantile(every, [1 - confidence, confidence])
    return UnitOdds(
        name=unit.name,
        needed_flow=unit.needed_flow,
        flow=float(two.line_flow[0, line]),
        flow_low=float(low),
        flow_high=float(high),
        chance=float(np.mean(np.concatenate(met))),
    )


def _meets(network: Network, unit: Unit, line_flow: Array, drawn: Draws) -> NDArray[np.bool_]:
    """Whether a unit gets its flow, and condenses below the limit that the job may set."""
    flow = line_flow[:, network.line_of[network.condenser_part(unit.name)]]
    enough: NDArray[np.bool_] = flow >= unit.needed_flow
    if unit.condensing_stop is None:
        return enough
    job, sea = network.job, sea_temperatures(network, drawn)
    inlet = sea + inlet_rises(network, line_flow, sea)[:, job.condenser.index(unit)]
    condensing = condensing_in_loop(network, unit, flow, inlet)
    return enough & (condensing < unit.condensing_stop)
