"""Which option is best: the trade-off front, and one ranking of all options."""

import math
from collections.abc import Iterable, Sequence
from dataclasses import replace
from typing import Any

import numpy as np

from loop.curve import Array
from loop.size.options import Choice
from loop.size.promise import Promise
from loop.size.result import Option

# Flow margin beyond which more is of no value, at the low edge in the worst service, which holds
# all other allowances: engineering estimate. More flow costs pump power and wear.
ENOUGH_MARGIN = 0.10

# The options that pass and those nearest to passing that are shown, unless all are.
SHOWN_PASSING, SHOWN_FAILING = 12, 8

# Compared as tuples: less is better.
Key = tuple[Any, ...]


def objectives(option: Option | Promise) -> tuple[float, float, float, float]:
    """The objectives, each to be minimized; for a promise, the least that each can be.

    Minus the flow margin, power [W], price, largest bore to route [m]. Unknown power or price
    counts as infinite.
    """
    power = option.power if math.isfinite(option.power) else math.inf
    price = math.inf if option.price is None else option.price
    return -option.margin, power, price, option.choice.largest_bore


def ranked(options: Iterable[Option]) -> tuple[Option, ...]:
    """The options in order, with their ranks.

    Passing options first, those right as new ahead of the others, by distance from the best in
    every objective at once. Then failing options by number of reasons, flow margin, and power.
    """
    options = list(options)
    passing = [option for option in options if option.passes]
    keys = passing_keys(passing, least_objectives(passing))
    order = sorted(range(len(passing)), key=keys.__getitem__)
    failing = sorted((option for option in options if not option.passes), key=failing_key)
    in_order = [*(passing[i] for i in order), *failing]
    return tuple(replace(option, rank=rank) for rank, option in enumerate(in_order, 1))


def least_objectives(passing: Sequence[Option]) -> Array:
    """The least of each objective of options, shape (4,); infinite if there are none."""
    values = np.array([objectives(option) for option in passing]).reshape(len(passing), 4)
    return np.asarray(values.min(axis=0, initial=math.inf))


def passing_keys(options: Sequence[Option | Promise], least: Array) -> list[Key]:
    """Keys by which passing options are ranked, with the `least_objectives` of all of them.

    For promises, keys that those of the options cannot come before.
    """
    scores = _scores(options, least)
    return [
        (bool(one.as_new), score, *reversed(objectives(one)))
        for one, score in zip(options, scores.tolist(), strict=True)
    ]


def failing_key(option: Option | Promise) -> Key:
    """Key by which failing options are ranked; for a promise, one that it cannot come before."""
    return max(len(option.reasons), 1), *objectives(option)


def _scores(options: Sequence[Option | Promise], least: Array) -> Array:
    """Distance of each option from the best in all objectives, shape (n,).

    Root of the sum of squares of: the shortfall of the flow margin from `ENOUGH_MARGIN`, relative
    to it; and power, price and bore relative to the least of each, minus 1, at most 1. Unknown
    counts as 1.
    """
    values = np.array([objectives(option) for option in options]).reshape(len(options), 4)
    shortfall = np.clip(1 + values[:, 0] / ENOUGH_MARGIN, 0.0, 1.0)
    known = np.isfinite(least[1:]) & (least[1:] > 0)
    excess = np.where(known, values[:, 1:] / np.where(known, least[1:], 1.0) - 1, 0.0)
    return np.asarray(np.hypot(shortfall, np.sqrt((np.minimum(excess, 1.0) ** 2).sum(axis=1))))


def dominates(one: Option | Promise, other: Option | Promise) -> bool:
    """Whether an option is at least as good as another in every objective, and better in one."""
    pairs = list(zip(objectives(one), objectives(other), strict=True))
    return all(a <= b for a, b in pairs) and any(a < b for a, b in pairs)


def pareto_front(options: Sequence[Option], unchecked: Sequence[Promise] = ()) -> tuple[int, ...]:
    """Positions of the passing options that no other passing one dominates.

    Without those that one of `unchecked` might dominate.
    """
    passing = [i for i, option in enumerate(options) if option.passes]
    rivals: list[Option | Promise] = [*(options[i] for i in passing), *unchecked]
    return tuple(i for i in passing if not any(dominates(one, options[i]) for one in rivals))


def kit_of(choice: Choice) -> tuple[str, int, str]:
    """The pump or pumps of a choice."""
    return choice.pump.name, choice.count, choice.arrangement


def nearest(options: Sequence[Option]) -> list[Option]:
    """For each pump, the first of the failing options, which are in order of rank."""
    first: dict[tuple[str, int, str], Option] = {}
    for option in options:
        if not option.passes:
            first.setdefault(kit_of(option.choice), option)
    return list(first.values())
