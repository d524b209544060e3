"""Flow paths of the water from sea to sea, including those with reversed flow in a line."""

from loop.curve import Array
from loop.hydraulics import Network
from loop.hydraulics.running_lines import path_to_sea
from loop.records import dataclass


@dataclass(frozen=True)
class WaterPath:
    """A flow path: its branch's name, and its lines and parts in flow order.

    ``runs`` : whether water flows all the way; otherwise it is the path in the order of the file.
    """

    name: str
    lines: tuple[int, ...]
    parts: tuple[int, ...]
    runs: bool


def water_paths(network: Network, line_flow: Array) -> list[WaterPath]:
    """Flow paths that together cover every line, without redundant ones.

    Those of `Network.paths` where all their lines run forward. A branch whose water enters or
    leaves another way gets a path of its own; one without flow is on its path in the order of the
    file.
    """
    paths, covered = [], set[int]()
    incomplete: list[tuple[str, tuple[int, ...], list[int]]] = []
    for name, parts in network.paths():
        lines = list(dict.fromkeys(network.line_of[index] for index in parts))
        if all(line_flow[line] > 0 for line in lines):
            paths.append(WaterPath(name, tuple(lines), parts, runs=True))
            covered.update(lines)
        else:
            incomplete.append((name, parts, lines))
    for name, parts, lines in incomplete:
        branch_lines = [line for line in lines if network.lines[line].branch == name]
        uncovered = [line for line in branch_lines if line_flow[line] != 0 and line not in covered]
        if not all(line_flow[line] != 0 for line in branch_lines):
            paths.append(WaterPath(name, tuple(lines), parts, runs=False))
        for line in uncovered:
            if line not in covered:
                upstream = path_to_sea(network, line_flow, line, -1)
                through = [*reversed(upstream), line, *path_to_sea(network, line_flow, line)]
                covered.update(through)
                last_branch = network.lines[through[-1]].branch or name
                paths.append(
                    WaterPath(
                        last_branch, tuple(through), _parts(network, line_flow, through), runs=True
                    )
                )
    return paths


def _parts(network: Network, line_flow: Array, lines: list[int]) -> tuple[int, ...]:
    """The parts of these lines, in flow order."""
    return tuple(
        index
        for line in lines
        for index in network.lines[line].parts[:: 1 if line_flow[line] > 0 else -1]
    )
