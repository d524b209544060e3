"""Readings → probabilities of faults: Bayes' rule over faults, severities and doubts."""

import numpy as np

from loop.curve import Array
from loop.diagnose.hypotheses import Study
from loop.diagnose.reading_kinds import TWO_SIGMA
from loop.diagnose.readings import Readings
from loop.records import dataclass

# Degrees of freedom of the tails: close to normal, for readings that were taken well.
_TAIL = 20.0
_SEA = "sea_temperature"
# Readings that are the day's and not the fault's.
DAY = (_SEA, "supply", "frequency")
# How far the sea of a call lies below, and above, the job's [K] where that is not the trouble.
_SEA_COOLER, _SEA_WARMER = 6.0, 1.0


@dataclass(frozen=True)
class Posterior:
    """What the readings leave of every hypothesis of a study.

    weight : (h,), sums to 1. evidence : (instances,), log of each instance's marginal likelihood.
    probability : (instances,). mean, covariance : (h, columns + 1), (h, …, …), every reading and
    the mended flow given those taken. surprise : squared distance of the readings from the best
    hypothesis, in standard deviations, and how many numbers it counts.
    """

    study: Study
    weight: Array
    evidence: Array
    probability: Array
    mean: Array
    covariance: Array
    surprise: tuple[float, int]

    def of(self, instance: int) -> Array:
        """Weights within one instance, (its severities,), summing to 1."""
        rows = self.weight[self.study.owner == instance]
        total = float(rows.sum())
        return np.asarray(rows / total if total > 0 else np.full(len(rows), 1.0 / len(rows)))


def posterior(study: Study, readings: Readings) -> Posterior:
    """The posterior of a study given readings; with none, the prior.

    Each hypothesis (a fault at a severity) predicts normal readings, whose covariance holds the
    doubts, the severity's cell and the instruments; severities are then summed out. Readings that
    this loop cannot give are left out.
    """
    bench = study.bench
    # The sea first: the rest is then judged at the temperature that it has.
    keys = sorted((k for k in readings.numbers if k in bench.at), key=lambda k: k != _SEA)
    taken = [bench.at[key] for key in keys]
    value = np.array([readings.numbers[key].value for key in keys])
    width = np.array([readings.numbers[key].half_width for key in keys]) / TWO_SIGMA
    log = np.zeros(len(study.mean))
    mean, covariance, distance = study.mean, study.covariance, np.zeros(len(study.mean))
    if keys:
        log, distance = _likelihood(study, taken, value, width)
        mean, covariance = _given(study, taken, value, width)
    for key, word in readings.words.items():
        if key in study.words:
            choices = next(c.kind.choices for c in bench.words if c.key == key)
            log = log + np.log(study.words[key][:, choices.index(word)])
    joint = log + np.log(study.weight)
    top = joint.max()
    weight: Array = np.exp(joint - top) / np.exp(joint - top).sum()
    probability = _totals(study, weight)
    prior = _totals(study, study.weight)
    with np.errstate(divide="ignore"):
        evidence = np.log(probability) - np.log(prior)
    best = int(np.argmax(joint))
    return Posterior(
        study,
        weight,
        evidence,
        probability,
        mean,
        covariance,
        (float(distance[best]), len([k for k in keys if k != _SEA])),
    )


def _totals(study: Study, weight: Array) -> Array:
    """Sum of the weights of each instance's rows, (instances,)."""
    return np.asarray(np.bincount(study.owner, weight, minlength=len(study.instances)), dtype=float)


def _likelihood(study: Study, taken: list[int], value: Array, width: Array) -> tuple[Array, Array]:
    """Log likelihood of the numbers under every hypothesis, and their squared distance, (h,).

    Of a multivariate t, whose tails are heavier than the normal's: where every fault is far from
    the readings, none of them is certain (Lange, Little & Taylor, J. Am. Stat. Assoc. 84 (1989)
    881). The sea's own temperature is judged apart, since it is no sign of a fault unless it is
    above what the loop was designed for: see `_sea_likelihood`.
    """
    scale = _scale(study, taken, width)
    spread = study.covariance[:, taken][:, :, taken] / np.outer(scale, scale)
    spread = spread + np.diag((width / scale) ** 2)
    factor = np.linalg.cholesky(spread)
    away = (value - study.mean[:, taken]) / scale
    solved = np.linalg.solve(factor, away[:, :, None])[:, :, 0]
    distance = np.einsum("hi,hi->h", solved, solved)
    logs = np.log(np.einsum("hii->hi", factor))
    count = len(taken)
    sea: Array = np.zeros(len(logs))
    if taken[0] == study.bench.at[_SEA]:
        design = study.bench.job.water.temperature
        apart = -0.5 * solved[:, 0] ** 2 - logs[:, 0] - np.log(scale[0])
        usual = _sea_likelihood(float(value[0]) - design, float(width[0]))
        sea = np.where(study.sea_set, apart, usual)
        distance, count = distance - solved[:, 0] ** 2, count - 1
        logs[:, 0] = 0.0
    tail = 0.5 * (_TAIL + count) * np.log1p(distance / _TAIL)
    return sea - tail - logs.sum(axis=1), distance


def _sea_likelihood(above: float, width: float) -> float:
    """Log density (less that of 1/√2π) of a sea `above` the job's by so much [K], no fault with it.

    Two halves of normals: much cooler is quite usual, warmer than designed for is not (engineering
    estimate).
    """
    warmer = float(np.hypot(_SEA_WARMER, width))
    sigma = warmer if above > 0 else _SEA_COOLER
    return float(np.log(2.0 / (warmer + _SEA_COOLER)) - 0.5 * (above / sigma) ** 2)


def _given(study: Study, taken: list[int], value: Array, width: Array) -> tuple[Array, Array]:
    """Mean and covariance of everything under every hypothesis, given the numbers."""
    scale = _scale(study, taken, width)
    spread = study.covariance[:, taken][:, :, taken] / np.outer(scale, scale)
    spread = spread + np.diag((width / scale) ** 2)
    along = study.covariance[:, :, taken] / scale
    gain = np.swapaxes(np.linalg.solve(spread, np.swapaxes(along, 1, 2)), 1, 2)
    away = (value - study.mean[:, taken]) / scale
    mean = study.mean + np.einsum("hij,hj->hi", gain, away)
    covariance = study.covariance - gain @ np.swapaxes(along, 1, 2)
    return mean, covariance


def _scale(study: Study, taken: list[int], width: Array) -> Array:
    """A size for each reading, so that pascals and cubic metres a second meet as equals."""
    typical = np.sqrt(np.einsum("hii->hi", study.covariance)[:, taken].mean(axis=0))
    return np.asarray(np.maximum(typical, width))


def expected(study: Study, readings: Readings) -> Array:
    """Every reading to expect under each hypothesis on this day: (h, columns + 1).

    Given only what is the day's and not the fault's: the sea's temperature and the supply.
    """
    return posterior(study, readings.only(DAY)).mean
