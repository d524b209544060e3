"""A fault's weight among service calls, as a person states it."""

from collections.abc import Mapping
from typing import Any

from loop.words.diagnosis import SAY

# The largest that may be stated.
LARGEST_WEIGHT = 1e6


def stated_weight(value: Any) -> float | None:
    """The weight that is stated; None for what is no number of 0 to `LARGEST_WEIGHT`.

    >>> stated_weight(3), stated_weight(True), stated_weight(-1.0), stated_weight("3")
    (3.0, None, None, None)
    """
    number = isinstance(value, int | float) and not isinstance(value, bool)
    return float(value) if number and 0 <= value <= LARGEST_WEIGHT else None


def stated_weights(table: Mapping[Any, Any], problems: list[str]) -> dict[str, float]:
    """The weights of a table of faults, by name; mistakes are added to `problems`."""
    found = {str(fault): (given, stated_weight(given)) for fault, given in table.items()}
    problems += [
        SAY("wrong-weight", fault=fault, weight=repr(str(given)[:40]))
        for fault, (given, weight) in found.items()
        if weight is None
    ]
    return {fault: weight for fault, (_, weight) in found.items() if weight is not None}
