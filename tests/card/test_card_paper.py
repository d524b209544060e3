"""The card on paper: one side, large enough to read, calculated rather than written."""

import io
import re
from typing import Any

import pytest
from pypdf import PdfReader

from loop.card import card, to_pdf
from loop.card.faults_by_reading import Cell, Likely, faults_by_reading
from loop.card.pdf import looking
from loop.diagnose import diagnose, parse_readings
from loop.diagnose.as_built import as_built
from loop.diagnose.headline import LEADS, odds_text
from loop.words.cautions import OPENS
from loop.words.faults import fix, title
from loop.words.had import ALL
from loop.words.service_card import SAY
from loop.words.template import capital
from loop.words.to_do import DOING
from tests.card.conftest import Made
from tests.studies import study_of_no_job

# 8 mm, and the least type [pt].
ROW, TYPE = 8 * 72 / 25.4, 9.0


def _pages(data: bytes) -> tuple[list[Any], str, list[float]]:
    """Pages, text, and the type sizes used."""
    reader = PdfReader(io.BytesIO(data))
    sizes: list[float] = []

    def note(text: str, matrix: Any, placed: Any, font: Any, size: float) -> None:
        if text.strip():
            sizes.append(size)

    text = "".join(page.extract_text(visitor_text=note) for page in reader.pages)
    return list(reader.pages), text, sizes


@pytest.mark.parametrize("name", ["kittiwake", "guillemot", "eider"])
def test_a_card_on_paper_is_one_side_that_can_be_read(name: str, made: Any) -> None:
    one: Made = made(name)
    pages, text, sizes = _pages(to_pdf(one.card))
    assert len(pages) == 1
    assert min(sizes) >= TYPE
    width = float(pages[0].mediabox.width)
    assert width == pytest.approx(
        612 if one.study.instruments.job.units == "us" else 595.28, abs=0.1
    )
    assert "first" not in text.split(SAY("paper-isolate"))[1].split(".")[0]
    for words in (
        SAY("paper-isolate"),
        SAY("paper-off"),
        ALL.text(OPENS),
        "10.",
        one.card.identity,
    ):
        assert words in " ".join(text.split())


@pytest.mark.parametrize(("name", "has"), [("kittiwake", True), ("eider", True), ("petrel", False)])
def test_a_loop_with_a_bleed_is_bled_with_a_rag_at_hand(name: str, has: bool, made: Any) -> None:
    text = " ".join(_pages(to_pdf(made(name).card))[1].split())
    bleed = f"{capital(DOING['bleed'].title)}, {SAY('paper-minutes', minutes=2)}"
    assert (f"{bleed} {DOING['bleed'].hazard}" in text) == has
    assert has or "bleed" not in text


def test_six_units_and_a_boat_without_a_job_file_fit_on_one_side_too(made: Any) -> None:
    for content in (made("six").card, card(study_of_no_job(), known=("12 V",))):
        pages, _, sizes = _pages(to_pdf(content))
        assert len(pages) == 1
        assert min(sizes) >= TYPE


def test_what_is_wrong_as_built_stands_on_the_paper_too(made: Any) -> None:
    one: Made = made("petrel")
    _, text, _ = _pages(to_pdf(one.card))
    built = as_built(one.study)
    assert built
    assert built in " ".join(text.split())


def test_rows_to_write_in_are_eight_millimetres_high(made: Any) -> None:
    page = _pages(to_pdf(made("kittiwake").card))[0][0]
    heights = set()
    for operands, operator in page.get_contents().operations:
        if operator == b"l":
            heights.add(round(float(operands[1]), 1))
    apart = [low for low in heights if any(abs(high - low - ROW) < 0.2 for high in heights)]
    assert len(apart) >= 2


def test_the_table_says_what_the_diagnosis_says(made: Any) -> None:
    one: Made = made("kittiwake")
    table = faults_by_reading(one.study)
    line = next(line for line in table.lines if line.flow == SAY("faults-no-water"))
    job = one.study.instruments.job
    found = diagnose(
        job, parse_readings({"stream": "none", "pump_sound": "silent"}, job), one.study
    )
    assert line.cells[0].causes[0].fault == found.causes[0].fault == "no-power"
    seconds = [int(line.flow.split()[0]) for line in table.lines[:-1]]
    assert seconds == sorted(seconds)
    assert [len(line.cells) for line in table.lines] == [3] * len(table.lines)


def test_the_paper_sends_a_fault_to_the_step_that_fixes_it(made: Any) -> None:
    one: Made = made("kittiwake")
    for fault, step in (
        ("seacock-partly-shut", "open-seacock"),
        ("strainer-blocked", "clean-basket"),
        ("pump-air-bound", "bleed"),
    ):
        cell = Cell("", (Likely(fault, 0.6),), has=ALL, together=0.6)
        assert looking(cell, one.study) == [step]


@pytest.mark.parametrize("name", ["kittiwake", "guillemot", "six"])
def test_no_cause_below_one_half_is_named_alone(name: str, made: Any) -> None:
    for line in faults_by_reading(made(name).study).lines:
        for cell in line.cells:
            first = cell.causes[0]
            if first.probability >= LEADS:
                continue
            alone = SAY("faults-cause", cause=title(first.fault), odds=odds_text(first.probability))
            assert alone not in cell.text.lower()
            assert cell.right or cell.together >= LEADS or SAY("faults-none") in cell.text.lower()


@pytest.mark.parametrize("name", ["kittiwake", "guillemot", "six"])
def test_where_all_reads_as_it_should_nothing_is_wrong_on_the_water_side(
    name: str, made: Any
) -> None:
    one: Made = made(name)
    _, right, _ = faults_by_reading(one.study).lines[0].cells
    assert right.text == capital(fix("healthy"))
    assert looking(right, one.study) == []
    text = " ".join(_pages(to_pdf(one.card))[1].split())
    assert right.text in text


def test_every_unit_has_its_column_and_its_part_in_the_steps(made: Any) -> None:
    one: Made = made("six")
    text = " ".join(_pages(to_pdf(one.card))[1].split())
    for unit in one.study.instruments.units:
        assert f"{SAY('log-outlet')} {unit.name}" in text
    assert capital(SAY("paper-each-unit")) in text
    assert not any(f"unit of {unit.name}" in text.lower() for unit in one.study.instruments.units)


def test_every_step_begins_with_a_verb(made: Any) -> None:
    text = _pages(to_pdf(made("guillemot").card))[1]
    steps = [line.split(". ", 1)[1] for line in text.splitlines() if re.match(r"\d+\. ", line)]
    verbs = {"look", "listen", "see", "measure", "read", "open", "crack", "clean", "run"}
    assert len(steps) == 10
    assert not {step.split()[0].lower() for step in steps} - {*verbs, "back-flush"}


def test_the_same_job_makes_the_same_paper(made: Any) -> None:
    assert to_pdf(made("kittiwake").card) == to_pdf(made("kittiwake").card)
