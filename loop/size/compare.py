"""Why the choice ranks ahead of cheaper, smaller, quieter and lower-draw options."""

import math
from collections.abc import Callable, Iterator, Sequence
from functools import partial

from loop.size.promise import Promise
from loop.size.rank import ENOUGH_MARGIN
from loop.size.result import Against, Option

# A smaller relative difference counts as none: engineering estimate.
SAME_WITHIN = 0.05


# Makes the sentence: respect, the choice, the other option, what decides, the numbers of both.
ComparisonText = Callable[[str, Option, Option, str, tuple[float, float]], str]


def comparisons(
    options: Sequence[Option], choice: int, text: ComparisonText
) -> tuple[Against, ...]:
    """The choice against the best option that is cheaper, smaller, quieter, or draws less in total.

    Of the options that are better in a respect, the first that passes, or else the first that
    fails; none if there is none.
    """
    return tuple(_comparisons(options, choice, text))


def _comparisons(options: Sequence[Option], choice: int, text: ComparisonText) -> Iterator[Against]:
    first = options[choice]
    for respect, is_better in better_than(first):
        better = [position for position, other in enumerate(options) if is_better(other)]
        if better:
            position = next((at for at in better if options[at].passes), better[0])
            other = options[position]
            decides, values = _deciding_measure(first, other)
            yield Against(
                respect, position, decides, values, text(respect, first, other, decides, values)
            )


def better_than(first: Option) -> Iterator[tuple[str, Callable[[Option | Promise], bool]]]:
    """Each respect of which an option's measure is known, and whether another is better in it."""
    for respect, measure in _RESPECTS.items():
        if math.isfinite(measure(first)):
            yield respect, partial(_is_less, measure, measure(first) * (1 - SAME_WITHIN))


def _is_less(
    measure: Callable[[Option | Promise], float], than: float, option: Option | Promise
) -> bool:
    return measure(option) < than


def _price(option: Option | Promise) -> float:
    return math.inf if option.price is None else option.price


def _total_draw(option: Option | Promise) -> float:
    return math.inf if option.energy is None else option.energy.stages[0].power


# Measures of which less is better, by the name for an option with less.
_RESPECTS: dict[str, Callable[[Option | Promise], float]] = {
    "cheaper": _price,
    "smaller": lambda option: option.choice.largest_bore,
    "quieter": lambda option: option.power,
    "less draw": _total_draw,
}


def _deciding_measure(first: Option, other: Option) -> tuple[str, tuple[float, float]]:
    """What speaks most for the choice, and its value for both.

    The first reason why the other fails or, if it passes, the measure in which it is furthest
    behind.
    """
    if other.reasons:
        return other.reasons[0].code, (first.margin, other.margin)
    losses = {
        "margin": (min(first.margin, ENOUGH_MARGIN) - min(other.margin, ENOUGH_MARGIN))
        / ENOUGH_MARGIN,
        "power": _excess(other.power, first.power),
        "price": _excess(_price(other), _price(first)),
        "bore": _excess(other.choice.largest_bore, first.choice.largest_bore),
    }
    worst = max(losses, key=lambda name: losses[name])
    values = {
        "margin": (first.margin, other.margin),
        "power": (first.power, other.power),
        "price": (_price(first), _price(other)),
        "bore": (first.choice.largest_bore, other.choice.largest_bore),
    }
    return worst, values[worst]


def _excess(other: float, choice: float) -> float:
    return (
        other / choice - 1 if math.isfinite(other) and math.isfinite(choice) and choice > 0 else 0.0
    )
