"""`loop sheet`: the job sheet, for the customer's file and the installer's pocket."""

from collections.abc import Callable
from pathlib import Path

from loop.cli.options import JobPath, OutputOption, UnitsOption, load_job, user_errors, write_whole
from loop.job import JobError, read_toml
from loop.sheet import Sheet, to_html, to_pdf
from loop.sheet import sheet as compose

_RENDERERS: dict[str, Callable[[Sheet], str | bytes]] = {".html": to_html, ".pdf": to_pdf}


@user_errors
def sheet(job: JobPath, output: OutputOption, units: UnitsOption = None) -> None:
    """Write the job sheet: what to buy, what to read, how to start, when to clean.

    Example:  loop sheet examples/kittiwake.toml -o kittiwake.pdf
    """
    ending = Path(output).suffix.lower()
    if ending not in _RENDERERS:
        raise JobError([f"{output}: a sheet is a page or a PDF; end its name in .html or .pdf"])
    content: Sheet = compose(load_job(job, units), read_toml(job))
    write_whole(output, _RENDERERS[ending](content))
    print(f"{output}: {content.verdict}. {content.verdict_line}")
