"""Boats built like a job's, each a little different, solved at once."""

from typing import Any

import numpy as np

from loop.answers import Answer
from loop.curve import Array
from loop.hydraulics import build, installed_pump, solve_flows
from loop.hydraulics.boats import boats as as_cases
from loop.hydraulics.boats import columns_of, standard
from loop.job import Job
from loop.records import dataclass
from loop.sweep.answer import OF_LOOP, OF_UNIT, Points, heat_into, nested, pump_into, room

# The most boats of one call.
MOST_BOATS = 1_000_000


@dataclass(frozen=True, eq=False)
class Boats(Points, Answer):
    """What flows in n boats built like one job: `Points`, of shape (n,) and (n, units).

    units : the names of the units.
    """

    job: Job
    seed: int
    units: tuple[str, ...]

    @property
    def chance(self) -> Array:
        """Share of the boats in which each unit gets the flow that it needs, shape (units,)."""
        enough = (self.flow >= self.needed_flow) & self.settled[:, None]
        return np.asarray(enough.mean(axis=0))

    def to_dict(self) -> dict[str, Any]:
        """Units, seed and arrays as nested lists, None where there is no number."""
        arrays = {name: nested(getattr(self, name)) for name in (*OF_LOOP, *OF_UNIT)}
        return {"units": list(self.units), "seed": self.seed, **arrays}

    def __repr__(self) -> str:
        odds = ", ".join(
            f"{name}: {share:.1%}" for name, share in zip(self.units, self.chance, strict=True)
        )
        return f"Boats({len(self.head):,} drawn with seed {self.seed}; enough water at {odds})"


def boats(job: Job, count: int = 1000, seed: int = 1) -> Boats:
    """Boats built like a job's, as it stands: pump, losses and hoses as its tolerances say.

    The same draws that the band and sizing are made of (`loop.hydraulics.boats`, spreads and their
    sources in `loop.tolerances`), for the job's own strainer, water and supply.

    Parameters
    ----------
    job : Job
    count : int
        How many, 1 to 1,000,000.
    seed : int
        The same seed draws the same boats.

    Raises
    ------
    ValueError
        `count` out of range.

    Examples
    --------
    >>> import loop
    >>> drawn = loop.boats(loop.read_job("examples/kittiwake.toml"), 500)
    >>> drawn.flow.shape, bool(drawn.chance[0] > 0.95)
    ((500, 1), True)
    """
    if not 1 <= count <= MOST_BOATS:
        raise ValueError(f"count: {count} is out of range; it must be 1 to {MOST_BOATS:,}")
    network = build(job)
    cases = as_cases(network, standard(count, columns_of(network), seed))
    found = solve_flows(network, cases)
    answer = room(count, len(job.condenser))
    answer.head[:], answer.settled[:] = found.pump_head, found.settled
    pump_into(
        answer,
        slice(None),
        installed_pump(network, cases),
        found.line_flow[:, network.pump_line],
    )
    heat_into(answer, slice(None), network, found.line_flow)
    names = tuple(unit.name for unit in job.condenser)
    return Boats(job=job, seed=seed, units=names, **vars(answer))
