"""One loop with every fault it can have, predicted once: means and covariances of all readings."""

from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np

from loop.curve import Array
from loop.diagnose.fault_effects import Change, IntArray
from loop.diagnose.faults import Instance, cells, instances
from loop.diagnose.instruments import Bench, bench
from loop.diagnose.predict import predict, states
from loop.diagnose.uncertainty import doubt
from loop.diagnose.words_seen import word_chances
from loop.job import Job
from loop.margins.heat import TRIPS

_PAIRS = 16  # of mirrored draws
_LARGEST = 4_000_000  # numbers in one array of losses; larger studies are cut

# What the model does not hold, as a standard deviation of each kind of reading: engineering
# estimates. A tripped unit cycles, so that its temperatures say little.
_MODEL_ERROR = {
    "condensing_temperature": 0.5,
    "pump_inlet_pressure": 300.0,
    "pump_outlet_pressure": 300.0,
    "shutoff_pressure": 300.0,
}
_CURRENT_ERROR = 0.05
_TRIPPED = 4.0

# A call is made because something shows: a severity that leaves flow and condensing temperature
# as they were is this much less likely to have caused one (engineering estimate).
_QUIET_CALL = 0.1
_FLOW_SHOWS, _HEAT_SHOWS = 0.93, 1.5  # share of the healthy flow; K


@dataclass(frozen=True)
class Study:
    """Every fault at every severity: h hypotheses, c columns of `bench` plus one for flow mended.

    mean : (h, c + 1); covariance : (h, c + 1, c + 1), doubt, the width of the severity's cell and
    the model's own error together, without the instruments'. owner : (h,), index of each row's
    instance; severity : (h, 2), NaN where there is one fault; weight : (h,) prior, sums to 1.
    sea_set : (h,), whether the row is one of a sea warmer than the job's. words : chance of each
    answer of each reading that is a word, (h, answers).
    """

    bench: Bench
    instances: tuple[Instance, ...]
    mean: Array
    covariance: Array
    owner: IntArray
    severity: Array
    weight: Array
    sea_set: "np.ndarray[tuple[int], np.dtype[np.bool_]]"
    words: dict[str, Array] = field(repr=False)

    @property
    def healthy(self) -> int:
        """Row of the healthy loop."""
        return int(np.flatnonzero([self.instances[o].name == "healthy" for o in self.owner])[0])


def prepare(job: Job, prior: Mapping[str, float] | None = None, units: int = 6) -> Study:
    """The study of a job; raises JobError for a prior that names no fault of this program."""
    place = bench(job, units)
    found = instances(place.network, len(place.units), prior or {})
    changes = [one.change(place.network, severity) for one in found for severity in one.severities]
    owner = np.repeat(np.arange(len(found)), [len(one.severities) for one in found])
    severity = np.full((len(owner), 2), np.nan)
    row = 0
    for one in found:
        severity[row : row + len(one.severities), : one.severities.shape[1]] = one.severities
        row += len(one.severities)
    samples = _samples(place, changes, doubt(job).draws(_PAIRS))
    healthy = next(row for row, one in enumerate(owner) if found[one].name == "healthy")
    mended = samples[healthy, :, place.at["flow"]]
    samples = np.concatenate(
        [samples, np.broadcast_to(mended[None, :, None], (*samples.shape[:2], 1))], axis=2
    )
    mean = samples.mean(axis=1)
    centred = samples - mean[:, None, :]
    covariance = np.einsum("hdi,hdj->hij", centred, centred) / samples.shape[1]
    covariance += _cell_widths(found, owner, mean)
    covariance += _model_error(place, samples, mean)
    sea_set = np.array([change.sea is not None for change in changes])
    study = Study(place, found, mean, covariance, owner, severity, np.empty(0), sea_set, {})
    return Study(
        place,
        found,
        mean,
        covariance,
        owner,
        severity,
        _weights(study),
        sea_set,
        word_chances(place, changes, mean, mean[study.healthy]),
    )


def _samples(place: Bench, changes: list[Change], draws: Array) -> Array:
    """Readings of every change under every draw, (h, draws, columns)."""
    parts = len(place.network.parts)
    step = max(1, _LARGEST // (len(draws) * parts))
    blocks = [
        predict(place, states(place, changes[i : i + step], draws))
        for i in range(0, len(changes), step)
    ]
    return np.concatenate(blocks).reshape(len(changes), len(draws), -1)


def _cell_widths(found: tuple[Instance, ...], owner: IntArray, mean: Array) -> Array:
    """Covariance from the severity within its cell, uniform there: width²/12 along the grid."""
    added = np.zeros((*mean.shape, mean.shape[1]))
    for number, one in enumerate(found):
        rows = np.flatnonzero(owner == number)
        own = mean[rows]
        for below, above, per_cell in cells(one):
            step = (own[above] - own[below]) * per_cell[:, None]
            added[rows] += np.einsum("hi,hj->hij", step, step) / 12
    return added


def _model_error(place: Bench, samples: Array, mean: Array) -> Array:
    variance = np.zeros_like(mean)
    for number, column in enumerate(place.columns):
        name = column.kind.name
        variance[:, number] = _MODEL_ERROR.get(name, 0.0) ** 2
        if name == "pump_current":
            variance[:, number] = (_CURRENT_ERROR * mean[:, number]) ** 2
        if name == "condensing_temperature":
            tripped = (samples[:, :, number] >= TRIPS).mean(axis=1)
            variance[:, number] += tripped * _TRIPPED**2
        if name == "outlet_temperature":
            flow = place.at.get(column.key.replace(name, "flow"), place.at["flow"])
            still = (samples[:, :, flow] < 1e-7).mean(axis=1)
            variance[:, number] += still * (2 * _TRIPPED) ** 2
    return np.asarray(variance[:, :, None] * np.eye(mean.shape[1]))


def _weights(study: Study) -> Array:
    """Prior of every row: the fault's, spread over its severities by how likely each is to show."""
    columns = study.bench.columns
    healthy = study.mean[study.healthy]
    shows = np.zeros(len(study.mean), dtype=bool)
    for number, column in enumerate(columns):
        if column.kind.name == "flow":
            shows |= study.mean[:, number] < _FLOW_SHOWS * healthy[number]
        if column.kind.name == "condensing_temperature":
            shows |= study.mean[:, number] > healthy[number] + _HEAT_SHOWS
    weight = np.where(shows, 1.0, _QUIET_CALL)
    for number, one in enumerate(study.instances):
        rows = study.owner == number
        weight[rows] *= one.prior / weight[rows].sum()
    return np.asarray(weight / weight.sum())
