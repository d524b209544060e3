"""Boats built like a job's, each slightly different, solved at once (Monte Carlo)."""

from operator import index
from typing import Any

import numpy as np
from numpy.typing import NDArray

from loop.curve import Array
from loop.hydraulics import build, installed_pump, solve_flows
from loop.hydraulics.monte_carlo import draw_columns, latin_hypercube
from loop.hydraulics.monte_carlo import sampled_cases as as_cases
from loop.job import Job, JobError, inputs, takes_job
from loop.records import dataclass
from loop.sweep.points import (
    JobPoints,
    empty_points,
    write_heat,
    write_pump,
    write_starts,
)
from loop.sweep.starting import start_of
from loop.words.commands import SAY

# Limit on the boats of one call.
MAX_BOATS = 1_000_000


@dataclass(frozen=True)
class Boats(JobPoints):
    """Answers for n boats built like one job, shapes (n,) and (n, units).

    Its arrays are those of `loop.sweep.points.Points`.

    units : names of the units.
    """

    seed: int
    units: tuple[str, ...]

    @property
    def chance(self) -> Array:
        """Share of the boats in which each unit gets the flow that it needs, shape (units,).

        A boat that does not prime by itself, whose intake comes out of the water or whose pump is
        not made for its supply counts as a failure; `chance_once_primed` disregards that.
        """
        return self._share(self.starts & ~self.intake_dry & ~self.wrong_supply)

    @property
    def chance_once_primed(self) -> Array:
        """The same once primed, the intake under water and the pump running, shape (units,)."""
        return self._share(np.ones_like(self.starts))

    def _share(self, counted: NDArray[np.bool_]) -> Array:
        enough = (self.flow >= self.needed_flow) & (self.settled & counted)[:, None]
        return np.asarray(enough.mean(axis=0))

    def to_dict(self) -> dict[str, Any]:
        """Inputs, units, seed and arrays as nested lists, None for no number; `notes`."""
        own = {"units": list(self.units), "seed": self.seed}
        return {**inputs(self.job), **own, **self._tables()}

    def __repr__(self) -> str:
        chances = ", ".join(
            f"{name}: {share:.1%}" for name, share in zip(self.units, self.chance, strict=True)
        )
        primed_chances = self.chance_once_primed
        others = [
            f"{name}: {share:.1%}"
            for name, share, chance in zip(self.units, primed_chances, self.chance, strict=True)
            if share != chance
        ]
        primed_text = (
            f"; once primed, with the intake under water, at {', '.join(others)}" if others else ""
        )
        drawn = f"{len(self.head):,} drawn with seed {self.seed}"
        return f"Boats({drawn}; enough water at {chances}{primed_text})"


@takes_job
def boats(job: Job, count: int = 1000, seed: int = 1) -> Boats:
    """Boats built like a job's as it stands: pump, losses and hoses sampled from tolerances.

    The samples are those used for the band and for sizing (`loop.hydraulics.monte_carlo`;
    spreads and their sources in `loop.tolerances`), with the job's own strainer, water and supply.

    Parameters
    ----------
    job : Job
    count : int
        Number of boats, 1 to 1,000,000.
    seed : int
        0 or more; the same seed gives the same boats.

    Raises
    ------
    JobError
        If `count` or `seed` is out of range.

    Examples
    --------
    >>> import loop
    >>> drawn = loop.boats(loop.read_job("examples/kittiwake.toml"), 500)
    >>> drawn.flow.shape, bool(drawn.chance[0] > 0.95)
    ((500, 1), True)
    """
    if not _is_integer(count) or not 1 <= count <= MAX_BOATS:
        raise JobError([SAY("boats-count", value=str(count), most=f"{MAX_BOATS:,}")])
    if not _is_integer(seed) or seed < 0:
        raise JobError([SAY("boats-seed", value=str(seed))])
    # Array integers have a fixed width; convert to Python's.
    count, seed = index(count), index(seed)
    network = build(job)
    cases = as_cases(network, latin_hypercube(count, draw_columns(network), seed))
    found = solve_flows(network, cases)
    answer = empty_points(count, len(job.condenser))
    answer.head[:], answer.settled[:] = found.pump_head, found.settled
    pump, start, all_rows = installed_pump(network, cases), start_of(network, job.boat), slice(None)
    write_pump(answer, all_rows, pump, found.line_flow[:, network.pump_line])
    write_starts(answer, all_rows, pump, job.sizing.lowest_supply, start.needed)
    answer.intake_dry[:], answer.wrong_supply[:] = start.intake_dry, start.wrong_supply
    write_heat(answer, slice(None), network, found.line_flow)
    names = tuple(unit.name for unit in job.condenser)
    return Boats(job=job, seed=seed, units=names, **vars(answer))


def _is_integer(value: Any) -> bool:
    """Whether a value counts as an integer, as those of numerical code do."""
    return hasattr(value, "__index__")
