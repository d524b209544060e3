"""Every example on two pages, on both paper sizes, in type that is easy to read."""

import io
from functools import cache
from pathlib import Path
from typing import Any

import pytest

from loop.job import read_job, read_toml
from loop.sheet import Sheet, sheet, to_html, to_pdf
from loop.words.job_sheet import SAY
from tests.test_sheet import EXAMPLES
from tests.test_sheet_pages import bare, paper, run_chromium

pypdf = pytest.importorskip("pypdf", reason="reading PDFs back needs pypdf")

READABLE = 7.5  # [pt], the least for what is read through; notes and inputs may be smaller
FOUR_UNITS = "dabchick"


def papers(every: bool, most: tuple[str, ...] = ("us", "si")) -> list[Any]:
    """Examples with a system of units, which sets the paper; the rest are extended tests.

    Unless `every` one, only the example with the most units, on the paper of `most`.
    """
    pairs = [(path, system) for path in EXAMPLES for system in ("us", "si")]
    return [
        pytest.param(
            path,
            system,
            id=f"{path.stem}-{system}",
            marks=[]
            if (path.stem == FOUR_UNITS and system in most)
            or (every and read_job(path).units == system)
            else pytest.mark.extended,
        )
        for path, system in pairs
    ]


@cache
def example(path: Path, system: str) -> Sheet:
    """The sheet of an example as the command makes it with ``--units``."""
    return sheet(read_job(path).model_copy(update={"units": system}), read_toml(path))


@cache
def printed_example(path: Path, system: str) -> bytes:
    return to_pdf(example(path, system))


def type_sizes(page: Any, words: str) -> list[float]:
    """Type sizes [pt] of the pieces of a page's text that hold these words."""
    found = []

    def see(text: str, outer: list[float], own: list[float], _: Any, size: float) -> None:
        if words in text:
            found.append(abs(size * own[3] * outer[3]))

    page.extract_text(visitor_text=see)
    return found


def assert_two_readable_pages(made: Sheet, file: Path) -> None:
    pages = pypdf.PdfReader(file).pages
    assert len(pages) == 2
    small = made.card[0].readings[0].name if made.card else made.steps[-1][:12]
    sizes = [size for page in pages for size in type_sizes(page, small)]
    assert sizes
    assert min(sizes) >= READABLE - 0.01
    printed = bare("".join(page.extract_text() for page in pages))
    lost = [line for line in made.inputs.job.splitlines() if bare(line) not in printed]
    assert lost == []


@pytest.mark.parametrize(("path", "system"), papers(every=True))
def test_every_example_is_two_pages_of_pdf(path: Path, system: str, tmp_path: Path) -> None:
    made = example(path, system)
    (tmp_path / "sheet.pdf").write_bytes(printed_example(path, system))
    assert_two_readable_pages(made, tmp_path / "sheet.pdf")


@pytest.mark.parametrize(("path", "system"), papers(every=False))
def test_no_card_comes_between_the_steps(path: Path, system: str) -> None:
    made = example(path, system)
    pages = pypdf.PdfReader(io.BytesIO(printed_example(path, system))).pages
    printed = bare("".join(page.extract_text() for page in pages))
    at = [printed.index(bare(step)[:30]) for step in made.steps]
    assert len(at) > 5
    assert at == sorted(at)
    assert not at[0] < printed.index(bare(SAY("card-title"))) < at[-1]


# A browser is slow; it prints smaller boats on the other paper in `tests/test_sheet_pages.py`.
@pytest.mark.parametrize(("path", "system"), papers(every=False, most=("si",)))
def test_every_example_prints_on_two_pages(path: Path, system: str, tmp_path: Path) -> None:
    made = example(path, system)
    (tmp_path / "sheet.html").write_text(to_html(made), encoding="utf-8")
    options = ("--no-pdf-header-footer", f"--print-to-pdf={tmp_path / 'printed.pdf'}")
    run_chromium(tmp_path, *options, str(tmp_path / "sheet.html"))
    assert_two_readable_pages(made, tmp_path / "printed.pdf")


def test_two_units_stand_side_by_side_on_the_card() -> None:
    page = pypdf.PdfReader(io.BytesIO(paper("two"))).pages[1]
    units = fore, aft = SAY("card-unit", unit="fore"), SAY("card-unit", unit="aft")
    at: dict[str, tuple[float, float]] = {}

    def see(text: str, outer: list[float], own: list[float], *_: Any) -> None:
        for name in units:
            if name in text:
                at[name] = (own[4] + outer[4], own[5] + outer[5])

    page.extract_text(visitor_text=see)
    assert at[fore][1] == pytest.approx(at[aft][1], abs=0.5)
    assert at[aft][0] > at[fore][0] + 200
