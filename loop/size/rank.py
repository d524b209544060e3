"""Which option is best: the trade-off front, and one ranking of all options."""

import math
from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from loop.curve import Array
from loop.size.result import Option

# Flow margin beyond which more is of no value, at the low edge in the worst service, which holds
# all other allowances: engineering estimate. More flow costs pump power and wear.
ENOUGH_MARGIN = 0.10


def objectives(option: Option) -> tuple[float, float, float, float]:
    """The objectives, each to be minimized.

    Minus the flow margin, power [W], price, largest bore to route [m]. Unknown power or price
    counts as infinite.
    """
    power = option.power if math.isfinite(option.power) else math.inf
    price = math.inf if option.price is None else option.price
    return -option.margin, power, price, option.choice.largest_bore


def ranked(options: Sequence[Option]) -> tuple[Option, ...]:
    """The options in order, with their ranks.

    Passing options first, those right as new ahead of the others, by distance from the best in
    every objective at once. Then failing options by number of reasons, flow margin, and power.
    """
    passing = [option for option in options if option.passes]
    failing = [option for option in options if not option.passes]
    scores = _scores(passing)
    order = sorted(
        range(len(passing)),
        key=lambda i: (bool(passing[i].as_new), scores[i], *reversed(objectives(passing[i]))),
    )
    failing.sort(key=lambda option: (len(option.reasons), *objectives(option)))
    in_order = [*(passing[i] for i in order), *failing]
    return tuple(replace(option, rank=rank) for rank, option in enumerate(in_order, 1))


def _scores(options: Sequence[Option]) -> Array:
    """Distance of each option from the best in all objectives, shape (n,).

    Root of the sum of squares of: the shortfall of the flow margin from `ENOUGH_MARGIN`, relative
    to it; and power, price and bore relative to the least of each, minus 1, at most 1. Unknown
    counts as 1.
    """
    if not options:
        return np.zeros(0)
    values = np.array([objectives(option) for option in options])
    shortfall = np.clip(1 + values[:, 0] / ENOUGH_MARGIN, 0.0, 1.0)
    least = values[:, 1:].min(axis=0)
    known = np.isfinite(least) & (least > 0)
    excess = np.where(known, values[:, 1:] / np.where(known, least, 1.0) - 1, 0.0)
    return np.asarray(np.hypot(shortfall, np.sqrt((np.minimum(excess, 1.0) ** 2).sum(axis=1))))


def pareto_front(options: Sequence[Option]) -> tuple[int, ...]:
    """Positions of the passing options that no other passing one dominates.

    One dominates another if it is at least as good in every objective and better in one.
    """
    passing = [i for i, option in enumerate(options) if option.passes]
    values = np.array([objectives(options[i]) for i in passing]).reshape(len(passing), 4)
    found = []
    for row, index in enumerate(passing):
        no_worse = (values <= values[row]).all(axis=1)
        better = (values < values[row]).any(axis=1)
        if not (no_worse & better).any():
            found.append(index)
    return tuple(found)
