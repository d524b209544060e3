"""Solve a grid of changes to a job at every point."""

import math
from collections.abc import Callable, Iterator, Sequence
from itertools import product

import numpy as np

from loop.hydraulics import build
from loop.job import Job, JobError, edit, takes_job
from loop.sweep.axes import Grid, read_axes
from loop.sweep.batch import Batch
from loop.sweep.groups import Group, group_axes
from loop.sweep.points import empty_points
from loop.sweep.result import Sweep
from loop.sweep.starting import Starts
from loop.sweep.structures import Ints, VariantSet, by_structure
from loop.words.commands import SAY

# Points solved together, which bounds the memory used.
_BATCH_POINTS = 32_768

Progress = Callable[[int, int], None]


@takes_job
def sweep(job: Job, vary: Grid, progress: Progress | None = None) -> Sweep:
    """Solve every combination of values at some addresses of a job.

    Parameters
    ----------
    job : Job
    vary : mapping
        Address (``"part[8].length"``, ``"suction hose.bore"``, ``"pump"``, ``"water.temperature"``)
        and the values to try there, as text or as SI numbers. A tuple of addresses takes each value
        at all of them, for example the height of a discharge and of the hose that ends there.
    progress : callable, optional
        Called with the points solved so far and their total; an exception it raises ends the sweep.

    Returns
    -------
    Sweep
        Arrays with an axis for each of `vary`, in order. They agree with `loop.check` at a point to
        0.2 %: losses are read from tables, and no band is calculated. A unit that would condense
        above the temperature at which it trips has no temperature rise and no condensing
        temperature: NaN. Where ``starts`` is False the flow is that of the loop once primed.

    Raises
    ------
    JobError
        Lists every value that does not fit its address or gives no valid job with any others, every
        combination that gives none, and every two addresses of one place; also if nothing is
        varied.

    Examples
    --------
    >>> import loop
    >>> job = loop.read_job("examples/kittiwake.toml")
    >>> found = loop.sweep(job, {"part[8].length": ["6 ft", "12 ft"], "part[4].blocked": [0, 0.5]})
    >>> found.flow.shape, bool(found.total_flow[0, 0] > found.total_flow[1, 1])
    ((2, 2, 1), True)
    """
    axes, problems = read_axes(job, vary)
    base = build(job)
    try:
        groups = group_axes(job, base, axes)
    except JobError as error:
        problems += error.problems
    if problems:
        raise JobError(problems)
    starts = Starts(base, groups)
    names = [unit.name for unit in job.condenser]
    for variant in (variant for group in groups for variant in group.variants):
        if [unit.name for unit in variant.job.condenser] != names:
            raise JobError([SAY("sweep-units")])
    shape = tuple(len(axis.values) for axis in axes)
    answer = empty_points(math.prod(shape), len(names))
    offsets = [_row_offsets(group, shape) for group in groups]
    done = 0
    for variant_sets in product(*by_structure(groups)):
        for batch, variant_numbers in _batches(job, groups, variant_sets):
            rows = np.sum(
                [own[at] for own, at in zip(offsets, variant_numbers, strict=True)], axis=0
            )
            needed, answer.intake_dry[rows], answer.wrong_supply[rows] = starts.look_up(
                variant_numbers
            )
            batch.write_answers(answer, rows, needed)
            done += len(rows)
            if progress is not None:
                progress(done, len(answer.head))
    return Sweep.of(job, axes, answer)


def _row_offsets(group: Group, shape: tuple[int, ...]) -> Ints:
    """Contribution of each variant of a group to a point's row number, shape (variants,)."""
    strides = [math.prod(shape[number + 1 :]) for number in range(len(shape))]
    places = np.indices([shape[number] for number in group.axes]).reshape(len(group.axes), -1)
    return np.asarray(sum(strides[n] * own for n, own in zip(group.axes, places, strict=True)))


def _batches(
    job: Job, groups: Sequence[Group], variant_sets: Sequence[VariantSet]
) -> Iterator[tuple[Batch, list[Ints]]]:
    """Points of one structure per group in blocks, with their variants of each group."""
    first = [
        group.edits[variant_set.numbers[0]]
        for group, variant_set in zip(groups, variant_sets, strict=True)
    ]
    network = build(edit(job, [put for puts in first for put in puts]))
    sizes = [len(variant_set.variants) for variant_set in variant_sets]
    for start in range(0, math.prod(sizes), _BATCH_POINTS):
        points = np.arange(start, min(start + _BATCH_POINTS, math.prod(sizes)))
        variant_numbers = np.stack(np.unravel_index(points, sizes), axis=1)
        numbers = [
            variant_set.numbers[variant_numbers[:, number]]
            for number, variant_set in enumerate(variant_sets)
        ]
        yield Batch(network, variant_sets, variant_numbers), numbers
