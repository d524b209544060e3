"""The axes of a sweep, and the changes that each makes."""

import math
from collections.abc import Iterable, Mapping
from typing import Any, Protocol, TypeAlias

from loop.job import Job, JobError, Put
from loop.job.edit import require_distinct, require_table
from loop.records import dataclass
from loop.words.commands import SAY

# Limit on the points of a grid, which keeps its answer within a few gigabytes.
MAX_POINTS = 20_000_000

Address: TypeAlias = str | tuple[str, ...]


class _Addressed(Protocol):
    """A mapping whose keys are all of one type, such as text: to a type checker no other."""

    def items(self) -> Iterable[tuple[Address, Iterable[Any]]]:
        """Addresses, and the values to try there."""


Grid: TypeAlias = Mapping[Address, Iterable[Any]] | _Addressed


@dataclass(frozen=True)
class Axis:
    """Addresses that change together, and the values they take."""

    name: str
    addresses: tuple[str, ...]
    values: tuple[Any, ...]

    def edits(self, number: int) -> list[Put]:
        """The edits for one value."""
        return [Put(address, self.values[number]) for address in self.addresses]


def read_axes(job: Job, vary: Grid) -> tuple[tuple[Axis, ...], list[str]]:
    """The axes of a sweep, each changing places of its own, and what is wrong with the others.

    Raises JobError if there are none, if two change one place, and for a grid that is too large.
    """
    require_table(vary)
    if not vary:
        raise JobError([SAY("sweep-no-axes")])
    axes: list[Axis] = []
    problems: list[str] = []
    for address, values in vary.items():
        addresses = address if isinstance(address, tuple) else (address,)
        axis = Axis(" = ".join(map(str, addresses)), addresses, _as_values(values))
        try:
            if not axis.values or not addresses:
                raise JobError([SAY("sweep-no-values", address=axis.name)])
            require_distinct(job, addresses)
            axes.append(axis)
        except JobError as error:
            problems += error.problems
    require_distinct(job, (address for axis in axes for address in axis.addresses))
    points = math.prod(len(axis.values) for axis in axes)
    if points > MAX_POINTS:
        raise JobError([SAY("sweep-large", count=f"{points:,}", most=f"{MAX_POINTS:,}")])
    return tuple(axes), problems


def _as_values(values: Any) -> tuple[Any, ...]:
    """The values of an axis; a single text or quantity counts as one value."""
    try:
        return (values,) if isinstance(values, str) else tuple(values)
    except TypeError:
        return (values,)
