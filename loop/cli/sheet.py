"""`loop sheet`: the job sheet, for the customer's file and the installer's pocket."""

from collections.abc import Callable
from pathlib import Path

from loop.cli.options import load_job, write_whole
from loop.job import JobError, read_toml
from loop.sheet import Sheet, to_html, to_pdf
from loop.sheet import sheet as compose
from loop.units import System
from loop.words.commands import SAY

_RENDERERS: dict[str, Callable[[Sheet], str | bytes]] = {".html": to_html, ".pdf": to_pdf}


def sheet(job: str, output: str, units: System | None) -> None:
    """Write the job sheet: what to buy, what to read, how to start, when to clean."""
    ending = Path(output).suffix.lower()
    if ending not in _RENDERERS:
        raise JobError([SAY("sheet-ending", file=output)])
    content: Sheet = compose(load_job(job, units), read_toml(job))
    write_whole(output, _RENDERERS[ending](content))
    print(f"{output}: {content.verdict}. {content.verdict_line}")
