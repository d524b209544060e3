"""The lessons: their statements agree with `check`, and their sheets can be printed."""

import io
import re
from pathlib import Path

import pytest
from pypdf import PdfReader
from rich.console import Console
from typer.testing import CliRunner

from loop.check import check
from loop.cli import app
from loop.cli.lesson import figures
from loop.job import edit, read_job
from loop.pumps import load_pump
from loop.sheet.worksheets import answers, worksheets
from loop.teach.lessons import LESSONS, Lesson, PlayedLesson, play
from loop.teach.lessons.figures import LEG_TEXT, figures_of
from loop.teach.lessons.lesson import in_units
from loop.teach.lessons.picture import GROUPS, Box, Words, head_by_group, picture, to_svg
from loop.teach.lessons.picture import Path as Drawn
from loop.teach.quiz import TOPICS
from loop.teach.worksheet import answer_sheet, lesson_sheet
from loop.units import parse
from loop.words.course import SAY

# Figures this close look the same on a gauge or with a bucket.
SAME = 0.03


@pytest.fixture(scope="module")
def played() -> list[PlayedLesson]:
    return [play(lesson) for lesson in LESSONS]


def test_there_are_ten_each_on_a_belief_of_the_quiz(played: list[PlayedLesson]) -> None:
    assert [lesson.number for lesson in LESSONS] == list(range(1, 11))
    assert len({lesson.file for lesson in LESSONS}) == 10
    assert {lesson.topic for lesson in LESSONS} <= set(TOPICS)
    assert len({one.title for one in played}) == 10


@pytest.mark.parametrize("lesson", LESSONS, ids=lambda lesson: lesson.file)
def test_every_figure_is_what_check_says_of_the_loop_so_changed(
    played: list[PlayedLesson], lesson: Lesson
) -> None:
    shown, job = played[lesson.number - 1], read_job(lesson.path)
    jobs = [job, *(edit(job, change.edits) for change in lesson.changes)]
    for column, own in zip(shown.columns, jobs, strict=True):
        result = check(own, fixes=False)
        for measure in lesson.measures:
            assert column.figures[measure.name] == measure.shown(result)


def test_every_claim_of_the_words_holds(played: list[PlayedLesson]) -> None:
    for one in played:
        figures = figures_of(column.result for column in one.columns)
        assert one.lesson.claims
        for claim in one.lesson.claims:
            name, sign, other = claim.split()
            here, there = figures[name], figures[other]
            near = abs(here - there) <= SAME * max(abs(here), abs(there))
            holds = {"=": near, ">": here > there and not near, "<": here < there and not near}
            assert holds[sign], (one.lesson.number, claim, here, there)


# What must hold if a choice comes true, by an independent reading of each lesson's text.
TRUE = {
    1: lambda f: ("less than 80", f["flow0"] < 0.8 * f["box0"]),
    2: lambda f: ("the unit", f["unit0"] > max(f["long0"], f["ends0"])),
    3: lambda f: ("more than 25", f["ends0"] > 0.25 * f["lost0"]),
    4: lambda f: ("air may stay", f["taken3"] > 0 == f["taken0"]),
    5: lambda f: ("60 to 90", 0.6 < f["clean_at0"] < 0.9),
    6: lambda f: ("not the flow", abs(f["flow1"] / f["flow0"] - 1) < SAME),
    7: lambda f: ("stays as it was", abs(f["flow1"] / f["flow0"] - 1) < SAME),
    8: lambda f: ("at the high point", f["flow2"] > f["flow1"]),
    9: lambda f: (
        "the DC pump; the AC pump hardly changes",
        f["flow1"] < 0.97 * f["flow0"] and f["flow3"] > 0.97 * f["flow2"],
    ),
    10: lambda f: ("high with the valve", f["gauge1"] > f["gauge0"] > f["gauge2"]),
}


def test_what_comes_true_is_what_the_figures_say(played: list[PlayedLesson]) -> None:
    for one in played:
        words, holds = TRUE[one.lesson.number](figures_of(c.result for c in one.columns))
        assert words in one.choices[one.right]
        assert holds


def test_a_hose_runs_full_in_words_where_check_takes_no_head_for_air(
    played: list[PlayedLesson],
) -> None:
    for one in played:
        for column in one.columns:
            legs = column.result.point.legs
            said = column.figures.get("air")
            assert said is None or (said == LEG_TEXT["full"]) == (legs[0].head_taken == 0)


def test_no_place_among_the_choices_is_right_more_often_than_not(
    played: list[PlayedLesson],
) -> None:
    places = [one.right for one in played]
    assert all(0 <= one.right < len(one.choices) for one in played)
    assert all(places.count(place) <= len(places) / 2 for place in places)


def test_every_number_in_the_words_is_filled_in_either_system(played: list[PlayedLesson]) -> None:
    for lesson, us in zip(LESSONS, played, strict=True):
        si = play(lesson, "si")
        for one in (us, si):
            texts = (one.title, one.predict, *one.choices, one.reveal, one.see, one.explain,
                     one.exercise, one.answer, *(c.name for c in one.columns))  # fmt: skip
            for text in texts:
                assert not re.search(r"[{}\[\]|—]|\bnan\b", text), text
        said = " ".join((si.title, si.predict, si.see, si.exercise, si.answer))
        assert not re.search(r"\d (gal/h|psi|ft|°F)\b", said), said


def test_the_sums_that_the_words_have_done_are_right(played: list[PlayedLesson]) -> None:
    """The exercises, solved independently: the pump's curve, areas, affinity, heights."""
    curve = load_pump("demo-ac-250")
    flow, head = parse("119 gal/h", "flow"), parse("7.9 ft", "length")
    assert float(curve.head(flow)) == pytest.approx(head, rel=0.02)
    assert parse("8 ft", "length") * (119 / 120) ** 2 == pytest.approx(head, rel=0.01)
    points = [(flow, head) for flow, head, _ in played[0].given[1:]]
    taken = [parse("8 ft", "length") * (parse(f, "flow") / parse("120 gal/h", "flow")) ** 2
             for f, _ in points]  # fmt: skip
    makes = [parse(h, "length") > took for (_, h), took in zip(points, taken, strict=True)]
    last = makes.index(False)
    assert [points[last - 1][0], points[last][0]] == ["110 gal/h", "140 gal/h"]
    assert not any(blank for _, _, blank in played[0].given[1:])
    assert "1.56 times" in played[2].answer
    assert pytest.approx(1.56, rel=0.005) == 0.8**-2
    assert "0.89 ft/s" in played[3].answer
    assert pytest.approx(2 / 1.5**2, rel=0.005) == 0.889
    assert "16 times" in played[4].answer
    assert "34 in" in played[7].answer
    assert "6.75 ft" in played[8].answer
    assert pytest.approx(6.75) == 12 * (9 / 12) ** 2


def test_the_strainers_figures_follow_from_the_formula_of_the_lesson(
    played: list[PlayedLesson],
) -> None:
    """The basket's 0.7 by the square of its velocity, the housing's 0.3 unchanged."""
    lesson = played[4]
    f = figures_of(column.result for column in lesson.columns)
    for number, blocked in ((1, 0.25), (2, 0.5), (3, 0.75), (4, 0.9)):
        grown = 0.3 + 0.7 / (1 - blocked) ** 2
        less = (f[f"flow{number}"] / f["flow0"]) ** 2
        assert f[f"strainer{number}"] == pytest.approx(f["strainer0"] * grown * less, rel=1e-3)
    assert pytest.approx(3.1) == 0.3 + 0.7 * 2**2
    assert pytest.approx(11.5) == 0.3 + 0.7 * 4**2
    assert all(f"= {times} times" in lesson.explain for times in (3.1, 11.5))
    assert "11.5 times" in lesson.answer


def test_half_the_strainer_saves_less_than_half_the_unit(played: list[PlayedLesson]) -> None:
    """As the answer to lesson 2's exercise says."""
    stations = {s.label: s.head_loss for s in played[1].columns[0].result.point.stations}
    assert stations["strainer"] < stations["unit"] / 2


def test_quantities_in_words_are_shown_in_the_readers_units() -> None:
    assert in_units("[3/4 in|bore] and [8 ft|head]", "us") == "3/4 in and 8 ft"
    assert in_units("[3/4 in|bore] and [8 ft|head]", "si") == "19 mm and 2.44 m"


def test_the_bars_of_a_picture_are_the_pumps_head(played: list[PlayedLesson]) -> None:
    for one in played:
        for column in one.columns:
            assert sum(head_by_group(column.result).values()) == pytest.approx(
                column.result.pump.head, abs=1e-4
            )
        drawn = picture(one, one.lesson.with_line)
        bars = [shape for shape in drawn.shapes if isinstance(shape, Box)]
        assert all(0 <= bar.x <= bar.x + bar.width <= drawn.width + 0.1 for bar in bars)
        words = " ".join(shape.text for shape in drawn.shapes if isinstance(shape, Words))
        for column in one.columns:
            assert column.name in words
        svg = to_svg(drawn)
        assert svg.startswith("<svg ")
        assert "nan" not in svg


def test_the_lines_of_a_picture_show_where_air_is_before_and_after(
    played: list[PlayedLesson],
) -> None:
    """Lesson 8: a leg holds air as it is and with a bleed at the dip, none once it is fixed."""
    bleeding = played[7]
    drawn = picture(bleeding, with_line=True)
    air = [
        one for one in drawn.shapes if isinstance(one, Drawn) and one.color == GROUPS["picture-air"]
    ]
    legs = [[leg.state for leg in column.result.point.legs] for column in bleeding.columns]
    assert [state == "full" for states in legs for state in states] == [False, False, True]
    assert len(air) == 2
    # In the drawings of the first two, each in its third of the width.
    assert max(x for one in air for x, _ in one.points) < drawn.width * 2 / 3
    # Each falls: in a picture downwards.
    assert all(one.points[0][1] < one.points[-1][1] for one in air)
    words = [shape.text for shape in drawn.shapes if isinstance(shape, Words)]
    assert words.count(LEG_TEXT["full"]) == 1
    assert words.count(LEG_TEXT["either"]) + words.count(LEG_TEXT["air"]) == 2


@pytest.mark.parametrize("page", ["letter", "a4"])
def test_the_sheets_are_pages_of_paper(played: list[PlayedLesson], page: str) -> None:
    asked = PdfReader(io.BytesIO(worksheets([lesson_sheet(one) for one in played], page)))  # type: ignore[arg-type]
    key = PdfReader(io.BytesIO(answers([answer_sheet(one) for one in played], page)))  # type: ignore[arg-type]
    assert len(asked.pages) == len(played)
    sizes = {(round(p.mediabox.width), round(p.mediabox.height)) for p in asked.pages}
    assert sizes == {(612, 792) if page == "letter" else (595, 842)}
    text = [" ".join(p.extract_text().split()) for p in asked.pages]
    for one, said in zip(played, text, strict=True):
        assert one.title in said
        assert one.reveal not in said
    answered = " ".join(" ".join(p.extract_text().split()) for p in key.pages)
    for one in played:
        assert " ".join(one.explain.split()) in answered


@pytest.mark.parametrize("width", [80, 60, 40])
def test_a_table_breaks_no_word_at_any_width(played: list[PlayedLesson], width: int) -> None:
    for one in played:
        out = Console(width=width, file=io.StringIO())
        out.print(figures(one, width))
        printed = out.file.getvalue()  # type: ignore[attr-defined]
        assert max(len(line.rstrip()) for line in printed.splitlines()) <= width
        said = [m.label for m in one.lesson.measures] + [c.name for c in one.columns]
        said += [text for column in one.columns for text in column.figures.values()]
        words = {word for text in said for word in text.replace(":", "").split()}
        assert words <= set(printed.replace(":", "").split())


def test_the_command_plays_a_lesson_and_writes_its_sheets(tmp_path: Path) -> None:
    run = CliRunner()
    assert "Where and when to bleed" in run.invoke(app, ["lesson"]).output
    done = run.invoke(app, ["lesson", "9"], input="z\na\n")
    assert done.exit_code == 0
    for part in ("predict", "reveal", "change", "explain"):
        assert SAY(f"lesson-{part}") in done.output
    assert SAY("right") in done.output
    stopped = run.invoke(app, ["lesson", "9"], input="q\n")
    assert SAY("lesson-reveal") not in stopped.output
    paths = [str(tmp_path / name) for name in ("p.svg", "w.pdf", "a.pdf")]
    words = ["--picture", paths[0], "--worksheet", paths[1], "--answers", paths[2]]
    assert run.invoke(app, ["lesson", "4", *words, "--paper", "a4"]).exit_code == 0
    assert all(Path(path).stat().st_size > 1000 for path in paths)
    assert run.invoke(app, ["lesson", "11"]).exit_code == 2
