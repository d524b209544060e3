"""Flow paths of the water from sea to sea, including those with reversed flow in a line."""

from loop.curve import Array
from loop.hydraulics import Network
from loop.hydraulics.running_lines import to_the_sea
from loop.records import dataclass


@dataclass(frozen=True)
class WaterWay:
    """A flow path: its branch's name, and its lines and parts in flow order.

    ``runs`` : whether water flows all the way; otherwise it is the path in the order of the file.
    """

    name: str
    lines: tuple[int, ...]
    parts: tuple[int, ...]
    runs: bool


def water_ways(network: Network, line_flow: Array) -> list[WaterWay]:
    """Flow paths that together cover every line, without redundant ones.

    Those of `Network.paths` where all their lines run forward. A branch whose water enters or
    leaves another way gets a path of its own; one without flow is on its path in the order of the
    file.
    """
    ways, covered = [], set[int]()
    left: list[tuple[str, tuple[int, ...], list[int]]] = []
    for name, parts in network.paths():
        lines = list(dict.fromkeys(network.line_of[index] for index in parts))
        if all(line_flow[line] > 0 for line in lines):
            ways.append(WaterWay(name, tuple(lines), parts, runs=True))
            covered.update(lines)
        else:
            left.append((name, parts, lines))
    for name, parts, lines in left:
        own = [line for line in lines if network.lines[line].branch == name]
        fresh = [line for line in own if line_flow[line] != 0 and line not in covered]
        if not all(line_flow[line] != 0 for line in own):
            ways.append(WaterWay(name, tuple(lines), parts, runs=False))
        for line in fresh:
            if line not in covered:
                before = to_the_sea(network, line_flow, line, -1)
                way = [*reversed(before), line, *to_the_sea(network, line_flow, line)]
                covered.update(way)
                out = network.lines[way[-1]].branch or name
                ways.append(WaterWay(out, tuple(way), _parts(network, line_flow, way), runs=True))
    return ways


def _parts(network: Network, line_flow: Array, way: list[int]) -> tuple[int, ...]:
    """The parts of these lines, in flow order."""
    return tuple(
        index
        for line in way
        for index in network.lines[line].parts[:: 1 if line_flow[line] > 0 else -1]
    )
