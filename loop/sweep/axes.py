"""The axes of a sweep, and the changes that each makes."""

import math
import re
from collections.abc import Iterable, Mapping
from typing import Any, Protocol, TypeAlias

from pydantic import BaseModel

from loop.job import Job, JobError, Put
from loop.job.address import read_address
from loop.job.edit import require_distinct, require_table
from loop.records import dataclass
from loop.units.fields import Quantity, hints
from loop.units.stated import Rating
from loop.words.commands import SAY

# Limit on the points of a grid, which keeps its answer within a few gigabytes.
MAX_POINTS = 20_000_000

Address: TypeAlias = str | tuple[str, ...]
# A comma between two values; between two digits it may belong to a number.
_SEPARATOR = re.compile(r"\s*;\s*|\s*,(?!\d)\s*|(?<!\d)\s*,\s*")
# A bracketed list counts as one value.
_LIST = re.compile(r"\[[^\[\]]*\]")
_NUMBER = re.compile(r"[+-]?\d+(?:\.\d+)?")


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


def read_vary(job: Job, texts: Iterable[str]) -> dict[Address, list[Any]]:
    """The axes in texts such as ``"part[8].length=8 ft, 12 ft"``.

    Several addresses may precede the values, each with its ``=``: they change together. Commas and
    semicolons separate values; a comma between digits does not.

    Raises JobError for a text that is not of that form, or an address that does not exist.

    >>> from loop.job import read_job
    >>> read_vary(read_job("examples/kittiwake.toml"), ["pump = demo-ac-250, demo-ac-350"])
    {'pump': ['demo-ac-250', 'demo-ac-350']}
    """
    found: dict[Address, list[Any]] = {}
    problems: list[str] = []
    for text in texts:
        *names, values = (part.strip() for part in text.split("="))
        if not names or not all(names) or not values:
            problems.append(SAY("sweep-not-read", text=repr(text[:60])))
            continue
        key: Address = names[0] if len(names) == 1 else tuple(names)
        if key in found:
            problems.append(SAY("sweep-twice", address=" = ".join(names)))
        try:
            found[key] = [_value(job, names[0], value) for value in _split_values(values) if value]
        except JobError as error:
            problems += [f"--vary: {problem}" for problem in error.problems]
    if problems:
        raise JobError(problems)
    return found


def _split_values(text: str) -> list[str]:
    """The values in a text; a bracketed list, such as a hose's points, is one value.

    >>> _split_values("[], [4 in, -2 in]; 8 ft, 12 ft")
    ['[]', '[4 in, -2 in]', '8 ft', '12 ft']
    """
    lists = _LIST.findall(text)
    parts = _SEPARATOR.split(_LIST.sub("\0", text))
    return [lists.pop(0) if part == "\0" else part for part in parts]


def _value(job: Job, address: str, text: str) -> Any:
    """A value as its field takes it: a number for a plain number, otherwise text."""
    if _LIST.fullmatch(text):
        inside = _SEPARATOR.split(text[1:-1].strip())
        return [_value(job, address, one.strip("\"' ")) for one in inside if one]
    if _NUMBER.fullmatch(text) and not _is_quantity(job, address):
        return float(text) if "." in text else int(text)
    return text


def _is_quantity(job: Job, address: str) -> bool:
    """Whether the field at an address takes text with a unit."""
    *path, last = read_address(job, address)
    holder: Any = job
    for step in path:
        holder = holder[step] if isinstance(step, int) else getattr(holder, step, None)
    if not isinstance(holder, BaseModel) or last not in type(holder).model_fields:
        return True
    field = type(holder).model_fields[str(last)]
    return any(isinstance(one, Quantity) or one is Rating for one in hints(field))
