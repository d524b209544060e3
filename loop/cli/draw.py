"""`loop draw`: a figure of a loop, to a file."""

from typing import TYPE_CHECKING

from loop.cli.options import console, load_job, write_whole
from loop.draw import draw as make
from loop.draw import file_kind, to_bytes
from loop.job import Job
from loop.units import System
from loop.words.guesses import guesses_sentence

if TYPE_CHECKING:
    from loop.size import SizeResult


def draw(job: str, output: str, figure: str, branch: str, units: System | None) -> None:
    """Draw a figure of a loop as PNG, SVG or PDF, by the file name's ending."""
    kind = file_kind(output)
    loaded = load_job(job, units)
    made = make(_subject(loaded, figure), figure, branch=branch)
    write_whole(output, to_bytes(made, kind))
    print(f"{output}: {made.get_label()}.")
    if said := guesses_sentence(loaded):
        console().print(said)


def _subject(job: Job, figure: str) -> "Job | SizeResult":
    """What to draw: a sizing, which is calculated only for the figures that show it, or the job."""
    stated = any(unit.electrical is not None for unit in job.condenser)
    if not (figure == "sizes" or (figure == "energy" and stated)):
        return job
    from loop.size import size

    return size(job)
