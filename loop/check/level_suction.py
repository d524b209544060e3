"""Findings about level hose before the pump, which sags."""

from collections.abc import Iterator
from itertools import pairwise

from loop.check.context import Context
from loop.check.drafts import Draft, draft
from loop.parts import Hose

# Rise over length below which clipped hose sags somewhere, and the length of it [m] from which that
# is reported: engineering estimates.
_LEAST_RISE, _LEAST_LENGTH = 0.02, 1.0


def level_findings(context: Context) -> Iterator[Draft]:
    """suction-level, for each hose before the pump that lies level."""
    network = context.network
    for index, part in enumerate(network.parts[: network.pump_index]):
        if not isinstance(part, Hose):
            continue
        points = [(0.0, network.heights[index - 1]), *part.points]
        level = sum(
            end - start
            for (start, low), (end, high) in pairwise(points)
            if abs(high - low) < _LEAST_RISE * (end - start)
        )
        if level >= _LEAST_LENGTH:
            yield draft(
                "suction-level",
                "note",
                context.place(index),
                {
                    "part": context.addresses[index],
                    "length": level,
                    "rise": _LEAST_RISE * level,
                },
            )
