"""A pump's curve taken from a picture, as a person does it: by clicks, or by the line's color.

Twenty rendered datasheets of known data: linear and logarithmic axes, rotated by up to 3°, gray
and grainy as from a scanner.
"""

import io
import random
import re
import struct
import tomllib
import zlib
from dataclasses import dataclass
from importlib.util import find_spec
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure
from PIL import Image
from reportlab.pdfgen.canvas import Canvas

from loop.job import JobError
from loop.page.paper import checked_curve, pump_file
from loop.page.pdf import page_picture
from loop.pumps import read_pump
from loop.words.page import SAY
from tests.page.conftest import Started

WIDTH, HEIGHT = 900, 640
FOOT = 0.3048  # exact, by definition
# Allowed error of clicking and following, as a share of full scale.
BY_CLICKS, BY_FOLLOWING = 0.02, 0.03
_EDGES = ("flow-left", "flow-right", "head-foot", "head-top")


@dataclass(frozen=True)
class Datasheet:
    """A rendered curve: its picture, the true curve, and where things lie in the picture [px]."""

    png: bytes
    flow: "np.ndarray[Any, Any]"
    head: "np.ndarray[Any, Any]"
    places: "np.ndarray[Any, Any]"
    frame: tuple[tuple[float, float], ...]
    numbers: tuple[float, float, float, float]
    logs: tuple[bool, bool]


def render(number: int) -> Datasheet:
    """One of the twenty: every fourth is logarithmic, half of them rotated and gray."""
    chance = random.Random(number)
    top, most = chance.uniform(6, 40), chance.choice([300.0, 900.0, 2000.0])
    log = number % 4 == 3
    flow = np.linspace(most * (0.05 if log else 0.0), most * 0.95, 60)
    head = top * (1 - 0.9 * (flow / most) ** chance.uniform(1.6, 2.4))
    figure = Figure(figsize=(WIDTH / 100, HEIGHT / 100), dpi=100)
    canvas = FigureCanvasAgg(figure)
    axes = figure.add_axes((0.12, 0.14, 0.82, 0.8))
    axes.plot(flow, head, color=chance.choice(["#1f4fbf", "#b02020", "#202020"]), linewidth=2.2)
    axes.set_xlim(most * 0.05 if log else 0.0, most)
    axes.set_ylim(0.0, top * 1.15)
    if log:
        axes.set_xscale("log")
    axes.grid(visible=True, color="#dddddd", linewidth=0.6)
    canvas.draw()
    (left, right), (foot, upper) = axes.get_xlim(), axes.get_ylim()
    numbers = (left, right, foot, upper)
    corners = [(left, foot), (right, foot), (left, upper)]
    shown = axes.transData.transform(np.column_stack([flow, head]))
    frame = axes.transData.transform(np.array(corners))
    made = io.BytesIO()
    figure.savefig(made, format="png", dpi=100)
    image = Image.open(made).convert("RGB")
    turn = chance.uniform(-3, 3) if number % 2 else 0.0
    if number % 2:
        image = image.rotate(turn, resample=Image.Resampling.BICUBIC, fillcolor="white")
        grain = np.random.default_rng(number).normal(0, 6, (HEIGHT, WIDTH, 1))
        pixels = np.asarray(image.convert("L").convert("RGB"), dtype=float) + grain
        image = Image.fromarray(np.clip(pixels, 0, 255).astype("uint8"))
    angle = np.radians(turn)
    middle = np.array([WIDTH / 2, HEIGHT / 2])

    def placed(points: "np.ndarray[Any, Any]") -> "np.ndarray[Any, Any]":
        """Pixels of the rotated picture, from the top left."""
        down = np.column_stack([points[:, 0], HEIGHT - points[:, 1]]) - middle
        across = down @ np.array([[np.cos(angle), -np.sin(angle)], [np.sin(angle), np.cos(angle)]])
        return across + middle

    out = io.BytesIO()
    image.save(out, format="PNG")
    ends = tuple((float(x), float(y)) for x, y in placed(frame))
    return Datasheet(out.getvalue(), flow, head, placed(shown), ends, numbers, (log, False))


def worst_error(sheet: Datasheet, rows: str) -> float:
    """Largest distance of a point read from the true curve, as a share of full scale."""
    scale_q, scale_h = sheet.flow.max(), sheet.head.max()
    fine = np.linspace(0, 1, 4000)
    at = np.linspace(0, 1, len(sheet.flow))
    line_q, line_h = np.interp(fine, at, sheet.flow), np.interp(fine, at, sheet.head)
    worst = 0.0
    for row in rows.splitlines():
        q, h = (float(text) for text in row.split(","))
        away = np.hypot((line_q - q) / scale_q, (line_h - h) / scale_h)
        worst = max(worst, float(away.min()))
    return worst


def open_sheet(tab: Any, started: Started, sheet: Datasheet, folder: Path) -> Any:
    """The page with the picture open and the three corners marked."""
    path = folder / "paper.png"
    path.write_bytes(sheet.png)
    tab.goto(f"{started.address}pump")
    tab.set_input_files("#file", str(path))
    tab.locator(f"#paper[width='{WIDTH}']").wait_for()
    if sheet.logs[0]:
        tab.check("#flow-log")
    for key, number in zip(_EDGES, sheet.numbers, strict=True):
        tab.fill(f"#at-{key}", f"{number:.6g}")
    for place in sheet.frame:
        click(tab, place)
    return tab


def click(tab: Any, place: tuple[float, float]) -> None:
    """A click at a pixel of the picture."""
    box = tab.locator("#paper").bounding_box()
    tab.locator("#paper").click(
        position={"x": place[0] * box["width"] / WIDTH, "y": place[1] * box["height"] / HEIGHT}
    )


# Linear, rotated, logarithmic and gray among the first; the long run takes all twenty.
QUICK = (2, 3, 5, 7)
EVERY = [n if n in QUICK else pytest.param(n, marks=pytest.mark.extended) for n in range(20)]


@pytest.mark.parametrize("number", EVERY)
def test_a_curve_is_read_from_its_picture(
    tab: Any, started: Started, folder: Path, number: int
) -> None:
    sheet = render(number)
    open_sheet(tab, started, sheet, folder)
    for index in (0, 12, 24, 36, 48, 59):
        click(tab, tuple(sheet.places[index]))
    clicked = tab.input_value("#points")
    assert len(clicked.splitlines()) == 6
    assert worst_error(sheet, clicked) < BY_CLICKS
    tab.click("#follow")
    click(tab, tuple(sheet.places[30]))
    followed = tab.input_value("#points")
    assert len(followed.splitlines()) >= 8
    assert worst_error(sheet, followed) < BY_FOLLOWING
    flows = [float(row.split(",")[0]) for row in followed.splitlines()]
    span = (max(flows) - min(flows)) / (sheet.flow.max() - sheet.flow.min())
    assert span > 0.9


def test_a_pump_is_taken_from_paper_to_a_loop(tab: Any, started: Started, folder: Path) -> None:
    sheet = render(0)
    open_sheet(tab, started, sheet, folder)
    for index in (0, 12, 24, 36, 48, 59):
        click(tab, tuple(sheet.places[index]))
    tab.fill("#name", "demo-from-paper")
    tab.click("#check")
    tab.wait_for_selector("#told.done")
    tab.click("#save")
    tab.get_by_text("Saved as").wait_for()
    pump = read_pump(folder / "demo-from-paper.toml")
    assert pump.shutoff_head == pytest.approx(sheet.head[0] * FOOT, rel=BY_CLICKS)
    tab.goto(f"{started.address}bench/kittiwake.toml")
    tab.locator("#rows summary", has_text="demo-ac-350").click()
    assert tab.locator("#pump-names option[value='demo-from-paper.toml']").count() == 1
    field = tab.locator("#rows").get_by_label("curve")
    field.fill("demo-from-paper.toml")
    field.press("Tab")
    tab.locator("#verdict .pump", has_text="demo-from-paper").wait_for()


PLATE = {"name": "demo-plate", "runs_on": "12 V DC", "port": "3/4 in", "self_priming": "no"}


def test_only_the_nameplate_gives_an_estimate_and_says_so() -> None:
    given = {**PLATE, "most_flow": "250 gal/h", "most_head": "9 ft", "note": "seen on board"}
    name, text = pump_file(given)
    table = tomllib.loads(text)
    assert (name, table["note"]) == ("demo-plate.toml", "seen on board")
    checked = checked_curve(given)
    assert checked["points"][0][1] == pytest.approx(9 * FOOT)
    assert "estimate" in checked["remarks"][0]
    assert checked["beside"]["name"].startswith("demo-")


def test_a_pasted_table_says_its_units_itself() -> None:
    table = "Head (m);Flow (L/min)\n4,0;0\n3,0;8\n1,0;15"
    curve = checked_curve({**PLATE, "points": table})
    assert curve["read"][0] == pytest.approx([0.0, 4.0])
    assert curve["read"][2] == pytest.approx([15 / 60_000, 1.0])


@pytest.mark.parametrize(
    ("change", "told"),
    [
        ({"name": ""}, SAY("pump-no-name")),
        ({"name": "../x", "most_flow": "250 gal/h", "most_head": "9 ft"}, SAY("pump-name")),
        ({"runs_on": "115 V"}, "60 Hz"),
        ({"most_flow": "250"}, "unit"),
        ({"points": "0, 3\n1, 2"}, "units"),
        ({"points": "flow L/min, head m\n0, 3\n1, 4\n2, 5"}, "fall"),
        ({"points": "x" * 30_000}, SAY("pump-points", most=20)),
        ({"note": 3}, SAY("pump-text", name="note", most=200)),
        ({}, "nameplate"),
    ],
)
def test_what_makes_no_pump_is_told(change: dict[str, Any], told: str) -> None:
    with pytest.raises(JobError, match=re.escape(told)):
        pump_file({**PLATE, **change})


@pytest.fixture(scope="module")
def pdf() -> bytes:
    """Two pages, the second twice as wide as high."""
    canvas = Canvas(made := io.BytesIO(), pagesize=(300, 400))
    canvas.drawString(20, 20, "first")
    canvas.showPage()
    canvas.setPageSize((400, 200))
    canvas.drawString(20, 20, "second")
    canvas.showPage()
    canvas.save()
    return made.getvalue()


@pytest.mark.skipif(find_spec("pypdfium2") is None, reason="pypdfium2 is not installed")
def test_a_page_of_a_pdf_is_a_picture(pdf: bytes) -> None:
    picture = Image.open(io.BytesIO(page_picture(pdf, 2)))
    assert picture.width == pytest.approx(2 * picture.height, abs=2)
    with pytest.raises(JobError, match=re.escape(SAY("pdf-pages", count=2))):
        page_picture(pdf, 3)
    with pytest.raises(JobError, match=re.escape(SAY("pdf-not-read"))):
        page_picture(pdf[:300], 1)


def test_without_its_reader_a_pdf_says_what_to_install(
    pdf: bytes, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("loop.page.pdf.find_spec", lambda name: None)
    with pytest.raises(JobError, match=re.escape(SAY("pdf-no-reader"))):
        page_picture(pdf, 1)
    monkeypatch.undo()
    with pytest.raises(JobError, match=re.escape(SAY("pdf-not-read"))):
        page_picture(b"\x89PNG", 1)


def test_a_picture_made_to_fill_the_memory_is_refused_by_its_stated_size(
    tab: Any, started: Started, folder: Path
) -> None:
    # A picture of a few bytes that claims to be 60,000 pixels each way.
    header = struct.pack(">IIBBBBB", 60_000, 60_000, 8, 2, 0, 0, 0)
    chunk = b"IHDR" + header
    (folder / "bomb.png").write_bytes(
        b"\x89PNG\r\n\x1a\n" + struct.pack(">I", 13) + chunk + struct.pack(">I", zlib.crc32(chunk))
    )
    tab.goto(f"{started.address}pump")
    tab.set_input_files("#file", str(folder / "bomb.png"))
    tab.get_by_text("This picture cannot be shown").wait_for()
    assert tab.locator("#capture").is_hidden()
