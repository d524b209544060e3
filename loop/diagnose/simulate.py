"""A simulated service call: a hidden fault on a loop, and its instrument readings."""

from dataclasses import replace

import numpy as np

from loop.diagnose.display import reading_text
from loop.diagnose.faults import UNKNOWN
from loop.diagnose.instances import Instance, instances
from loop.diagnose.instruments import Instruments, instruments
from loop.diagnose.measured import Measured
from loop.diagnose.model_change import ModelChange
from loop.diagnose.predict import predict
from loop.diagnose.reading_kinds import TWO_SIGMA
from loop.diagnose.readings import Readings
from loop.diagnose.solved_loops import State, states
from loop.diagnose.uncertainty import INDEX, parameter_prior
from loop.diagnose.word_likelihoods import word_likelihoods
from loop.job import Job

# Standard deviation of each part's log loss about its section's. The inference has no such term, so
# a simulated loop never quite matches its assumptions.
_OWN_SCATTER = 0.07


def fault_sites(job: Job, fault: str) -> tuple[str, ...]:
    """Sites of a fault, or a pair ``"one + other"``, on this loop; empty where it cannot occur."""
    return tuple(one.where for one in _instances(instruments(job)) if one.name == fault)


def simulate(
    job: Job,
    fault: str,
    severity: float | tuple[float, ...],
    rng: "np.random.Generator",
    where: str | None = None,
    strange: float = 1.0,
) -> Readings:
    """Every possible reading on one boat with a hidden fault, with noise.

    Parameters
    ----------
    job : Job
    fault : str
        A fault's name, such as ``"strainer-blocked"``, or a pair ``"one + other"``.
    severity : float, or a pair of floats
        In the fault's own measure: `loop.diagnose.faults.Fault`.
    rng : numpy Generator
        Draws this boat's losses, pump, condenser, load and sea, and the instrument errors.
    where : str, optional
        One of `fault_sites`; default the first.
    strange : float
        Factor on the standard deviation of the boat's uncertain parameters: 2 makes one that is
        twice as far from its job as `diagnose` assumes.

    Returns
    -------
    Readings
        Numbers with their default half-widths, and words. The loop is solved on the exact
        functions of its parts, each with a scatter of its own that `diagnose` does not model.

    Raises
    ------
    ValueError
        The loop cannot have this fault, or not there.
    """
    place = instruments(job)
    found = [
        one
        for one in _instances(place)
        if one.name == fault and (where is None or one.where == where)
    ]
    if not found:
        raise ValueError(f"this loop cannot have {fault!r}" + (f" at {where!r}" if where else ""))
    severities = np.atleast_2d(np.asarray(severity, dtype=float))
    change = found[0].changes(place.network, severities)[0]
    whole = parameter_prior(job)
    draw = rng.multivariate_normal(whole.mean, strange**2 * whole.covariance)[None, :]
    sea = INDEX["sea"]
    draw[0, sea] = -abs(draw[0, sea])  # no warmer than the job's, unless that is the fault
    scatter = np.exp(rng.normal(0.0, strange * _OWN_SCATTER, len(place.network.parts)))
    true = predict(place, _scattered(states(place, [change], draw), scatter), exact=True)[0]
    well = predict(place, _scattered(states(place, [ModelChange()], draw), scatter))[0]
    return _instrument_readings(place, found[0], change, true, well, rng)


def _instances(place: Instruments) -> tuple[Instance, ...]:
    return tuple(
        one
        for one in instances(place.network, len(place.units), {})
        if one.name not in (UNKNOWN, "intake-air")
    )


def _scattered(state: State, scatter: np.ndarray) -> State:
    """A state with its parts' losses multiplied by these factors, shape (parts,)."""
    assert state.cases.loss is not None
    return replace(state, cases=replace(state.cases, loss=state.cases.loss * scatter))


def _instrument_readings(
    place: Instruments,
    one: Instance,
    change: ModelChange,
    true: np.ndarray,
    well: np.ndarray,
    rng: "np.random.Generator",
) -> Readings:
    """The instruments' readings of the true values."""
    system = place.job.units
    numbers = {}
    for column, value in zip(place.columns, true, strict=True):
        kind = column.kind
        half_width = kind.half_width(float(value))
        read = float(value) + half_width / TWO_SIGMA * float(rng.standard_normal())
        read = min(max(read, kind.low), kind.high)
        numbers[column.key] = Measured(
            read, kind.half_width(read), reading_text(column.key, read, system)
        )
    words = {}
    for key, chance in word_likelihoods(place, [one], [change], true[None, :], well).items():
        choices = next(c.kind.choices for c in place.words if c.key == key)
        words[key] = str(choices[int(rng.choice(len(choices), p=chance[0]))])
    return Readings(numbers, words)
