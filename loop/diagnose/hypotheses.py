"""One loop with every fault that it can have: the predicted readings of each hypothesis."""

from collections.abc import Callable, Mapping
from dataclasses import replace

import numpy as np

from loop.curve import Array, IntArray
from loop.diagnose.faults import UNKNOWN
from loop.diagnose.instances import Instance, all_changes, cells, instances
from loop.diagnose.instruments import Instruments, instruments
from loop.diagnose.model_change import ModelChange
from loop.diagnose.model_error import effect_error, model_error
from loop.diagnose.moments import Moments, common_scores, moments
from loop.diagnose.predict import predict
from loop.diagnose.solved_loops import states
from loop.diagnose.study import LOG_OFFSET, rows_by_owner
from loop.diagnose.study import Study as Study
from loop.diagnose.uncertainty import NAMES, parameter_prior
from loop.diagnose.unlisted_fault import DISTURBANCES, SPREAD
from loop.diagnose.word_likelihoods import word_likelihoods
from loop.job import Job

_PAIRS = 16  # antithetic pairs of samples
_LARGEST = 4_000_000  # elements of one array of losses; larger studies are split
_AXES = 2  # a pair has two severities, each with a position within its cell

# Weight of a uniform distribution in the words predicted for the unknown fault.
_UNSURE = 0.3

# A call is made because something shows: factor on the prior of a severity that leaves flow and
# condensing temperature unchanged (engineering estimate).
_QUIET_CALL = 0.05

Samples = Callable[[bool], tuple[Array, Array, list[ModelChange]]]


def prepare(job: Job, prior: Mapping[str, float] | None = None) -> Study:
    """The study of a job; raises JobError for a prior of an unknown fault."""
    place = instruments(job)
    found = instances(place.network, len(place.units), prior or {})
    uncertain = parameter_prior(job)
    draws = np.concatenate([uncertain.draws(_PAIRS), uncertain.mean[None, :]])

    def samples(under_way: bool) -> tuple[Array, Array, list[ModelChange]]:
        at = instruments(job, max(job.boat.speed, _UNDER_WAY)) if under_way else place
        rows = [all_changes(some, at.network, under_way) for some in _split(found)]
        many = _samples(at, rows[0], draws)
        few = _samples(at, rows[1], draws[-1:]) if rows[1] else many[:0, -1:]
        return many, few, [*rows[0], *rows[1]]

    assert len(draws[0]) == len(NAMES)
    return assemble(place, found, samples, scale=np.zeros(len(place.columns)))


def _split(found: tuple[Instance, ...]) -> tuple[list[Instance], list[Instance]]:
    """Single faults and pairs; pairs come after them in the rows."""
    return [one for one in found if len(one.faults) == 1], [
        one for one in found if len(one.faults) > 1
    ]


# Default speed under way [m/s]: about 6 knots, an engineering estimate.
_UNDER_WAY = 3.1


def _samples(place: Instruments, changes: list[ModelChange], draws: Array) -> Array:
    """Readings of every change under every Monte Carlo sample, (h, draws, columns)."""
    parts = len(place.network.parts)
    step = max(1, _LARGEST // (len(draws) * parts))
    blocks = [
        predict(place, states(place, changes[i : i + step], draws))
        for i in range(0, len(changes), step)
    ]
    return np.concatenate(blocks).reshape(len(changes), len(draws), -1)


def assemble(
    place: Instruments,
    found: tuple[Instance, ...],
    samples: Samples,
    scale: Array,
    known: bool = True,
) -> Study:
    """A study from Monte Carlo samples of its readings.

    samples : given whether under way, returns the readings of all single-fault rows, (h1, draws,
    c), those of the pairs' rows under the last few of these draws, (h2, few, c), and every row's
    change. Where `few` is 1 the last draw is the mean of the parameters, used for the pairs alone
    and not for the moments.
    """
    owner = np.repeat(np.arange(len(found)), [len(one.severities) for one in found])
    severity = np.full((len(owner), 2), np.nan)
    row = 0
    for one in found:
        severity[row : row + len(one.severities), : one.severities.shape[1]] = one.severities
        row += len(one.severities)
    study = Study(
        instruments=place,
        instances=found,
        mean=np.empty(0),
        factor=np.empty(0),
        noise=np.empty(0),
        owner=owner,
        severity=severity,
        weight=np.empty(0),
        after=_rows_after_fix(found, owner),
        sea_set=np.array([any(f.name == "sea-warm" for f in found[o].faults) for o in owner]),
        scale=scale,
        words={},
        known=known,
    )
    single, pairs, changes = samples(False)
    scores = common_scores(_logs(single[:, : _draws_for_moments(single, pairs)], scale))
    base = _with_moments(study, single, pairs, changes, scores)
    base = replace(base, weight=_weights(base))
    base = _in_single(_with_unlisted_fault(base))

    def speeding() -> Study:
        there = _with_moments(study, *samples(True), scores)
        return _in_single(_with_unlisted_fault(replace(there, weight=base.weight)))

    return replace(base, speeding=speeding)


def in_single(values: Array) -> Array:
    """Numbers rounded to single precision."""
    return values.astype(np.float32).astype(float)


def _in_single(study: Study) -> Study:
    """The tables in single precision, as exported.

    So whoever reads the exported tables works with the very same numbers.
    """

    return replace(
        study,
        mean=in_single(study.mean),
        factor=in_single(study.factor),
        noise=in_single(study.noise),
        weight=in_single(study.weight),
        severity=in_single(study.severity),
        words={key: in_single(table) for key, table in study.words.items()},
    )


def _draws_for_moments(single: Array, pairs: Array) -> int:
    """Number of draws that count for the moments."""
    return int(single.shape[1]) - (1 if pairs.shape[1] == 1 else 0)


def _logs(samples: Array, scale: Array) -> Array:
    if not scale.any():
        return samples
    size = np.where(scale > 0, scale, 1.0)
    return np.where(scale > 0, np.log(np.maximum(samples, 0.0) / size + LOG_OFFSET), samples)


def _with_moments(
    study: Study, single: Array, pairs: Array, changes: list[ModelChange], scores: Array
) -> Study:
    """The study with means, factors, noise and words from samples."""
    few = pairs.shape[1]
    counted = _draws_for_moments(single, pairs)
    logs = _logs(single, study.scale)
    alone = moments(logs[:, :counted], scores)
    both = _pair_moments(study, logs[:, -few:], _logs(pairs, study.scale), alone)
    mean = np.concatenate([alone.mean, both.mean])
    factor = np.concatenate([alone.factor, both.factor])
    noise = np.concatenate([alone.noise, both.noise])
    factor = np.concatenate([factor, _cell_widths(study, mean)], axis=2)
    natural = study.from_scale(mean)
    noise = noise + model_error(study, single[:, :counted], natural)
    noise = noise + effect_error(study, mean)
    seen = word_likelihoods(
        study.instruments,
        [study.instances[o] for o in study.owner],
        changes,
        natural,
        natural[study.healthy],
    )
    return replace(study, mean=mean, factor=factor, noise=noise, words=seen)


def _pair_moments(study: Study, few: Array, pairs: Array, alone: Moments) -> Moments:
    """Moments of the pairs' rows, from those of their two faults.

    Means: the sum of both faults' effects, plus the interaction in the few samples available.
    Factors and noise: those of the fault that moves the reading more.
    """
    rows = np.arange(len(alone.mean), len(study.owner))
    if not len(rows):
        return Moments(alone.mean[:0], alone.factor[:0], alone.noise[:0])
    well = study.healthy
    second, first = study.after[rows, 0], study.after[rows, 1]
    beyond = (pairs - few[first] - few[second] + few[well]).mean(axis=1)
    mean = beyond + alone.mean[first] + alone.mean[second] - alone.mean[well]
    more = np.abs(alone.mean[first] - alone.mean[well]) >= np.abs(
        alone.mean[second] - alone.mean[well]
    )
    factor = np.where(more[:, :, None], alone.factor[first], alone.factor[second])
    return Moments(mean, factor, np.where(more, alone.noise[first], alone.noise[second]))


def _rows_after_fix(found: tuple[Instance, ...], owner: IntArray) -> IntArray:
    """The row once each fault of a row is fixed; unknown and healthy rows map to themselves."""
    rows = rows_by_owner(owner, len(found))
    at = {
        (one.name, one.where): (rows[number], one.severities[:, 0])
        for number, one in enumerate(found)
        if len(one.faults) == 1
    }
    well = next(rows[number][0] for number, one in enumerate(found) if one.name == "healthy")
    after = np.full((len(owner), 2), well)
    for number, one in enumerate(found):
        if one.name == UNKNOWN:
            after[rows[number]] = rows[number][:, None]
        if len(one.faults) < _AXES:
            continue
        for fixed, left in ((0, 1), (1, 0)):
            own, grid = at[(one.faults[left].name, one.sites[left].where)]
            near = np.abs(grid[None, :] - one.severities[:, [left]]).argmin(axis=1)
            after[rows[number], fixed] = own[near]
    return after


def _cell_widths(study: Study, mean: Array) -> Array:
    """Factors for the severity within its cell, uniform there: width/√12 along each axis."""
    added = np.zeros((*mean.shape, _AXES))
    for number, one in enumerate(study.instances):
        if one.name == UNKNOWN:
            continue
        rows = study.rows_of[number]
        rows = rows[:-1] if one.stops else rows  # a full stop has no cell
        own = mean[rows]
        for axis, (below, above, per_cell) in enumerate(cells(one)):
            step = (own[above] - own[below]) * per_cell[:, None]
            added[rows, :, axis] = step / np.sqrt(12)
    return added


def _with_unlisted_fault(study: Study) -> Study:
    """The study with factors and words of "something else": how far each quantity deviates.

    Its rows are `something_else.DISTURBANCES`, in their order. Its words are less certain than
    those of a known fault.
    """
    unknown = [number for number, one in enumerate(study.instances) if one.name == UNKNOWN]
    rows = [int(row) for number in unknown for row in study.rows_of[number]]
    factor = study.factor.copy()
    words = {key: table.copy() for key, table in study.words.items()}
    moved = study.mean[rows] - study.mean[study.healthy] if rows else study.mean[:0]
    for row, one in zip(rows, DISTURBANCES, strict=bool(rows)):
        for axis, alone in enumerate(one.alone):
            factor[row, :, axis - _AXES] = SPREAD * moved[alone]
        for table in words.values():
            table[row] = (1 - _UNSURE) * table[row] + _UNSURE / table.shape[1]
    return replace(study, factor=factor, words=words)


def _weights(study: Study) -> Array:
    """Prior of every row: the fault's, spread over its severities by how likely each is to show."""
    weight = np.where(study.shows, 1.0, _QUIET_CALL)
    for number, one in enumerate(study.instances):
        rows, stops = study.rows_of[number], one.stops
        some = rows[:-1] if stops else rows
        weight[some] *= (1.0 - stops) * one.prior / weight[some].sum()
        if stops:
            weight[rows[-1]] = stops * one.prior
    return np.asarray(weight / weight.sum())
