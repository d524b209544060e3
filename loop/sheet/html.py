"""The sheet as one self-contained HTML page."""

from pathlib import Path

from jinja2 import Environment, FileSystemLoader, StrictUndefined
from markupsafe import Markup

from loop.sheet import figure
from loop.sheet.content import Sheet
from loop.sheet.tied import tie
from loop.words.job_sheet import SAY
from loop.words.template import capital

_FOLDER = Path(__file__).parent


def render(sheet: Sheet) -> str:
    """The sheet as HTML text, everything escaped except the drawing and the style."""
    return (
        pages(_FOLDER)
        .get_template("sheet.html.j2")
        .render(
            sheet=sheet,
            say=SAY,
            paper="Letter" if sheet.result.job.units == "us" else "A4",
            style=Markup((_FOLDER / "sheet.css").read_text(encoding="utf-8")),
            drawing=Markup(figure.svg(sheet)),
            narrow=Markup(figure.narrow_svg(sheet)),
        )
    )


def pages(folder: Path) -> Environment:
    """The templates of a folder, with autoescape and the filters `tie` and `sentence`."""
    found = Environment(
        loader=FileSystemLoader(folder),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    found.filters |= {"tie": tie, "sentence": sentence}
    return found


def sentence(text: str) -> str:
    """Text with an initial capital, numbers tied to their units.

    >>> sentence("clean it")
    'Clean it'
    """
    return tie(capital(text))
