"""Through which lines of a network water can flow at all."""

from collections import Counter

from loop.hydraulics.network import SEA_IN, SEA_OUT, Line, Network


def open_lines(network: Network) -> list[bool]:
    """Whether water can flow through each line, either way: neither shut nor a dead end."""
    is_open = [not line.shut for line in network.lines]
    # How many lines bring water to each joint, and how many take it away; the sea does both.
    gives, takes = Counter({SEA_IN: 2, SEA_OUT: 2}), Counter({SEA_IN: 2, SEA_OUT: 2})

    def count(line: Line, by: int) -> None:
        gives[line.end] += by
        takes[line.start] += by
        if not line.one_way:
            gives[line.start] += by
            takes[line.end] += by

    for line, way in zip(network.lines, is_open, strict=True):
        count(line, int(way))
    changed = True
    while changed:
        changed = False
        for i, line in enumerate(network.lines):
            own = 0 if line.one_way else 1
            forward = gives[line.start] > own and takes[line.end] > own
            back = own and gives[line.end] > 1 and takes[line.start] > 1
            if is_open[i] and not (forward or back):
                is_open[i], changed = False, True
                count(line, -1)
    reached = _reached(network, is_open)
    return [
        way and (line.start in reached or (not line.one_way and line.end in reached))
        for line, way in zip(network.lines, is_open, strict=True)
    ]


def _reached(network: Network, is_open: list[bool]) -> set[int]:
    """The sea and the joints that water from the intake comes to."""
    reached = {SEA_IN}
    size = 0
    while size < len(reached):
        size = len(reached)
        for line, way in zip(network.lines, is_open, strict=True):
            if way and line.start in reached:
                reached.add(line.end)
            if way and not line.one_way and line.end in reached:
                reached.add(line.start)
    return reached
