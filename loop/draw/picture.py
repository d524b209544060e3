"""From a job or a result to a picture in one call."""

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Any

from loop.check import CheckResult, check
from loop.draw.bores import Sized
from loop.draw.curves import draw_curves
from loop.draw.drift import draw_drift
from loop.draw.energy import draw_energy
from loop.draw.fouling import draw_fouling
from loop.draw.heads import draw_heads
from loop.draw.profile import BESIDE, Layout, draw_profile
from loop.draw.scene import Scene
from loop.draw.sizes import draw_sizes
from loop.draw.style import FORMATS, Format, in_style, to_bytes
from loop.job import Job, JobError, not_a_job
from loop.units import System, check_system
from loop.whole_file import put_whole
from loop.words.figures import SAY
from loop.words.help import FIGURES as FIGURES

if TYPE_CHECKING:
    from matplotlib.figure import Figure

Subject = Job | CheckResult | Sized

_CHECKED: dict[str, Callable[[Scene], Any]] = {
    "curves": draw_curves,
    "profile": draw_profile,
    "heads": draw_heads,
    "fouling": draw_fouling,
    "energy": draw_energy,
}


def draw(
    subject: Subject,
    figure: str,
    path: str | Path | None = None,
    units: System | None = None,
    branch: str = "",
) -> "Figure":
    """One figure of a loop, as a ``matplotlib`` Figure, and in a file where a path is given.

    Parameters
    ----------
    subject : Job, CheckResult or SizeResult
        A job is checked first; ``sizes`` needs the answer of `loop.size.size`, and ``energy`` marks
        the options of one.
    figure : str
        A key of `loop.draw.FIGURES`.
    path : path, optional
        File to write, ending in .png, .svg or .pdf; it is written whole or not at all.
    units : "us" or "si", optional
        System of units; the job's own where left out.
    branch : str
        Branch that ``profile`` and ``heads`` follow in a network; the worst unit's where empty.

    Raises
    ------
    JobError
        The loop has nothing to draw in this figure, no such figure, branch or kind of file.
    UnitError
        `units` is neither.
    OSError
        The file cannot be written.
    """
    kind = None if path is None else file_kind(path)
    check_system(units)
    job = subject if isinstance(subject, Job) else getattr(subject, "job", None)
    if not isinstance(job, Job):
        raise JobError([not_a_job("draw", subject)])
    system = units or job.units
    with in_style():
        made: Figure = _made(subject, job, figure, system, branch)
    if path is not None and kind is not None:
        put_whole(Path(path), to_bytes(made, kind))
    return made


def picture(
    subject: Subject,
    figure: str,
    kind: Format = "svg",
    units: System | None = None,
    branch: str = "",
) -> bytes:
    """The content of the file that `draw` would write; same arguments, same errors."""
    return to_bytes(draw(subject, figure, None, units, branch), kind)


def profile_beside(
    result: CheckResult, before: CheckResult | None = None, layout: Layout = BESIDE
) -> Any:
    """The figure ``profile`` in the job's units, small, for a page shared with text.

    With `before`, the loop as found is drawn behind it wherever it was changed.
    """
    with in_style():
        return draw_profile(Scene(result, result.job.units, before=before), layout)


def file_kind(path: str | Path) -> Format:
    """The file type of a path's suffix; raises JobError for any other."""
    ending = Path(path).suffix.lower().lstrip(".")
    for kind in FORMATS:
        if ending == kind:
            return kind
    raise JobError([SAY("not-a-figure", file=str(path))])


def _made(subject: Subject, job: Job, figure: str, system: System, branch: str) -> Any:
    if figure == "sizes":
        if isinstance(subject, Job | CheckResult):
            raise JobError([SAY("sizes-only", job=job.title)])
        return draw_sizes(subject, system)
    if figure == "drift":
        return draw_drift(job, system)
    if figure not in _CHECKED:
        raise JobError([SAY("no-figure", figure=repr(figure), figures=", ".join(FIGURES))])
    if figure == "energy" and not isinstance(subject, Job | CheckResult):
        return draw_energy(Scene(check(subject.chosen, fixes=False), system, branch), subject)
    # No figure shows fixes, so none are searched for.
    result = subject if isinstance(subject, CheckResult) else check(job, fixes=False)
    return _CHECKED[figure](Scene(result, system, branch))
