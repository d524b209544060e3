"""The axes of a sweep: which changes each makes, and which axes change the same things."""

import math
from collections.abc import Iterable, Mapping, Sequence
from itertools import product
from typing import Any

from loop.hydraulics import Network, build
from loop.job import Job, JobError, Put, edit
from loop.job.edit import by_address, once_each
from loop.parts import Intake
from loop.records import dataclass
from loop.words.commands import SAY

# The most points of a grid, which keeps its answer within a few gigabytes.
MOST_POINTS = 20_000_000

Address = str | tuple[str, ...]


@dataclass(frozen=True)
class Axis:
    """Addresses that change together, and the values that they take."""

    name: str
    addresses: tuple[str, ...]
    values: tuple[Any, ...]

    def puts(self, number: int) -> list[Put]:
        """The edits of one value."""
        return [Put(address, self.values[number]) for address in self.addresses]


@dataclass(frozen=True)
class Variant:
    """A job with some axes at some of their values, and its network."""

    job: Job
    network: Network


@dataclass(frozen=True)
class Group:
    """Axes that change the same things, and the variant of every combination of their values.

    ``axes`` are numbers of axes, and ``things`` what they change: parts by their numbers, and the
    job's tables; ``variants`` are in the order of the product of their values, as are their edits.
    """

    axes: tuple[int, ...]
    things: frozenset[int | str]
    puts: tuple[tuple[Put, ...], ...]
    variants: tuple[Variant, ...]


def read_axes(job: Job, given: Mapping[Address, Iterable[Any]]) -> tuple[Axis, ...]:
    """The axes of a sweep, each of which changes places of its own.

    Raises JobError where there is none, or one without values, and for a grid too large.
    """
    by_address(given)
    if not given:
        raise JobError([SAY("sweep-no-axes")])
    axes = []
    for address, values in given.items():
        addresses = address if isinstance(address, tuple) else (address,)
        held = _held(values)
        name = " = ".join(map(str, addresses))
        if not held or not addresses:
            raise JobError([SAY("sweep-no-values", address=name)])
        axes.append(Axis(name, addresses, held))
    once_each(job, (address for axis in axes for address in axis.addresses))
    points = math.prod(len(axis.values) for axis in axes)
    if points > MOST_POINTS:
        raise JobError([SAY("sweep-large", count=f"{points:,}", most=f"{MOST_POINTS:,}")])
    return tuple(axes)


def _held(values: Any) -> tuple[Any, ...]:
    """The values of an axis; of one, as text and a single quantity are, that one."""
    try:
        return (values,) if isinstance(values, str) else tuple(values)
    except TypeError:
        return (values,)


def grouped(job: Job, base: Network, axes: Sequence[Axis]) -> list[Group]:
    """The axes in groups, each of which changes what no other does.

    Raises JobError with every mistake of every value, each on a line that names its axis.
    """
    singles = _singles(job, axes)
    touched = [
        set().union(*(_differences(job, base, variant) for variant in variants))
        for variants in singles
    ]
    groups: list[tuple[list[int], set[int | str]]] = []
    for number, things in enumerate(touched):
        own, held = [number], set(things)
        for group in [group for group in groups if group[1] & held]:
            groups.remove(group)
            own, held = [*group[0], *own], group[1] | held
        groups.append((sorted(own), held))
    return [_group(job, axes, numbers, frozenset(things), singles) for numbers, things in groups]


def _singles(job: Job, axes: Sequence[Axis]) -> list[list[Variant]]:
    problems: list[str] = []
    singles: list[list[Variant]] = []
    for axis in axes:
        variants = []
        for number, value in enumerate(axis.values):
            try:
                variants.append(_variant(edit(job, axis.puts(number))))
            except JobError as error:
                problems += [f"{axis.name} = {value}: {problem}" for problem in error.problems]
        singles.append(variants)
    if problems:
        raise JobError(list(dict.fromkeys(problems)))
    return singles


def _variant(job: Job) -> Variant:
    return Variant(job, build(job))


def _group(
    job: Job,
    axes: Sequence[Axis],
    numbers: Sequence[int],
    things: frozenset[int | str],
    singles: list[list[Variant]],
) -> Group:
    counts = [range(len(axes[number].values)) for number in numbers]
    puts, variants = [], []
    for values in product(*counts):
        chosen = [put for a, v in zip(numbers, values, strict=True) for put in axes[a].puts(v)]
        puts.append(tuple(chosen))
        alone = len(numbers) == 1
        variants.append(singles[numbers[0]][values[0]] if alone else _variant(edit(job, chosen)))
    return Group(tuple(numbers), things, tuple(puts), tuple(variants))


def _differences(job: Job, base: Network, variant: Variant) -> set[int | str]:
    """What a variant has otherwise than the job: its parts by number, and the job's own tables."""
    network = variant.network
    found: set[int | str] = {
        name
        for name in ("water", "boat", "condenser", "fitted")
        if getattr(job, name) != getattr(variant.job, name)
    }
    if len(network.parts) != len(base.parts):
        return {*found, *range(len(base.parts))}
    pairs = enumerate(zip(base.parts, network.parts, strict=True))
    changed = {index for index, (one, other) in pairs if one != other}
    # Which way the intake faces tells with the boat's speed alone.
    if any(isinstance(base.parts[index], Intake) for index in changed):
        found.add("boat")
    return found | changed
