"""Everything that README tells a reader to type or write works."""

import re
from pathlib import Path
from xml.etree import ElementTree

import pytest

import loop
from tests.readme import EMPTY, ROOT, SCREEN, plain, run, screen, wrong
from tests.screen import COLUMN, ROOM, svg

TEXT = (ROOT / "README.md").read_text(encoding="utf-8")


def block(language: str, number: int = 0) -> str:
    """A fenced block of a language, the first unless a number is given."""
    return re.findall(rf"```{language}\n(.*?)```", TEXT, re.DOTALL)[number]


def test_the_job_that_readme_shows_is_checked_without_a_danger():
    result = loop.check(loop.parse_toml(block("toml")))
    assert all(finding.level != "danger" for finding in result.findings)


def test_the_python_that_readme_shows_runs(capsys, monkeypatch):
    monkeypatch.chdir(ROOT)
    exec(compile(block("python"), "README", "exec"), {})
    verdict, flow, grid = capsys.readouterr().out.split(maxsplit=2)
    assert verdict == "good"
    assert 0 < float(flow) < 1e-3
    assert grid.count("[") == 3


def test_the_fix_that_readme_shows_is_one(capsys, monkeypatch):
    monkeypatch.chdir(ROOT)
    exec(compile(block("python", 1), "README", "exec"), {"loop": loop})
    said = re.search(r"# (\w+) (\w+)$", block("python", 1), re.MULTILINE)
    assert said is not None
    assert capsys.readouterr().out.split() == list(said.groups())


def test_every_picture_is_there_and_every_command_is_named():
    for name in re.findall(r"\]\((examples/pictures/[^)]+)\)", TEXT):
        assert name.endswith(".svg") or Path(ROOT / name).stat().st_size > EMPTY, name
    from loop.cli import COMMANDS

    assert all(f"loop {name}" in TEXT for name in COMMANDS)


# Pictures of what commands print.

QUIZ = next(m for m in SCREEN.finditer(TEXT) if "loop quiz" in m["command"])


def words(picture: str) -> list[str]:
    """Texts of an SVG picture, in order."""
    found = ElementTree.fromstring(picture).iter("{http://www.w3.org/2000/svg}text")
    return ["".join(text.itertext()).replace("\N{NO-BREAK SPACE}", " ") for text in found]


def test_there_is_a_screen_of_each_way_to_learn():
    named = {match["command"].split()[1] for match in SCREEN.finditer(TEXT)}
    assert named == {"explain", "drill", "quiz"}


@pytest.mark.wording
def test_a_screen_holds_the_command_and_all_that_it_prints(tmp_path):
    picture = screen(QUIZ)
    printed = run(QUIZ["command"], QUIZ["typed"]).split()
    assert " ".join(words(picture)).split() == QUIZ["command"].split() + printed
    made = tmp_path / Path(QUIZ["file"]).name
    made.write_text(picture, encoding="utf-8")
    assert wrong(made) == ""
    made.write_text(picture.replace("Question", "Questian"), encoding="utf-8")
    assert "stale" in wrong(made)


def test_screens_ask_for_nothing_outside_and_keep_inside_their_edges():
    for match in SCREEN.finditer(TEXT):
        picture = (ROOT / match["file"]).read_text(encoding="utf-8")
        assert set(re.findall(r"\w+://[^\"]+", picture)) == {"http://www.w3.org/2000/svg"}
        assert not re.search(r"url\(|@import|href|<script|<image", picture)
        root = ElementTree.fromstring(picture)
        width, height = float(root.get("width", "")), float(root.get("height", ""))
        for text in root.iter("{http://www.w3.org/2000/svg}text"):
            right = float(text.get("x", "")) + float(text.get("textLength", ""))
            assert float(text.get("x", "")) >= ROOM - 0.01
            assert right <= width - ROOM + 0.01
            assert 0 < float(text.get("y", "")) < height


def test_runs_of_a_screen_stand_on_its_columns_in_their_colours():
    picture = svg("loop <x>", "ab \x1b[1;31mred\x1b[0m\n   \x1b[2mfaint  words\x1b[0m & more")
    runs = re.findall(r'<text x="([\d.]+)" y="([\d.]+)" textLength="([\d.]+)".*?>(.*?)<', picture)
    at = {text: (float(x), float(y), float(wide)) for x, y, wide, text in runs}
    red, faint = at["red"], next(at[text] for text in at if text.startswith("faint"))
    assert red[0] == ROOM + 3 * COLUMN
    assert faint[0] == ROOM + 3 * COLUMN
    assert faint[2] == len("faint  words") * COLUMN
    assert faint[1] > red[1]
    assert "loop &lt;x&gt;" in at
    assert (
        len(
            {
                re.search(rf'fill="(#\w+)"[^>]*>{word}', picture)[1]
                for word in ("ab", "red", "faint")
            }
        )
        == 3
    )


@pytest.mark.wording
def test_a_screen_stops_before_the_words_that_it_is_told():
    match = next(m for m in SCREEN.finditer(TEXT) if m["until"])
    whole = run(match["command"])
    shown = " ".join(words(screen(match)))
    assert f"\n{match['until']}" in whole
    assert match["until"] not in shown
    assert "points of 100" in shown


def test_the_terminal_s_codes_are_taken_out():
    assert plain("\x1b[1;4mThe water\x1b[0m") == "The water"
