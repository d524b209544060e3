"""A class: marked by belief, repeated over time, and printed with individual numbers."""

import io
from datetime import date
from pathlib import Path

import pytest
from pypdf import PdfReader
from typer.testing import CliRunner

from loop.cli import app
from loop.job import JobError
from loop.sheet.worksheets import answers, worksheets
from loop.teach.classroom import (
    Class,
    Pupil,
    Sheet,
    by_belief,
    questions_of,
    read_class,
    report,
    unanswered_sheets,
)
from loop.words.course import SAY
from tests.said import pattern

TOPICS = ("box-number", "suction", "gauge")
DAY = date(2026, 3, 2)
EXAMPLE = str(Path(__file__).parent.parent / "examples" / "lessons" / "class.toml")


def class_of(*pupils: Pupil) -> Class:
    return Class(title="Spring", topics=TOPICS, pupil=pupils)


def answered(of: Class, pupil: Pupil, held: str = "") -> Pupil:
    """A student with one sheet: all right, except for the topic of the belief held."""
    (sheet,) = pupil.sheet
    chosen = [
        question.lettered[question.tempting if question.topic == held else question.right][0]
        for question in questions_of(of, pupil, sheet)
    ]
    done = sheet.model_copy(update={"answers": " ".join(chosen), "date": DAY})
    return pupil.model_copy(update={"sheet": (done,)})


def test_a_pupil_is_marked_by_belief_and_repeats_what_was_wrong() -> None:
    ana, ben = (Pupil(name=name, sheet=(Sheet(number=1),)) for name in ("Ana", "Ben"))
    of = class_of(ana, ben)
    first, second = (report(of, answered(of, one, "suction")) for one in (ana, ben))
    assert first.marked[0].right == 2
    assert first.beliefs == {"suction": 1}
    assert first.again["suction"] == date(2026, 3, 3)
    assert first.again["gauge"] == date(2026, 3, 5)
    assert next(iter(first.again)) == "suction"
    assert by_belief([first, second]) == {"suction": ["Ana", "Ben"]}
    assert report(of, answered(of, ana)).beliefs == {}


def test_every_pupil_has_numbers_of_their_own_and_keeps_them() -> None:
    ana, ben = (Pupil(name=name, sheet=(Sheet(number=1), Sheet(number=2))) for name in ("A", "B"))
    of = class_of(ana, ben)
    asked = {
        (one.name, sheet.number): questions_of(of, one, sheet)
        for one in of.pupil
        for sheet in one.sheet
    }
    texts = {key: tuple(q.text for q in found) for key, found in asked.items()}
    assert len(set(texts.values())) == 4
    assert questions_of(of, ana, ana.sheet[0]) == asked["A", 1]
    for found in asked.values():
        assert tuple(q.topic for q in found) == TOPICS


def test_the_worksheets_hold_the_questions_and_the_key_the_answers() -> None:
    ana, ben = (Pupil(name=name, sheet=(Sheet(number=1),)) for name in ("Ana", "Ben"))
    of = class_of(ana, ben)
    sheets = unanswered_sheets(of)
    pages = PdfReader(io.BytesIO(worksheets(sheets, "a4"))).pages
    assert len(pages) == 2
    key = " ".join(
        " ".join(page.extract_text().split())
        for page in PdfReader(io.BytesIO(answers(sheets, "a4"))).pages
    )
    for one, page in zip(of.pupil, pages, strict=True):
        said = " ".join(page.extract_text().split())
        assert one.name in said
        for question in questions_of(of, one, one.sheet[0]):
            assert question.text in said
            assert question.right_answer in key
            assert question.right_answer in said  # among the choices
            assert question.why not in said


def test_a_class_may_be_a_csv_file(tmp_path: Path) -> None:
    path = tmp_path / "class.csv"
    path.write_text(
        "pupil,sheet,topics,date,answers\n"
        "Ana,1,ends suction,2026-03-02,a-\nAna,2,ends,,\nBen,,,,\n",
        encoding="utf-8",
    )
    of = read_class(path)
    assert [pupil.name for pupil in of.pupil] == ["Ana", "Ben"]
    ana = report(of, of.pupil[0])
    assert [one.answer for one in ana.marked[0].entries] == ["a", "-"]
    assert not ana.marked[0].entries[1].right
    assert len(unanswered_sheets(of)) == 1
    assert report(of, of.pupil[1]).marked == ()


@pytest.mark.wording
@pytest.mark.parametrize(
    ("name", "text", "said"),
    [
        ("c.toml", "pupil = 3", "pupil"),
        (
            "c.toml",
            '[[pupil]]\nname = "A"\n[[pupil.sheet]]\nnumber = 1\ntopics = ["x"]',
            "no topic",
        ),
        ("c.toml", "[[pupil", "array declaration"),
        ("c.csv", "name\nAna\n", "must begin with the line pupil,sheet"),
        ("c.csv", "pupil,sheet,topics,date,answers\nAna,one,,,\n", "line 2"),
    ],
)
def test_what_is_no_class_is_told(tmp_path: Path, name: str, text: str, said: str) -> None:
    path = tmp_path / name
    path.write_text(text, encoding="utf-8")
    with pytest.raises(JobError, match=said):
        read_class(path)


@pytest.mark.wording
@pytest.mark.parametrize(
    ("sheet", "said"),
    [
        (Sheet(number=1, answers="a b", date=DAY), "2 answers to 3 questions"),
        (Sheet(number=1, answers="a b z", date=DAY), "question 3: 'z': answer with a letter"),
        (Sheet(number=1, answers="a b c"), "needs its date"),
    ],
)
def test_answers_that_cannot_be_read_are_told(sheet: Sheet, said: str) -> None:
    pupil = Pupil(name="Ana", sheet=(sheet,))
    with pytest.raises(JobError, match=said):
        report(class_of(pupil), pupil)


def test_the_command_reports_and_prints(tmp_path: Path) -> None:
    done = CliRunner().invoke(app, ["class", EXAMPLE])
    assert done.exit_code == 0
    assert pattern(SAY, "class-worksheet", number="1", day="2026-03-02").search(done.output)
    assert pattern(SAY, "class-repeat-now").search(done.output)
    target = tmp_path / "class.pdf"
    assert CliRunner().invoke(app, ["class", EXAMPLE, "--print", str(target)]).exit_code == 0
    assert {path.name for path in tmp_path.iterdir()} == {"class.pdf", "class-answers.pdf"}
    assert CliRunner().invoke(app, ["class", EXAMPLE, "--print", "x.txt"]).exit_code == 2
    assert CliRunner().invoke(app, ["class", "none.toml"]).exit_code == 2


MISTAKES = [
    ('[[pupil]]\nnmae = "A"', "pupil 1 nmae: unknown key; did you mean 'name'?"),
    ('[[pupil]]\nname = "A"\n[[pupil.sheet]]\nnumber = "one"',
     "pupil 1 sheet 1 number: must be a whole number, without quotes or unit, not 'one'"),
    ('[[pupil]]\nname = "A"\n[[pupil.sheet]]\nnumber = 0',
     "pupil 1 sheet 1 number: 0 is out of range; it must be at least 1"),
    ('units = "feet"\n[[pupil]]\nname = "A"',
     "units: 'feet' is not known here; use 'us' or 'si'"),
    ('[[pupil]]\nname = "A"\n[[pupil.sheet]]\nnumber = 1\ndate = "soon"',
     "pupil 1 sheet 1 date: 'soon' is not a day in the calendar; write it as 2025-06-30"),
    ("[[pupil", "is not TOML"),
    ("", "is empty; it must hold a class"),
]  # fmt: skip


@pytest.mark.parametrize(("text", "said"), MISTAKES)
def test_a_mistake_is_told_in_words_of_the_trade(tmp_path: Path, text: str, said: str) -> None:
    path = tmp_path / "class.toml"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(JobError) as error:
        read_class(path)
    (line,) = error.value.problems
    assert line.startswith(f"{path}: {said}")


@pytest.mark.wording
@pytest.mark.parametrize(
    ("row", "said"), [("Ana,one,,,", "whole number"), ("Ana,1,,2.3.2026,", "2025-06-30")]
)
def test_a_row_of_a_table_is_told_in_them_too(tmp_path: Path, row: str, said: str) -> None:
    path = tmp_path / "class.csv"
    path.write_text(f"pupil,sheet,topics,date,answers\n{row}\n", encoding="utf-8")
    with pytest.raises(JobError, match=rf"line 2: .*{said}"):
        read_class(path)
