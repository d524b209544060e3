"""Control characters in names and titles are shown as marks in every form of answer."""

import io
import signal
import subprocess
import sys
import warnings
import xml.etree.ElementTree as ET
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pypdf import PdfReader
from typer.testing import CliRunner

from loop.check import check
from loop.cli import app
from loop.draw import picture
from loop.job import Job, JobError, parse_job
from loop.parts import Hose
from loop.plain_text import obeyed, one_line
from loop.pumps import read_pump
from loop.sheet import to_html, to_pdf
from loop.sheet.compose import sheet
from tests.loops import plain_loop

ROOT = Path(__file__).parent.parent
SIGNS = "\n\r\t\x00\x1b\x7f\x9b\u2028\u2029\u202e\u2066\ufffe\uffff\ufdd0\U0001fffe"
FALSE = "GOOD  all units fine"


def odd(sign: str) -> Job:
    """A job from Python whose every text holds this character."""
    data = plain_loop()
    data["title"] = f"Kittiwake{sign}{FALSE}"
    data["condenser"][0]["name"] = data["part"][8]["serves"] = f"sa{sign}loon"
    data["part"][2]["label"] = f"suction{sign}hose"
    return parse_job(data)


@given(st.text(st.characters() | st.sampled_from(SIGNS)))
def test_what_is_shown_is_one_line_without_signs_that_are_obeyed(text: str) -> None:
    shown = one_line(text)
    assert len(shown) == len(text)
    assert len(shown.splitlines()) <= 1
    assert not any(map(obeyed, shown))
    assert one_line(shown) == shown
    assert all(new == old or obeyed(old) for new, old in zip(shown, text, strict=True))


def test_words_of_any_writing_are_left_as_they_are() -> None:
    for text in (
        "Meerkat 2 · Bj\u00f6rn",
        "\u03c8\u03c5\u03b3\u03b5\u03af\u03bf",
        "\u05d9\u05dd",
        "\u0645\u06cc\u200c\u0634\u0648\u062f",
        "\u6d77\u6c34",
        "a\u00a0b",
        "🚤",
    ):
        assert one_line(text) == text


@pytest.mark.parametrize("sign", SIGNS, ids=lambda sign: f"U+{ord(sign):04X}")
def test_texts_in_a_job_hold_no_sign_that_is_obeyed(sign: str) -> None:
    job = odd(sign)
    hose = job.part[2]
    assert isinstance(hose, Hose)
    assert (job.title, job.condenser[0].name) == (f"Kittiwake·{FALSE}", "sa·loon")
    assert hose.label == "suction·hose"


def test_every_form_of_answer_can_be_read(tmp_path: Path) -> None:
    result = check(odd("\ufffe"))
    for figure in ("profile", "heads", "curves"):
        ET.fromstring(picture(result, figure, "svg"))
    made = sheet(result.job)
    assert "\ufffe" not in to_html(made)
    assert "sa·loon" in PdfReader(io.BytesIO(to_pdf(made))).pages[0].extract_text()


@pytest.mark.parametrize("figure", ["profile", "heads", "curves", "fouling"])
def test_figures_have_a_mark_for_what_their_faces_cannot_draw(figure: str) -> None:
    data = plain_loop()
    unit = {"kind": "condenser", "loss": "1 psi at 240 gal/h"}
    names = ["船室", "W" * 60]
    data["condenser"] = [{"name": name, "cooling": "6000 BTU/h"} for name in names]
    data["part"][8:9] = [{**unit, "serves": name, "label": name} for name in names]
    result = check(parse_job(data), fixes=False)
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        ET.fromstring(picture(result, figure, "svg"))


def test_a_title_cannot_print_a_verdict_of_its_own(tmp_path: Path) -> None:
    text = (ROOT / "examples" / "petrel.toml").read_text(encoding="utf-8")
    title = next(line for line in text.splitlines() if line.startswith("title"))
    path = tmp_path / "job.toml"
    path.write_text(text.replace(title, f'title = "Petrel\\n{FALSE}"'), encoding="utf-8")
    done = CliRunner().invoke(app, ["check", str(path)])
    assert done.exit_code == 0
    assert not any(line.startswith("GOOD") for line in done.stdout.splitlines())


def test_a_key_cannot_print_a_mistake_of_its_own(tmp_path: Path) -> None:
    path = tmp_path / "job.toml"
    path.write_text(f'[water]\ntemperature = "80 degF"\n"a\\n{FALSE}" = 1\n', encoding="utf-8")
    done = CliRunner().invoke(app, ["check", str(path)])
    assert done.exit_code == 2
    assert not any(line.startswith("GOOD") for line in done.stderr.splitlines())


def test_a_pumps_name_is_one_line(tmp_path: Path) -> None:
    text = (ROOT / "pumpcurves" / "demo-ac-350.toml").read_text(encoding="utf-8")
    path = tmp_path / "pump.toml"
    path.write_text(text.replace('"demo-ac-350"', '"demo\\nGOOD"'), encoding="utf-8")
    assert read_pump(path).name == "demo·GOOD"


def test_names_that_differ_by_such_a_sign_alone_are_the_same_name() -> None:
    data = plain_loop()
    data["condenser"] = [{"name": name, "cooling": "1 kW"} for name in ("a\tb", "a\nb")]
    with pytest.raises(JobError, match="2 units have this name"):
        parse_job(data)


@pytest.mark.skipif(
    sys.platform == "win32", reason="a stop from the keyboard comes otherwise there"
)
@pytest.mark.parametrize("loading", ["typer.core", "pydantic_core", "loop.check.judge"])
def test_a_stop_from_the_keyboard_while_libraries_load_is_without_a_traceback(loading: str) -> None:
    running = subprocess.Popen(
        [sys.executable, "-X", "importtime", "-m", "loop", "check", "examples/kittiwake.toml"],
        cwd=ROOT,
        stdout=subprocess.DEVNULL,
        stderr=subprocess.PIPE,
        text=True,
    )
    assert running.stderr is not None
    for line in running.stderr:
        if line.split("|")[-1].strip() == loading:
            break
    running.send_signal(signal.SIGINT)
    rest = running.stderr.read()
    running.wait()
    assert running.returncode in (-signal.SIGINT, 130)
    assert "Traceback" not in rest
