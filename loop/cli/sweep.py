"""`loop sweep`: flows at every point of a grid of changes."""

from typing import Literal, cast

import numpy as np
from rich.progress import MofNCompleteColumn
from rich.text import Text

from loop.check.result import Supply
from loop.cli.options import console, free_place, load_job, print_json, write_whole
from loop.cli.output import fitted, headed
from loop.cli.progress_bar import watched
from loop.job import Job
from loop.sweep import Sweep, read_vary
from loop.sweep import sweep as solve
from loop.units import System, bare, label
from loop.words.commands import SAY

# Points shown on a terminal.
_SHOWN = 40


def sweep(
    job: str,
    vary: list[str],
    csv: str | None,
    units: System | None,
    as_json: bool,
    force: bool,
) -> None:
    """Solve every combination of values at some addresses of a job."""
    if csv is not None:
        free_place(csv, force, mark=",total_flow ")
    loaded = load_job(job, units)
    found = _solved(job, loaded, vary)
    if csv is not None:
        write_whole(csv, found.to_csv(loaded.units))
    if as_json:
        print_json(found.to_dict())
    elif csv is None:
        _print(found, loaded.units)
    else:
        print(SAY("sweep-written", file=csv, count=f"{found.head.size:,}"))
    if not as_json:
        for note in found.notes:
            console().print(Text(note))


def _solved(path: str, job: Job, vary: list[str]) -> Sweep:
    """The answer, with a progress bar on a terminal."""
    with watched(path, SAY("sweeping"), MofNCompleteColumn()) as progress:
        return solve(job, read_vary(job, vary), progress)


def _print(found: Sweep, units: System) -> None:
    """One row per point: its values, and each unit's flow and condensing temperature."""
    out = console()
    flow, warmth = label("flow", units), label("temperature", units)
    of_units = [
        head
        for name in found.units
        for head in (f"{name}\n{flow}", f"{SAY('head-condensing', unit=name)}\n{warmth}")
    ]
    why = _why_not(found)
    stands = any(why)
    table = headed("", *found.axes, *of_units, *([""] if stands else []))
    rows = zip(
        found.rows(),
        found.flow.reshape(-1, len(found.units)).tolist(),
        found.condensing_temperature.reshape(-1, len(found.units)).tolist(),
        strict=True,
    )
    for number, (row, flows, hot) in zip(range(_SHOWN), rows, strict=False):
        cells = [str(value) for value in row[: len(found.axes)]]
        for own, temperature in zip(flows, hot, strict=True):
            cells += [bare(own, "flow", units), bare(temperature, "temperature", units)]
        if stands:
            cells.append(why[number])
        table.add_row(str(number + 1), *cells)
    out.print(fitted(table, out.width))
    left = found.head.size - _SHOWN
    if left > 0:
        out.print(Text(SAY("sweep-more", count=f"{left:,}")))


def _why_not(found: Sweep) -> list[Supply | Literal[""]]:
    """What keeps the loop from running at each point, as check says it; empty if nothing does."""
    why = np.full(found.head.size, "", dtype="<U12")
    why[found.wrong_supply.reshape(-1)] = "if it runs"
    why[~found.starts.reshape(-1)] = "once primed"
    why[found.intake_dry.reshape(-1)] = "intake dry"
    return cast("list[Supply | Literal['']]", why.tolist())
