"""What the guesses of a job leave open: how far each lets the flow lie, and which to measure."""

import math
from collections.abc import Iterator, Sequence
from contextlib import suppress
from typing import Any

import numpy as np

from loop.hydraulics import Cases, Network, build, solve_flows
from loop.job import Job, JobError
from loop.job.address import read_address, written
from loop.job.edit import Edit, Put, edit
from loop.job.guesses import Guess, guesses
from loop.records import dataclass
from loop.units.stated import Rating

# How far a guess may be off, about 95 in 100: engineering estimates. Factors on what is guessed
# (`_FACTORS`), steps of it in SI (`_STEPS`), and the pump's curve along each axis.
_FACTORS = {"loss": 1.6, "length": 1.3, "bore": 1.2, "k": 1.6, "cooling": 1.25}
_STEPS = {"height": 0.15, "to": 0.15}
_LININGS = ("smooth plastic", "ribbed")
_PUMP = 0.15


@dataclass(frozen=True)
class OpenGuess:
    """A guess, and the least and most flow over need that it may leave the worst-supplied unit."""

    guess: Guess
    low: float
    high: float

    @property
    def width(self) -> float:
        """How much of the band measuring it would take away, over the need."""
        return self.high - self.low


def open_guesses(job: Job) -> tuple[OpenGuess, ...]:
    """The guesses of a job, those first whose measuring narrows the band most.

    Each is put to either end of what it may be, with all others as they stand. What bears on the
    heat alone, such as the temperature of the sea, leaves the flow as it is and comes last.
    """
    found = guesses(job)
    if not found:
        return ()
    network = build(job)
    here = _share(network)
    opened = []
    for guess in found:
        ends = [here, *(_share_with(job, network, guess, up) for up in (False, True))]
        known = [end for end in ends if math.isfinite(end)]
        opened.append(OpenGuess(guess, min(known), max(known)))
    return tuple(sorted(opened, key=lambda one: -one.width))


def low_share(share: float, low: float, opened: Sequence[OpenGuess]) -> float:
    """Least flow over need with the guesses as open as the band, about 95 in 100.

    `share` is that of the worst-supplied unit, `low` the same at the band's low edge. What is drawn
    apart adds by its squares.
    """
    falls = [share - low, *(share - one.low for one in opened)]
    return share - math.hypot(*falls)


def moved(job: Job, guess: Guess) -> Iterator[Job]:
    """A job with a guessed height at either end of what it may be; nothing for other guesses."""
    if guess.key not in _STEPS:
        return
    for up in (False, True):
        with suppress(JobError):
            yield edit(job, _edits(job, guess, up))


def _share_with(job: Job, network: Network, guess: Guess, up: bool) -> float:
    """Least flow over need with a guess at one end; NaN where the job cannot be so."""
    if guess.key == "curve":
        off = np.array([1 + _PUMP if up else 1 - _PUMP])
        return _share(network, Cases(pump_flow=off, pump_head=off))
    edits = _edits(job, guess, up)
    if not edits:
        return math.nan
    try:
        return _share(build(edit(job, edits)))
    except JobError:
        return math.nan


def _edits(job: Job, guess: Guess, up: bool) -> list[Edit]:
    """The guess put to one end of what it may be; none where the flow does not hang on it."""
    path = read_address(job, guess.address)
    value: Any = job
    for step in path:
        value = value[step] if isinstance(step, int) else getattr(value, step)
    moved = _moved(value, guess.key, up)
    if moved is None:
        return []
    edits: list[Edit] = [Put(guess.address, moved)]
    if guess.kind == "discharge" and guess.key == "height":
        # The hose that leads to the discharge ends where it is.
        before = (*path[:-2], int(path[-2]) - 1)
        edits.append(Put(f"{written(before)}.to", moved))
    return edits


def _moved(value: Any, key: str, up: bool) -> Any:
    """A guessed value at one end of what it may be; None where nothing is known of its ends."""
    if key == "lining":
        return _LININGS[up]
    if key in _STEPS:
        return value + (_STEPS[key] if up else -_STEPS[key])
    if key not in _FACTORS:
        return None
    factor = _FACTORS[key] if up else 1 / _FACTORS[key]
    if isinstance(value, tuple):
        return tuple(_moved(one, key, up) for one in value)
    if isinstance(value, Rating):
        return Rating(value.drop * factor, value.flow)
    return value * factor


def _share(network: Network, cases: Cases | None = None) -> float:
    flow = solve_flows(network, cases).line_flow[0]
    return min(
        float(flow[network.unit_line(unit.name)]) / unit.needed_flow
        for unit in network.job.condenser
    )
