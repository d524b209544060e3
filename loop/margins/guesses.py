"""How far each guess in a job leaves the flow uncertain, and which to measure first."""

import math
from collections.abc import Iterator, Sequence
from contextlib import suppress
from typing import Any

import numpy as np

from loop.hydraulics import Cases, Network, build, solve_flows
from loop.job import Job, JobError
from loop.job.address import address_text, read_address
from loop.job.edit import Edit, Put, edit
from loop.job.guesses import Guess, guesses
from loop.records import dataclass
from loop.units.stated import Rating

# Range of a guess, about 95 in 100: engineering estimates. Factors on the guessed value
# (`_FACTORS`), steps in SI units (`_STEPS`), and the share on both axes of the pump's curve.
_FACTORS = {"loss": 1.6, "length": 1.3, "bore": 1.2, "k": 1.6, "cooling": 1.25}
_STEPS = {"height": 0.15, "to": 0.15}
_LININGS = ("smooth plastic", "ribbed")
_PUMP = 0.15


@dataclass(frozen=True)
class RankedGuess:
    """A guess, and the range of flow over need that it leaves the worst-supplied unit."""

    guess: Guess
    low: float
    high: float

    @property
    def width(self) -> float:
        """How much measuring it would narrow the range of flow over need."""
        return self.high - self.low


def ranked_guesses(job: Job) -> tuple[RankedGuess, ...]:
    """The guesses of a job, those first whose measurement narrows the range most.

    Each is set to either end of its range, with all others unchanged. A guess that affects only
    heat, such as sea temperature, does not change the flow and comes last.
    """
    found = guesses(job)
    if not found:
        return ()
    network = build(job)
    present = _least_share(network)
    ranked = []
    for guess in found:
        ends = [present, *(_share_at_end(job, network, guess, upper) for upper in (False, True))]
        known = [end for end in ends if math.isfinite(end)]
        ranked.append(RankedGuess(guess, min(known), max(known)))
    return tuple(sorted(ranked, key=lambda one: -one.width))


def low_edge_share(share: float, low: float, ranked: Sequence[RankedGuess]) -> float:
    """Least flow over need with the guesses' uncertainty included, about 95 in 100 like the band.

    `share` is that of the worst-supplied unit, `low` the same at the band's low edge. Independent
    deviations add in quadrature.
    """
    deviations = [share - low, *(share - one.low for one in ranked)]
    return share - math.hypot(*deviations)


def at_range_ends(job: Job, guess: Guess) -> Iterator[Job]:
    """The job with a guessed height at either end of its range; nothing for other guesses."""
    if guess.key not in _STEPS:
        return
    for upper in (False, True):
        with suppress(JobError):
            yield edit(job, _edits(job, guess, upper))


def _share_at_end(job: Job, network: Network, guess: Guess, upper: bool) -> float:
    """Least flow over need with a guess at one end; NaN if the job is then invalid."""
    if guess.key == "curve":
        factor = np.array([1 + _PUMP if upper else 1 - _PUMP])
        return _least_share(network, Cases(pump_flow=factor, pump_head=factor))
    edits = _edits(job, guess, upper)
    if not edits:
        return math.nan
    try:
        return _least_share(build(edit(job, edits)))
    except JobError:
        return math.nan


def _edits(job: Job, guess: Guess, upper: bool) -> list[Edit]:
    """Edits that set the guess to one end of its range; empty if it does not affect the flow."""
    path = read_address(job, guess.address)
    value: Any = job
    for step in path:
        value = value[step] if isinstance(step, int) else getattr(value, step)
    end = _end_value(value, guess.key, upper)
    if end is None:
        return []
    edits: list[Edit] = [Put(guess.address, end)]
    if guess.kind == "discharge" and guess.key == "height":
        # The hose before the discharge ends at the discharge's height.
        before = (*path[:-2], int(path[-2]) - 1)
        edits.append(Put(f"{address_text(before)}.to", end))
    return edits


def _end_value(value: Any, key: str, upper: bool) -> Any:
    """A guessed value at one end of its range; None if its range is unknown."""
    if key == "lining":
        return _LININGS[upper]
    if key in _STEPS:
        return value + (_STEPS[key] if upper else -_STEPS[key])
    if key not in _FACTORS:
        return None
    factor = _FACTORS[key] if upper else 1 / _FACTORS[key]
    if isinstance(value, tuple):
        return tuple(_end_value(one, key, upper) for one in value)
    if isinstance(value, Rating):
        return Rating(value.drop * factor, value.flow)
    return value * factor


def _least_share(network: Network, cases: Cases | None = None) -> float:
    flow = solve_flows(network, cases).line_flow[0]
    return min(
        float(flow[network.unit_line(unit.name)]) / unit.needed_flow
        for unit in network.job.condenser
    )
