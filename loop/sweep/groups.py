"""Axes in groups: axes that change the same things, or are valid only together."""

from collections.abc import Iterator, Sequence
from itertools import product
from typing import TypeAlias

from loop.hydraulics import Network, build
from loop.job import Job, JobError, Put, edit
from loop.parts import Intake
from loop.records import dataclass
from loop.sweep.axes import Axis
from loop.words.commands import SAY

# Limit on the mistakes of one kind that are listed.
_TOLD = 6

# Result of trying some values: a job with its network, or what is wrong with it.
Tried: TypeAlias = "Variant | list[str]"


@dataclass(frozen=True)
class Variant:
    """A job with some axes at particular values, and its network."""

    job: Job
    network: Network


@dataclass(frozen=True)
class Group:
    """Axes that go together, and a variant for each combination of their values.

    ``axes`` are indices of axes; ``things`` are what they change: indices of parts, and names of
    the job's tables. ``variants`` and their edits ``puts`` are in the order of the product of the
    values.
    """

    axes: tuple[int, ...]
    things: frozenset[int | str]
    puts: tuple[tuple[Put, ...], ...]
    variants: tuple[Variant, ...]


def grouped(job: Job, base: Network, axes: Sequence[Axis]) -> list[Group]:
    """The axes in groups, each changing what no other does.

    A value that gives no valid job by itself, such as a height that the hose cannot reach, is tried
    with the values of the other axes. Raises JobError with every mistake of every value, each on a
    line that names its axis, and with the combinations that give no valid job.
    """
    alone = [[_tried(job, axis.puts(n)) for n in range(len(axis.values))] for axis in axes]
    sets = _coupled(job, axes, alone)
    groups: list[Group] = []
    problems: list[str] = []
    for numbers in sets:
        try:
            groups.append(_group(job, base, axes, numbers, alone))
        except JobError as error:
            problems += error.problems
    if problems:
        raise JobError(list(dict.fromkeys(problems)))
    return _apart(job, base, axes, groups, alone)


def _apart(
    job: Job,
    base: Network,
    axes: Sequence[Axis],
    groups: Sequence[Group],
    alone: Sequence[Sequence[Tried]],
) -> list[Group]:
    """Merge groups that change the same thing, until each changes what no other does."""
    found: list[tuple[tuple[int, ...], frozenset[int | str]]] = []
    for group in groups:
        own, held = group.axes, group.things
        for other in [other for other in found if other[1] & held]:
            found.remove(other)
            own, held = tuple(sorted((*other[0], *own))), other[1] | held
        found.append((own, held))
    known = {group.axes: group for group in groups}
    return [
        known[numbers] if numbers in known else _group(job, base, axes, numbers, alone, things)
        for numbers, things in found
    ]


def _tried(job: Job, puts: Sequence[Put]) -> Tried:
    try:
        changed = edit(job, puts)
    except JobError as error:
        return error.problems
    return Variant(changed, build(changed))


def _coupled(
    job: Job, axes: Sequence[Axis], alone: Sequence[Sequence[Tried]]
) -> list[tuple[int, ...]]:
    """Index sets of the axes, joined where a value of one fixes what another breaks."""
    sets = [{number} for number in range(len(axes))]
    for number, tried in enumerate(alone):
        for value, problems in enumerate(tried):
            if isinstance(problems, Variant):
                continue
            puts = axes[number].puts(value)
            for other in range(len(axes)):
                if other not in sets[number] and any(
                    _mends(problems, own, _tried(job, [*puts, *axes[other].puts(at)]))
                    for at, own in enumerate(alone[other])
                ):
                    both = sets[number] | sets[other]
                    for one in both:
                        sets[one] = both
    return list(dict.fromkeys(tuple(sorted(one)) for one in sets))


def _mends(problems: Sequence[str], own: Tried, both: Tried) -> bool:
    """Whether another value removes a mistake, rather than hiding it behind its own."""
    if isinstance(both, Variant):
        return True
    hidden = not isinstance(own, Variant) and set(own) <= set(both)
    return not hidden and not set(problems) <= set(both)


def _group(
    job: Job,
    base: Network,
    axes: Sequence[Axis],
    numbers: Sequence[int],
    alone: Sequence[Sequence[Tried]],
    things: frozenset[int | str] | None = None,
) -> Group:
    """The group of these axes; raises JobError if some combinations give no valid job."""
    counts = [range(len(axes[number].values)) for number in numbers]
    puts, variants, wrong = [], [], {}
    for values in product(*counts):
        chosen = [put for a, v in zip(numbers, values, strict=True) for put in axes[a].puts(v)]
        one = len(numbers) == 1
        tried = alone[numbers[0]][values[0]] if one else _tried(job, chosen)
        if isinstance(tried, Variant):
            puts.append(tuple(chosen))
            variants.append(tried)
        else:
            wrong[values] = tried
    if wrong:
        raise JobError(list(_told(axes, numbers, counts, wrong)))
    if things is None:
        things = frozenset().union(*(_differences(job, base, variant) for variant in variants))
    return Group(tuple(numbers), things, tuple(puts), tuple(variants))


def _told(
    axes: Sequence[Axis],
    numbers: Sequence[int],
    counts: Sequence[range],
    wrong: dict[tuple[int, ...], list[str]],
) -> Iterator[str]:
    """Mistakes of values that are invalid in every combination, then of combinations."""
    never: set[tuple[int, ...]] = set()
    for place, number in enumerate(numbers):
        for value in counts[place]:
            own = {values: found for values, found in wrong.items() if values[place] == value}
            every = sum(1 for values in product(*counts) if values[place] == value)
            if len(own) == every:
                never |= own.keys()
                least = min(own.values(), key=len)
                axis = axes[number]
                yield from (f"{axis.name} = {axis.values[value]}: {line}" for line in least)
    left = [values for values in wrong if values not in never]
    for values in left[:_TOLD]:
        said = ", ".join(
            f"{axes[number].name} = {axes[number].values[value]}"
            for number, value in zip(numbers, values, strict=True)
        )
        yield from (f"{said}: {line}" for line in wrong[values])
    if len(left) > _TOLD:
        yield SAY("sweep-more-wrong", count=f"{len(left) - _TOLD:,}")


def _differences(job: Job, base: Network, variant: Variant) -> set[int | str]:
    """Differences of a variant from the job: parts by index, and the job's tables by name."""
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
    # The way the intake faces has an effect only with the boat's speed.
    if any(isinstance(base.parts[index], Intake) for index in changed):
        found.add("boat")
    return found | changed
