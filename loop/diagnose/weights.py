"""A fault's weight among service calls, as a person states it."""

from typing import Any

# The largest that may be stated.
LARGEST_WEIGHT = 1e6


def stated_weight(value: Any) -> float | None:
    """The weight that is stated; None for what is no number of 0 to `LARGEST_WEIGHT`.

    >>> stated_weight(3), stated_weight(True), stated_weight(-1.0), stated_weight("3")
    (3.0, None, None, None)
    """
    number = isinstance(value, int | float) and not isinstance(value, bool)
    return float(value) if number and 0 <= value <= LARGEST_WEIGHT else None
