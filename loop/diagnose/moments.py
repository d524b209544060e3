"""Samples of readings → mean, a few common factors, and independent noise of each reading.

Every hypothesis predicts y = mean + factor · z + noise: z are standard normals shared by all
hypotheses (the uncertain parameters of this boat), so that what one reading says of the boat counts
for the next. Factors are the principal components of all samples (Jolliffe, Principal Component
Analysis, 2002, ch. 2); the residual is noise.
"""

import numpy as np

from loop.curve import Array
from loop.records import dataclass

# Most factors, and the share of the samples' variance at which fewer are enough.
_MOST, _ENOUGH = 13, 0.999
_ROUNDING = 1e-9


@dataclass(frozen=True)
class Moments:
    """mean (h, c); factor (h, c, k); noise (h, c), a variance."""

    mean: Array
    factor: Array
    noise: Array


def common_scores(samples: Array) -> Array:
    """Values of the shared standard normals in each sample, shape (draws, k).

    samples : (h, draws, c), with the same draws in the same order under every hypothesis.
    """
    centred = samples - samples.mean(axis=1, keepdims=True)
    size = np.sqrt((centred**2).mean(axis=(0, 1)))
    size = np.where(size > _ROUNDING * np.abs(samples).max(axis=(0, 1)), size, np.inf)
    scaled = centred / size
    gram = np.einsum("hdc,hec->de", scaled, scaled, optimize=True)
    value, vector = np.linalg.eigh(gram)
    value, vector = value[::-1], vector[:, ::-1]
    held = np.cumsum(value) / max(float(value.sum()), 1e-30)
    count = min(int(np.searchsorted(held, _ENOUGH)) + 1, _MOST, len(value) - 1)
    scores = vector[:, :count] - vector[:, :count].mean(axis=0)
    size = np.sqrt((scores**2).mean(axis=0))
    return np.asarray(scores / np.where(size > 0, size, 1.0))


def moments(samples: Array, scores: Array) -> Moments:
    """Mean, factors on the given scores, and residual variance of samples (h, draws, c)."""
    mean = samples.mean(axis=1)
    centred = samples - mean[:, None, :]
    inverse = np.linalg.pinv(scores)
    factor = np.einsum("kd,hdc->hck", inverse, centred, optimize=True)
    left = centred - np.einsum("dk,hck->hdc", scores, factor, optimize=True)
    return Moments(mean, factor, (left**2).mean(axis=1))
