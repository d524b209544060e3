"""Figures and sheets made in many threads at once: the same bytes, and no state changed."""

import random
import sys
from collections.abc import Callable, Iterator
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import matplotlib
import pytest

from loop.check import check
from loop.draw import picture
from loop.job import read_job
from loop.sheet import to_html, to_pdf
from loop.sheet.compose import sheet

EXAMPLES = Path(__file__).parent.parent / "examples"
RESULT = check(read_job(EXAMPLES / "kittiwake.toml"))


@pytest.fixture
def eager() -> Iterator[None]:
    """Threads that switch ten thousand times a second, which by default would be rare."""
    before = sys.getswitchinterval()
    sys.setswitchinterval(1e-4)
    yield
    sys.setswitchinterval(before)


def in_threads(makers: list[Callable[[], bytes]], times: int) -> None:
    """Each maker gives the same bytes in eight threads, in any order, as it gives alone."""
    alone = [make() for make in makers]
    order = list(range(len(makers))) * times
    random.Random(4).shuffle(order)
    with ThreadPoolExecutor(8) as pool:
        made = list(pool.map(lambda number: makers[number](), order))
    assert [number for number, data in zip(order, made, strict=True) if data != alone[number]] == []


@pytest.mark.usefixtures("eager")
def test_figures_are_the_same_in_every_thread_and_leave_the_callers_settings_alone() -> None:
    with matplotlib.rc_context({"lines.linewidth": 7.5, "font.size": 19.0}):
        before = dict(matplotlib.rcParams)
        makers: list[Callable[[], bytes]] = [
            lambda figure=figure, kind=kind: picture(RESULT, figure, kind)  # type: ignore[misc]
            for figure, kind in (("curves", "svg"), ("heads", "pdf"), ("fouling", "png"))
        ]
        in_threads(makers, 2)
        assert dict(matplotlib.rcParams) == before


@pytest.mark.usefixtures("eager")
def test_sheets_are_the_same_in_every_thread() -> None:
    made = sheet(RESULT.job)
    in_threads([lambda: to_pdf(made), lambda: to_html(made).encode()], 2)
