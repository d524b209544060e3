"""Boats built like a job's, each a little different, solved at once."""

from dataclasses import fields
from typing import Any

import numpy as np
from numpy.typing import NDArray

from loop.answers import Answer
from loop.curve import Array
from loop.hydraulics import build, installed_pump, solve_flows
from loop.hydraulics.boats import boats as as_cases
from loop.hydraulics.boats import columns_of, standard
from loop.job import Job
from loop.records import dataclass
from loop.sweep.answer import OF_LOOP, OF_UNIT, Points, heat_into, nested, pump_into

# The most boats of one call.
MOST_BOATS = 1_000_000


@dataclass(frozen=True, eq=False)
class Boats(Answer):
    """What flows in n boats built like one job, in SI and °C.

    units : names of the units, the last axis of flow, needed_flow [m³/s], inlet_temperature,
        temperature_rise [K] and condensing_temperature, each shape (n, units).
    total_flow [m³/s], head [m] and power [W] of the pump; settled, past_curve: each shape (n,), as
        in `loop.sweep.Sweep`.
    """

    job: Job
    seed: int
    units: tuple[str, ...]
    flow: Array
    needed_flow: Array
    inlet_temperature: Array
    temperature_rise: Array
    condensing_temperature: Array
    total_flow: Array
    head: Array
    power: Array
    settled: NDArray[np.bool_]
    past_curve: NDArray[np.bool_]

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
    answer = Points.empty(count, len(job.condenser))
    answer.head[:], answer.settled[:] = found.pump_head, found.settled
    pump_into(
        answer,
        slice(None),
        installed_pump(network, cases),
        found.line_flow[:, network.pump_line],
    )
    heat_into(answer, slice(None), network, found.line_flow)
    names = tuple(unit.name for unit in job.condenser)
    return Boats(
        job, seed, names, **{one.name: getattr(answer, one.name) for one in fields(answer)}
    )
