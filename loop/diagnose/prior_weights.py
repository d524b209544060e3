"""Prior weights of faults among service calls, as a person states them."""

from collections.abc import Iterable, Mapping
from typing import Any

from loop.job import JobError
from loop.words.diagnosis import SAY

# Upper limit of a stated weight.
LARGEST_WEIGHT = 1e6


def stated_weight(value: Any) -> float | None:
    """The stated weight; None for anything but a number from 0 to `LARGEST_WEIGHT`.

    >>> stated_weight(3), stated_weight(True), stated_weight(-1.0), stated_weight("3")
    (3.0, None, None, None)
    """
    number = isinstance(value, int | float) and not isinstance(value, bool)
    return float(value) if number and 0 <= value <= LARGEST_WEIGHT else None


def stated_weights(table: Mapping[Any, Any], problems: list[str]) -> dict[str, float]:
    """Weights by fault from a table; appends mistakes to `problems`."""
    found = {str(fault): (given, stated_weight(given)) for fault, given in table.items()}
    problems += [
        SAY("wrong-weight", fault=fault, weight=repr(str(given)[:40]))
        for fault, (given, weight) in found.items()
        if weight is None
    ]
    return {fault: weight for fault, (_, weight) in found.items() if weight is not None}


def parse_priors(texts: Iterable[str]) -> dict[str, float]:
    """Weights of faults from texts such as ``"pump-worn=0.3"``; raises JobError."""
    found: dict[str, float] = {}
    problems = []
    for text in texts:
        name, _, value = text.partition("=")
        try:
            weight = stated_weight(float(value))
        except ValueError:
            weight = None
        if weight is None:
            problems.append(SAY("wrong-prior-option", text=repr(text[:60])))
        else:
            found[name.strip()] = weight
    if problems:
        raise JobError(problems)
    return found
