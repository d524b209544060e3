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
_MAX_MISTAKES = 6

# Result of trying some values: a job with its network, or what is wrong with it.
TryResult: TypeAlias = "Variant | list[str]"


@dataclass(frozen=True)
class Variant:
    """A job with some axes at particular values, and its network."""

    job: Job
    network: Network


@dataclass(frozen=True)
class Group:
    """Axes that go together, and a variant for each combination of their values.

    ``axes`` are indices of axes; ``changed`` are what they change: indices of parts, and names of
    the job's tables. ``variants`` and their ``edits`` are in the order of the product of the
    values.
    """

    axes: tuple[int, ...]
    changed: frozenset[int | str]
    edits: tuple[tuple[Put, ...], ...]
    variants: tuple[Variant, ...]


def group_axes(job: Job, base: Network, axes: Sequence[Axis]) -> list[Group]:
    """The axes in groups, each changing what no other does.

    A value that gives no valid job by itself, such as a height that the hose cannot reach, is tried
    with the values of the other axes. Raises JobError with every mistake of every value, each on a
    line that names its axis, and with the combinations that give no valid job.
    """
    single_values = [
        [_try_edits(job, axis.edits(n)) for n in range(len(axis.values))] for axis in axes
    ]
    sets = _coupled_axes(job, axes, single_values)
    groups: list[Group] = []
    problems: list[str] = []
    for numbers in sets:
        try:
            groups.append(_group(job, base, axes, numbers, single_values))
        except JobError as error:
            problems += error.problems
    if problems:
        raise JobError(list(dict.fromkeys(problems)))
    return _merged(job, base, axes, groups, single_values)


def _merged(
    job: Job,
    base: Network,
    axes: Sequence[Axis],
    groups: Sequence[Group],
    single_values: Sequence[Sequence[TryResult]],
) -> list[Group]:
    """Merge groups that change the same thing, until each changes what no other does."""
    found: list[tuple[tuple[int, ...], frozenset[int | str]]] = []
    for group in groups:
        axis_numbers, changed = group.axes, group.changed
        for other in [other for other in found if other[1] & changed]:
            found.remove(other)
            axis_numbers, changed = tuple(sorted((*other[0], *axis_numbers))), other[1] | changed
        found.append((axis_numbers, changed))
    known = {group.axes: group for group in groups}
    return [
        known[numbers]
        if numbers in known
        else _group(job, base, axes, numbers, single_values, things)
        for numbers, things in found
    ]


def _try_edits(job: Job, puts: Sequence[Put]) -> TryResult:
    try:
        changed = edit(job, puts)
    except JobError as error:
        return [problem.removeprefix("change: ") for problem in error.problems]
    return Variant(changed, build(changed))


def _coupled_axes(
    job: Job, axes: Sequence[Axis], single_values: Sequence[Sequence[TryResult]]
) -> list[tuple[int, ...]]:
    """Index sets of the axes, joined where a value of one fixes what another breaks."""
    sets = [{number} for number in range(len(axes))]
    for number, results in enumerate(single_values):
        for value, problems in enumerate(results):
            if isinstance(problems, Variant):
                continue
            edits = axes[number].edits(value)
            for other in range(len(axes)):
                if other not in sets[number] and any(
                    _fixes(
                        problems,
                        alone,
                        _try_edits(job, [*edits, *axes[other].edits(value_of_other)]),
                    )
                    for value_of_other, alone in enumerate(single_values[other])
                ):
                    both = sets[number] | sets[other]
                    for one in both:
                        sets[one] = both
    return list(dict.fromkeys(tuple(sorted(one)) for one in sets))


def _fixes(problems: Sequence[str], alone: TryResult, both: TryResult) -> bool:
    """Whether another value removes a mistake, rather than hiding it behind its own."""
    if isinstance(both, Variant):
        return True
    hidden = not isinstance(alone, Variant) and set(alone) <= set(both)
    return not hidden and not set(problems) <= set(both)


def _group(
    job: Job,
    base: Network,
    axes: Sequence[Axis],
    numbers: Sequence[int],
    single_values: Sequence[Sequence[TryResult]],
    changed: frozenset[int | str] | None = None,
) -> Group:
    """The group of these axes; raises JobError if some combinations give no valid job."""
    counts = [range(len(axes[number].values)) for number in numbers]
    edits, variants, wrong = [], [], {}
    for values in product(*counts):
        combined = [put for a, v in zip(numbers, values, strict=True) for put in axes[a].edits(v)]
        is_single = len(numbers) == 1
        tried = single_values[numbers[0]][values[0]] if is_single else _try_edits(job, combined)
        if isinstance(tried, Variant):
            edits.append(tuple(combined))
            variants.append(tried)
        else:
            wrong[values] = tried
    if wrong:
        raise JobError(list(_mistakes(axes, numbers, counts, wrong)))
    if changed is None:
        changed = frozenset().union(*(_differences(job, base, variant) for variant in variants))
    return Group(tuple(numbers), changed, tuple(edits), tuple(variants))


def _mistakes(
    axes: Sequence[Axis],
    numbers: Sequence[int],
    counts: Sequence[range],
    wrong: dict[tuple[int, ...], list[str]],
) -> Iterator[str]:
    """Mistakes of values that are invalid in every combination, then of combinations."""
    always_wrong: set[tuple[int, ...]] = set()
    for place, number in enumerate(numbers):
        for value in counts[place]:
            with_value = {
                values: found for values, found in wrong.items() if values[place] == value
            }
            count = sum(1 for values in product(*counts) if values[place] == value)
            if len(with_value) == count:
                always_wrong |= with_value.keys()
                least = min(with_value.values(), key=len)
                axis = axes[number]
                yield from (f"{axis.name} = {axis.values[value]}: {line}" for line in least)
    left = [values for values in wrong if values not in always_wrong]
    for values in left[:_MAX_MISTAKES]:
        combination = ", ".join(
            f"{axes[number].name} = {axes[number].values[value]}"
            for number, value in zip(numbers, values, strict=True)
        )
        yield from (f"{combination}: {line}" for line in wrong[values])
    if len(left) > _MAX_MISTAKES:
        yield SAY("sweep-more-wrong", count=f"{len(left) - _MAX_MISTAKES:,}")


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
