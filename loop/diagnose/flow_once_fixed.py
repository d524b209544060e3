"""The flow expected once a fault is fixed, including what may hide behind it."""

import math
from dataclasses import replace

import numpy as np

from loop.curve import Array
from loop.diagnose.belief import predictive, rows_after_fix, subset
from loop.diagnose.posterior import Posterior

_BAND = (0.05, 0.5, 0.95)
STEPS = 25
# A boat without a job file matches none of the invented loops, and more often has more flow than
# less: calibration factor on the flow's standard deviation. Of 3,305 bands of named faults on
# made-up boats of other physics, 84 in 100 held the flow without it, 88 with 1.15 and 91 with 1.3;
# with the best tools, where most faults are named, 80, 86 and 89. With a job file 90 in 100 of 526
# hold it without a factor.
WIDER = 1.3
# Components below this share of the heaviest do not move a mixture's quantiles.
NOTHING = 1e-4
# Complementary error function on arrays; `scipy` would take long to load.
_erfc = np.frompyfunc(math.erfc, 1, 1)


def flow_once_fixed(posterior: Posterior, cause: int) -> tuple[float, float, float]:
    """5 %, 50 % and 95 % quantiles of the flow [m³/s] once a cause is fixed.

    Over every hypothesis with this cause, alone or with another, after fixing this fault. A fault
    that hides it is fixed as well: without that there is no water.
    """
    study = posterior.study
    rows, weight = posterior.rows(1e-6)
    owner = study.owner[study.blamed(rows.origin, rows.now)]
    having = np.flatnonzero(study.slot[cause, owner] >= 0)
    if not len(having):
        return 0.0, 0.0, 0.0
    begun = rows.now[having]
    slot = study.slot[cause, study.owner[begun]]  # below 0: fixed already
    at, now, share = rows_after_fix(begun, study.after, study.behind, np.maximum(slot, 0))
    hidden = np.isin(begun, list(study.behind)) & (slot == 1)
    now = np.where(slot[at] < 0, begun[at], np.where(hidden[at], study.healthy, now))
    flow = study.instruments.column_of["flow"]
    some = replace(subset(rows, having[at]), now=now)
    tables = study.mean[:, [flow]], study.factor[:, [flow]], study.noise[:, [flow]]
    middle, variance = predictive(some, *tables)
    mean, spread = middle[:, 0], np.sqrt(np.maximum(variance[:, 0], 1e-18))
    spread = spread if study.known else WIDER * spread
    found = study.column_from_scale(
        flow, _quantiles(mean, spread, weight[having[at]] * np.exp(share))
    )
    low, middle_flow, high = (max(float(v), 0.0) for v in found)
    return low, middle_flow, high


def _quantiles(mean: Array, spread: Array, weight: Array) -> Array:
    """Quantiles `_BAND` of a mixture of normals, by bisection, (3,)."""
    heavy = weight > NOTHING * weight.max()
    mean, spread, weight = mean[heavy], spread[heavy], weight[heavy] / weight[heavy].sum()
    low = np.full(len(_BAND), float((mean - 5 * spread).min()))
    high = np.full(len(_BAND), float((mean + 5 * spread).max()))
    width = math.sqrt(2) * spread
    for _ in range(STEPS):
        middle = (low + high) / 2
        below = _erfc((mean - middle[:, None]) / width).astype(float) @ (weight / 2)
        under = below < np.array(_BAND)
        low, high = np.where(under, middle, low), np.where(under, high, middle)
    return np.asarray((low + high) / 2)
