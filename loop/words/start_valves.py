"""Ball valves to fit in branches that must be held back at start-up and have none."""

from collections.abc import Iterator
from itertools import takewhile

from loop.job import Located
from loop.parts import Condenser, Manifold
from loop.words.actions import FitValve
from loop.words.finding import Finding
from loop.words.speaker import Speaker


def start_valves(finding: Finding, speaker: Speaker) -> tuple[FitValve, ...]:
    """One valve for each branch the finding lists as lacking one, open except at start-up."""
    missing = finding.values.get("missing")
    return tuple(_valves(missing, speaker)) if isinstance(missing, tuple) else ()


def _valves(branches: tuple[float, ...] | tuple[str, ...], speaker: Speaker) -> Iterator[FitValve]:
    """Place of a throttle valve: after the branch's unit, else after its first part."""
    for branch in branches:
        inside = [item for item in speaker.parts.values() if item.branch == branch]
        run = list(takewhile(_single, inside)) or [item for item in inside if _single(item)]
        after = next((item for item in run if isinstance(item.part, Condenser)), run[0])
        unit = after.part.serves if isinstance(after.part, Condenser) else ""
        yield FitValve(after.address, after.part.inner_bore, 0.0, str(branch), unit)


def _single(item: Located) -> bool:
    return not isinstance(item.part, Manifold)
