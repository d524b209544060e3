"""Every answer names what nobody has measured, in one sentence, with advice that fits it."""

import json
from pathlib import Path

import pytest

from loop.check import check
from loop.diagnose import diagnose
from loop.draw import draw
from loop.job import read_job
from loop.job.draft import draft
from loop.job.guesses import guesses
from loop.job.questions import complete_answers
from loop.sweep import sweep
from loop.words.codes import CODES
from loop.words.guesses import guesses_sentence
from loop.words.template import capital
from tests.command_line import loop

MEASURED = read_job(Path(__file__).parent.parent / "examples" / "kittiwake.toml")


@pytest.fixture(scope="module")
def file(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A boat of which nobody has measured anything."""
    values, guessed = complete_answers({"title": "My boat", "units": "us"})
    target = tmp_path_factory.mktemp("guessed") / "mine.toml"
    target.write_text(draft(values, guessed), encoding="utf-8")
    return target


def test_a_job_that_was_measured_says_nothing_of_guesses() -> None:
    assert guesses_sentence(MEASURED) == ""
    assert "Guesses" not in loop("explain", _path("kittiwake")).stdout


def test_every_answer_has_the_sentence(file: Path, tmp_path: Path) -> None:
    job = read_job(file)
    said = guesses_sentence(job)
    assert said in diagnose(job, {"flow": "110 gal/h"}).notes
    assert said in sweep(job, {"part[3].length": ["5 ft"]}).to_dict()["notes"]
    for words in (
        ("diagnose", file, "-r", "flow=110 gal/h"),
        ("explain", file, "--level", "1"),
        ("sweep", file, "--vary", "part[3].length=5 ft"),
        ("draw", file, "-o", tmp_path / "x.svg"),
    ):
        assert said in " ".join(loop(*words).stdout.split()), words[0]
    told = json.loads(loop("diagnose", file, "-r", "flow=110 gal/h", "--json").stdout)
    assert said in told["notes"]


@pytest.mark.parametrize("figure", ["curves", "profile", "heads", "fouling"])
def test_every_figure_has_the_sentence_under_it(figure: str, file: Path) -> None:
    job = read_job(file)
    under = " ".join(text.get_text() for text in draw(job, figure).texts)
    assert guesses_sentence(job) in " ".join(under.split())


@pytest.mark.parametrize(
    ("address", "key", "way"),
    [
        ("condenser[1].guessed", "cooling", "plate"),
        ("part[6].guessed", "curve", "type"),
        ("part[4].guessed", "loss", "datasheet"),
        ("part[3].guessed", "length", "measure"),
        ("water.guessed", "temperature", "measure"),
    ],
)
def test_the_advice_fits_what_is_guessed(address: str, key: str, way: str) -> None:
    job = MEASURED.replace({address: [key]})
    assert [one.key for one in guesses(job)] == [key]
    sentence = guesses_sentence(job)
    (finding,) = (one for one in check(job).findings if one.code == "guessed")
    first = finding.values["first"]
    # With an extra phrase if measuring it does not narrow the band.
    rows = (CODES["guessed"].cases[case]["fix"] for case in (way, f"{way}-heat"))
    assert any(capital(row.format(first=first)) in sentence for row in rows)


def _path(name: str) -> Path:
    return Path(__file__).parent.parent / "examples" / f"{name}.toml"
