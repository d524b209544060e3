"""Figures: no label over another, colors that survive a photocopy, truthful lines."""

import itertools
import re
from collections.abc import Iterable
from pathlib import Path

import numpy as np
import pytest
import typer
from matplotlib.colors import to_rgb

from loop.check import check
from loop.cli import draw as command
from loop.cli.options import user_errors
from loop.draw import draw, picture, profile_beside, style
from loop.draw.boxes import text_boxes
from loop.draw.labels import Labels
from loop.draw.page import Page, frame
from loop.draw.words import TEXT, clean
from loop.job import JobError
from loop.size import size
from loop.words.figures import SAY
from tests.drawn_jobs import (
    CHECKED,
    JOBS,
    VISITS,
    assert_words_apart,
    checked,
    overlap,
    plain,
)
from tests.said import is_said, pattern

KITTIWAKE = str(Path(__file__).parent.parent / "examples" / "kittiwake.toml")
FAST = ("smallest", "thirty", "six units", "no flow", "odd title")

# --- words ---------------------------------------------------------------------------------------


def pairs(names: Iterable[str]) -> list[tuple[str, str]]:
    """Loops and figures; the smallest loop is left out where it has no strainer to block."""
    every = itertools.product(names, CHECKED)
    return [pair for pair in every if pair != ("smallest", "fouling")]


@pytest.mark.parametrize(("name", "figure"), pairs(FAST))
def test_no_words_overlap_or_leave_the_page(name, figure):
    assert_words_apart(draw(checked(name), figure))


@pytest.mark.extended
@pytest.mark.parametrize("system", ["us", "si"])
@pytest.mark.parametrize(("name", "figure"), pairs(JOBS))
def test_no_words_overlap_in_any_loop(name, figure, system):
    assert_words_apart(draw(checked(name), figure, units=system))


@pytest.mark.parametrize(
    "name",
    [pytest.param(n, marks=[] if n in FAST else pytest.mark.extended) for n in JOBS],
)
def test_no_words_overlap_where_the_profile_stands_beside_text(name):
    figure = profile_beside(checked(name))
    assert figure.get_figwidth() < draw(checked("plain"), "profile").get_figwidth()
    assert_words_apart(figure)


@pytest.mark.parametrize("count", [1, 4])
@pytest.mark.parametrize("system", ["us", "si"])
def test_no_words_overlap_in_drift(count, system):
    assert_words_apart(draw(plain(visit=VISITS[:count]), "drift", units=system))


def test_no_words_overlap_in_sizes():
    assert_words_apart(draw(size(plain(sizing={"pumps": ["demo-ac-350"]})), "sizes"))


def test_every_checked_figure_says_something_of_a_network_of_two():
    for figure in CHECKED:
        assert_words_apart(draw(checked("two units"), figure, units="si"))


@pytest.mark.parametrize(("name", "parts"), [("thirty", 30), ("hundred", 100)])
def test_every_part_is_named_under_the_line(name, parts):
    texts = [text for text, _ in text_boxes(draw(checked(name), "profile"))]
    for number in range(1, parts + 1):
        assert any(text.startswith(f"{number} ") for text in texts)


def test_of_very_many_parts_only_the_numbered_ones_are_listed():
    """A key of 400 lines leaves no room for the drawing that it explains."""
    texts = [text for text, _ in text_boxes(draw(checked("hundred and one"), "profile"))]
    numbered = [text for text in texts if text.isdecimal() and text != "0"]
    listed = [found[1] for text in texts if (found := re.match(r"(\d+) hose", text))]
    assert 5 < len(listed) < 60
    assert {*listed} < {*numbered}


def test_few_parts_are_named_in_full():
    texts = [text for text, _ in text_boxes(draw(checked("plain"), "profile"))]
    for label in checked("plain").point.network.labels:
        assert label in texts


def test_labels_give_up_rather_than_overlap():
    page = Page("Title", "subtitle", "caption", 1.0)
    ax = page.panel(1.0, 0.4, 1.2, 0.5)
    frame(ax, (0, 1), (0, 1), ("", ""))
    labels = Labels(page)
    written = [labels.put(ax, "twelve words", [(0.5, 0.5)]) for _ in range(20)]
    assert written[0] is not None
    assert written[-1] is None
    boxes = [box for text, box in text_boxes(page.figure) if text == "twelve words"]
    assert not any(overlap(a, b) for a, b in itertools.combinations(boxes, 2))


def test_labels_keep_off_lines_where_there_is_room():
    page = Page("Title", "subtitle", "caption", 3.0)
    ax = page.panel(1.0, 0.4, 6.0, 2.4)
    frame(ax, (0, 1), (0, 1), ("", ""))
    labels = Labels(page)
    labels.avoid(ax, [0.0, 1.0], [0.0, 1.0])
    labels.put(ax, "beside the line", [(0.5, 0.5)], "e n")
    box = next(box for text, box in text_boxes(page.figure) if text == "beside the line")
    points = ax.transData.transform(np.column_stack([np.linspace(0, 1, 500)] * 2))
    assert box.holds(points) == 0


def test_shortened_words_fit_and_lose_no_more_than_they_must():
    text = "a strainer with a very long name indeed"
    short = TEXT.shorten(text, 1.0)
    assert TEXT.width(short) <= 1.0
    assert text.startswith(short.rstrip("…").rstrip())
    longer = text[: len(short) + 1]
    assert TEXT.width(f"{longer}…") > 1.0
    assert TEXT.shorten(text, 9.0) == text


def test_characters_that_no_face_has_become_dots():
    assert clean("tug \U0001f6a2\n boat") == "tug · boat"


@pytest.mark.filterwarnings("error")
def test_a_part_whose_name_no_face_has_is_drawn_without_a_warning():
    job = plain(suction={"label": "冷却水のホース"}, hose={"label": "船室のホース" * 6})
    profile_beside(check(job, fixes=False))


# --- colours -------------------------------------------------------------------------------------


def lightness(colour: str) -> float:
    """CIE 1976 L* of an sRGB color (IEC 61966-2-1; CIE 15:2004)."""
    linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in to_rgb(colour)]
    y = float(np.dot([0.2126, 0.7152, 0.0722], linear))
    return 116 * y ** (1 / 3) - 16 if y > 216 / 24389 else y * 24389 / 27


def test_colours_differ_in_lightness():
    """So that they stay distinct in gray, and for any kind of color blindness."""
    colors = (style.INK, style.RUST, style.TEAL, style.AMBER, style.MIST)
    levels = sorted(map(lightness, colors))
    assert min(b - a for a, b in itertools.pairwise(levels)) > 13


@pytest.mark.parametrize("colour", [style.INK, style.SOFT, style.RUST])
def test_words_stand_out_from_the_paper(colour):
    """Contrast of at least 4.5 to 1: WCAG 2.1, success criterion 1.4.3."""

    def luminance(c: str) -> float:
        level = lightness(c)
        return ((level + 16) / 116) ** 3 if level > 8 else level * 27 / 24389

    assert (luminance(style.PAPER) + 0.05) / (luminance(colour) + 0.05) > 4.5


# --- files ---------------------------------------------------------------------------------------


@pytest.mark.parametrize("kind", style.FORMATS)
def test_the_same_job_gives_the_same_file(kind):
    job_ = JOBS["plain"]
    assert picture(job_, "profile", kind) == picture(job_, "profile", kind)


@pytest.mark.parametrize(
    ("kind", "start"), [("png", b"\x89PNG"), ("svg", b"<?xml"), ("pdf", b"%PDF")]
)
def test_the_ending_gives_the_kind_of_file(tmp_path, kind, start):
    target = tmp_path / f"figure.{kind}"
    draw(checked("plain"), "curves", target)
    assert target.read_bytes().startswith(start)
    assert list(tmp_path.iterdir()) == [target]


def test_files_hold_no_date():
    assert b"<dc:date>" not in picture(checked("plain"), "heads", "svg")
    assert b"CreationDate" not in picture(checked("plain"), "heads", "pdf")


def test_another_ending_is_refused(tmp_path):
    with pytest.raises(JobError, match=pattern(SAY, "not-a-figure")):
        draw(JOBS["plain"], "curves", tmp_path / "figure.gif")
    assert not list(tmp_path.iterdir())


def test_a_folder_that_is_not_there_leaves_nothing(tmp_path):
    with pytest.raises(OSError, match="No such file"):
        draw(checked("plain"), "curves", tmp_path / "none" / "figure.png")
    assert not list(tmp_path.iterdir())


def test_a_target_that_cannot_be_replaced_leaves_nothing_beside_it(tmp_path):
    target = tmp_path / "figure.png"
    target.mkdir()
    with pytest.raises(OSError, match="directory"):
        draw(checked("plain"), "curves", target)
    assert list(tmp_path.iterdir()) == [target]


def test_the_command_writes_the_file_and_says_the_headline(tmp_path, capsys):
    target = tmp_path / "kittiwake.svg"
    command.draw(KITTIWAKE, str(target), "heads", "", "si")
    assert b"<svg" in target.read_bytes()
    said = capsys.readouterr().out
    takes = pattern(SAY, "heads-takes", part=SAY("heads-the", part="condenser"))
    assert takes.match(said.removeprefix(f"{target}: "))
    assert " m" in said


def test_the_command_sizes_for_the_figure_of_sizes(tmp_path, capsys):
    path = tmp_path / "job.toml"
    few = 'bores = ["5/8 in", "3/4 in"]\npumps = ["demo-ac-350"]'
    path.write_text(f"{Path(KITTIWAKE).read_text()}\n[sizing]\n{few}\n")
    command.draw(str(path), str(tmp_path / "sizes.png"), "sizes", "", None)
    said = capsys.readouterr().out.strip().partition(": ")[2].rstrip(".")
    assert is_said(said, SAY, "sizes-fit")


@pytest.mark.parametrize(
    ("name", "figure", "row"),
    [("a.gif", "curves", "not-a-figure"), ("a.png", "map", "no-figure")],
)
def test_the_command_refuses_in_a_line(tmp_path, capsys, name, figure, row):
    with pytest.raises(typer.Exit) as end:
        user_errors(command.draw)(KITTIWAKE, str(tmp_path / name), figure, "", None)
    assert end.value.exit_code == 2
    assert pattern(SAY, row).search(" ".join(capsys.readouterr().err.split()))
    assert not list(tmp_path.iterdir())


# --- mistakes ------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("name", "figure", "message"),
    [
        ("plain", "map", pattern(SAY, "no-figure", figure="'map'")),
        ("smallest", "fouling", re.escape(SAY("fouling-none", job=JOBS["smallest"].title))),
        ("plain", "drift", re.escape(SAY("drift-none", job=JOBS["plain"].title))),
        ("plain", "sizes", pattern(SAY, "sizes-only")),
        ("plain", "energy", re.escape(SAY("energy-none", job=JOBS["plain"].title))),
    ],
)
def test_a_figure_with_nothing_to_draw_says_why(name, figure, message):
    with pytest.raises(JobError, match=message):
        draw(JOBS[name], figure)


def test_a_branch_that_is_not_there_names_those_that_are():
    with pytest.raises(JobError, match=pattern(SAY, "no-branch", branches="branch 1, branch 2")):
        draw(checked("two units"), "profile", branch="bow")
    with pytest.raises(JobError, match=pattern(SAY, "no-branch-at-all")):
        draw(checked("plain"), "heads", branch="bow")
