"""`loop card` on the command line."""

import html
import re
import shutil
from pathlib import Path

from loop.words.commands import SAY
from loop.words.diagnosis import SAY as DIAGNOSIS
from tests.command_line import EXAMPLES, KITTIWAKE, loop


def test_a_card_of_a_job_is_a_page_or_paper(tmp_path: Path) -> None:
    page, paper = tmp_path / "card.html", tmp_path / "card.pdf"
    result = loop("card", KITTIWAKE, "-o", page)
    assert result.exit_code == 0
    assert result.stdout == f"{page}: Kittiwake, saloon unit\n"
    assert page.read_text(encoding="utf-8").startswith("<!DOCTYPE html>")
    assert loop("card", KITTIWAKE, "-o", paper, "--units", "si").exit_code == 0
    assert paper.read_bytes().startswith(b"%PDF")


def test_a_boat_without_a_job_file_has_a_card_that_says_so(tmp_path: Path) -> None:
    page = tmp_path / "generic.html"
    result = loop("card", "--unit", "12000 BTU/h", "--bore", "3/4 in", "--bleed", "-o", page)
    assert result.exit_code == 0
    text = page.read_text(encoding="utf-8")
    known = [
        SAY("known-unit", value="12000 BTU/h"),
        SAY("known-bore", value="3/4 in"),
        SAY("known-bleed"),
    ]
    said = html.unescape(text)
    assert "\n".join(f"<li>{one}</li>" for one in known) in said
    assert DIAGNOSIS("note-no-job") in said
    assert "Start-up and bleeding" not in text


def test_a_folder_becomes_a_fleet_with_an_index(tmp_path: Path) -> None:
    jobs, cards = tmp_path / "jobs", tmp_path / "cards"
    jobs.mkdir()
    for name in ("kittiwake", "petrel", "readings-clean"):
        shutil.copy(EXAMPLES / f"{name}.toml", jobs)
    assert loop("card", jobs, "-o", cards).exit_code == 0
    assert sorted(p.name for p in cards.iterdir()) == [
        "index.html",
        "kittiwake.html",
        "petrel.html",
    ]
    index = (cards / "index.html").read_text(encoding="utf-8")
    assert re.findall(r'href="([^"]+)"', index) == ["kittiwake.html", "petrel.html"]

    (jobs / "petrel.toml").unlink()
    (jobs / "broken.toml").write_text("title = 'B'\npart = []\n", encoding="utf-8")
    result = loop("card", jobs, "-o", cards)
    assert result.exit_code == 2
    assert "broken.toml" in result.stderr
    assert SAY("fleet-no-card") in (cards / "index.html").read_text(encoding="utf-8")
    assert result.stdout == f"{SAY('fleet-written', file=str(cards / 'index.html'), count=1)}\n"


def test_what_cannot_be_a_card_is_said_in_a_line(tmp_path: Path) -> None:
    empty, listed = tmp_path / "empty", tmp_path / "listed"
    empty.mkdir()
    listed.mkdir()
    hidden = shutil.copy(KITTIWAKE, listed / "Index.toml")  # its card would be the list itself
    for words, said in (
        ((KITTIWAKE, "-o", "card.txt"), SAY("card-ending", file="card.txt")),
        ((KITTIWAKE, "--unit", "12000 BTU/h", "-o", "card.html"), SAY("unit-or-job")),
        ((KITTIWAKE, "--bore", "1 in", "-o", "card.html"), SAY("goes-with-unit", option="--bore")),
        (("-o", "card.html"), SAY("no-job")),
        ((empty, "-o", tmp_path / "cards"), SAY("fleet-empty", folder=str(empty))),
        ((listed, "-o", tmp_path / "cards"), SAY("fleet-index", file=str(hidden))),
        ((empty, "--dc", "-o", tmp_path / "cards"), SAY("unit-or-folder")),
    ):
        result = loop("card", *words)
        assert result.exit_code == 2
        assert result.stderr == f"{said}\n"
    assert not (tmp_path / "cards").exists()
