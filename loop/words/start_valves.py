"""The ball valves that a start takes where branches have to be held back and have none."""

from collections.abc import Iterator
from itertools import takewhile

from loop.job import Located
from loop.parts import Condenser, Manifold
from loop.words.actions import FitValve
from loop.words.finding import Finding
from loop.words.speaker import Speaker


def start_valves(finding: Finding, speaker: Speaker) -> tuple[FitValve, ...]:
    """One in each branch that the finding says is without, open but for the start."""
    missing = finding.values.get("missing")
    return tuple(_valves(missing, speaker)) if isinstance(missing, tuple) else ()


def _valves(branches: tuple[float, ...] | tuple[str, ...], speaker: Speaker) -> Iterator[FitValve]:
    """Where a valve to throttle with would go: after the branch's unit, else its first part."""
    for branch in branches:
        inside = [item for item in speaker.parts.values() if item.branch == branch]
        run = list(takewhile(_single, inside)) or [item for item in inside if _single(item)]
        after = next((item for item in run if isinstance(item.part, Condenser)), run[0])
        unit = after.part.serves if isinstance(after.part, Condenser) else ""
        yield FitValve(after.address, after.part.inner_bore, 0.0, str(branch), unit)


def _single(item: Located) -> bool:
    return not isinstance(item.part, Manifold)
