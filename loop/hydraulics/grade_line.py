"""Grade line: total head at every part, along the flow, or from the sea in standing water."""

import math

from loop.curve import Array
from loop.hydraulics.cases import Cases
from loop.hydraulics.dead_legs import StandingWater
from loop.hydraulics.legs import Piece, Section
from loop.hydraulics.lines import pump_head
from loop.hydraulics.manifolds import manifolds
from loop.hydraulics.network import SEA_IN, SEA_OUT, Network
from loop.parts import Condenser, Hose, Pump
from loop.records import dataclass


@dataclass(frozen=True)
class Heads:
    """Head loss of each part and total head at its far end [m], by part index.

    Both follow the order of the file: where water runs against it, a part's loss is negative and
    its far end has the higher head. A manifold has the head of the joint at which it splits.
    ``films`` are the pieces of hose in which water falls as a film, each losing its fall.
    """

    lost: dict[int, float]
    after: dict[int, float]
    films: frozenset[Piece]

    def film_at(self, network: Network, index: int) -> bool:
        """Whether water falls as a film at the far end of a part.

        Fittings are in the film of the hose before them; a condenser's narrow tubes run full.
        """
        line = network.lines[network.line_of[index]].parts
        before = line[: line.index(index) + 1] if index in line else ()
        for at in reversed(before):
            part = network.parts[at]
            if isinstance(part, Hose):
                return any(p.part == at and p.end == part.length for p in self.films)
            if isinstance(part, Condenser | Pump):
                return False
        return False


def heads_at(network: Network, line_flow: Array) -> Heads:
    """Heads at these line flows [m³/s], shape (lines,).

    Followed from the intake in the direction of flow. Water that no flow reaches stands: it loses
    nothing (not even by the suction of a tee that others flow past) and has the heads of
    `StandingWater`. Falling legs hold air as the network's `air` says, or none if it is None.
    """
    films = films_at(network, line_flow)
    lost = _losses(network, line_flow, films)
    gain = float(pump_head(network, Cases(), line_flow[[network.pump_line]])[0][0])
    after: dict[int, float] = {}
    joints: dict[int, float] = {}
    remaining = [number for number in range(len(network.lines)) if line_flow[number] != 0]
    size = len(remaining) + 1
    while len(remaining) < size:
        size = len(remaining)
        for number in list(remaining):
            line = network.lines[number]
            ahead = line_flow[number] > 0
            begins, ends = (line.start, line.end) if ahead else (line.end, line.start)
            sea = {SEA_IN: network.start_head, SEA_OUT: line.outlet_head}
            head = joints.get(begins, sea.get(begins))
            if head is None:
                continue
            remaining.remove(number)
            head = _heads_along_line(network, number, head, ahead, (lost, after), gain)
            if ends >= 0:
                joints.setdefault(ends, head)
    lines_at_rest = [n for n in range(len(network.lines)) if line_flow[n] == 0 or n in remaining]
    after |= StandingWater(network, lines_at_rest, joints, gain).heads()
    lost |= {index: 0.0 for number in lines_at_rest for index in network.lines[number].parts}
    for fork in network.forks:
        lost[fork.manifold] = 0.0
        if fork.split in joints:
            after[fork.manifold] = joints[fork.split]
    return Heads(lost, after, films)


def _heads_along_line(
    network: Network,
    number: int,
    head: float,
    ahead: bool,
    found: tuple[dict[int, float], dict[int, float]],
    gain: float,
) -> float:
    """Write the heads along one line from the end where water enters; return the other end's."""
    lost, after = found
    parts = network.lines[number].parts
    for index in parts if ahead else reversed(parts):
        if not ahead:
            after[index] = head
            head += lost[index]
            continue
        head -= lost[index]
        if isinstance(network.parts[index], Pump):
            head += gain
        after[index] = head
    return head


def friction(network: Network, section: Section, flow: float) -> float:
    """Friction head [m] of a section's hose at a flow [m³/s] above 0, running full."""
    losses = (share * network.head_loss(part, flow) for part, share in section.shares)
    return network.job.fitted.loss * math.fsum(losses)


def films_at(network: Network, line_flow: Array) -> frozenset[Piece]:
    """Pieces of the air-filled sections whose friction is less than their fall."""
    films: set[Piece] = set()
    for section, air in zip(network.sections, network.air or (), strict=False):
        flow = float(line_flow[section.line])
        if air and flow > 0 and friction(network, section, flow) < section.fall:
            films.update(section.pieces)
    return frozenset(films)


def _losses(network: Network, line_flow: Array, films: frozenset[Piece]) -> dict[int, float]:
    """Head loss of each part [m]; tee losses count with a line's first and last part."""
    lost: dict[int, float] = {}
    wet = dict.fromkeys(range(len(network.parts)), 1.0)
    falls = dict.fromkeys(wet, 0.0)
    for piece in films:
        hose = network.parts[piece.part]
        assert isinstance(hose, Hose)
        wet[piece.part] -= (piece.end - piece.start) / hose.length
        falls[piece.part] += piece.fall
    fitted = network.job.fitted.loss
    for number, line in enumerate(network.lines):
        flow = float(line_flow[number])
        for index in line.parts:
            head = network.head_loss(index, abs(flow)) if flow != 0 else 0.0
            head *= fitted * wet[index]
            lost[index] = head + falls[index] if flow > 0 else -head
    if network.forks:
        tees = manifolds(network.forks, len(network.lines)).losses(line_flow[None, :], exact=True)
        (leaving,), (returning,) = tees
        for number, line in enumerate(network.lines):
            lost[line.parts[0]] += float(leaving[number])
            lost[line.parts[-1]] += float(returning[number])
    return lost
