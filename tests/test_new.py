"""`loop new`: its questions, asked and unattended, and the job it writes."""

import os
import re
import subprocess
import sys
from pathlib import Path

import pytest

from loop.check import check
from loop.cli import COMMANDS
from loop.job import JobError, parse_toml, read_job
from loop.job.draft import draft
from loop.job.guesses import guesses
from loop.job.questions import (
    DONT_KNOW,
    EVERY,
    QUESTIONS,
    answer_error,
    complete_answers,
    pumps_that_fit,
    read_answer,
    usual_answer,
)
from loop.margins.guesses import ranked_guesses
from loop.units import parse
from loop.words.commands import SAY
from loop.words.help import ANSWERS as HELP
from tests.command_line import loop

ANSWERS = {
    "title": 'Sanderling, "owner\'s" cabin',
    "units": "si",
    "sea_temperature": "24 degC",
    "salinity": "brackish",
    "cooling": "9000 BTU/h",
    "supply": "12 V",
    "pump": "demo-dc-320",
    "bore": "3/4 in",
    "lining": "smooth plastic",
    "intake_height": "-50 cm",
    "pump_height": "-30 cm",
    "suction_length": "1.6 m",
    "strainer_loss": "3 kPa at 15 L/min",
    "unit_height": "40 cm",
    "unit_loss": "12 kPa at 14 L/min",
    "outlet_height": "10 cm",
    "pressure_length": "6 m",
}


def options(answers: dict[str, str]) -> list[str]:
    """The answers as options of the command."""
    return [word for k, v in answers.items() for word in (f"--{k.replace('_', '-')}", v)]


def usual_answers(**given: str) -> dict[str, str]:
    """An answer to every question, the usual one unless given."""
    return complete_answers(given)[0]


def test_every_question_has_its_option() -> None:
    shown = loop("new", "--help").stdout
    assert set(ANSWERS) == set(EVERY)
    assert len(QUESTIONS) <= 12
    for name in EVERY:
        assert f"--{name.replace('_', '-')} " in shown


def test_unattended_it_writes_a_job_that_checks(tmp_path: Path) -> None:
    file = tmp_path / "boat.toml"
    result = loop("new", file, "--yes", width=400)
    assert result.exit_code == 0
    count = len(guesses(read_job(file)))
    assert count >= len(complete_answers({})[1])
    expected = SAY("new-written", file=str(file), guesses=count)
    assert " ".join(result.stdout.split()) == expected
    checked = loop("check", file, "--strict")
    assert checked.stdout.startswith("ATTENTION  ")
    assert checked.exit_code == 1
    assert {finding.code for finding in check(read_job(file)).findings} == {
        "guessed",
        "strainer-margin",
    }


def test_answers_become_the_job(tmp_path: Path) -> None:
    file = tmp_path / "boat.toml"
    assert loop("new", file, *options(ANSWERS)).exit_code == 0
    job = read_job(file)
    assert (job.title, job.units) == (ANSWERS["title"], "si")
    assert (job.water.temperature, job.water.salinity) == (24, 15)
    assert job.condenser[0].cooling == pytest.approx(parse("9000 BTU/h", "power"))
    assert (job.pump.curve.name, job.pump.supply) == ("demo-dc-320", 12)
    hoses = [part for part in job.part if part.kind == "hose"]
    assert [hose.length for hose in hoses[:2]] == pytest.approx([0.8, 0.8])
    assert sum(hose.length for hose in hoses[2:]) == pytest.approx(6)
    assert [hose.to for hose in hoses] == pytest.approx([-0.4, -0.3, 0.4, 0.1])
    assert all(hose.bore == pytest.approx(parse("3/4 in", "length")) for hose in hoses)
    assert all(hose.lining == "smooth plastic" for hose in hoses)
    assert job.intake.height == pytest.approx(-0.5)
    assert job.part[-1].height == pytest.approx(0.1)


def test_losses_are_marked_as_estimates_until_they_are_given() -> None:
    estimated = draft(*complete_answers({}))
    assert estimated.count("# an estimate: replace it with the datasheet's") == 2
    given = draft(*complete_answers({"unit_loss": "1 psi at 150 gal/h"}))
    assert re.search(r'^loss = "1 psi at 150 gal/h" +# from its datasheet$', given, re.MULTILINE)
    assert given.count("# an estimate: replace it with the datasheet's") == 1


@pytest.mark.parametrize("units", ["us", "si"])
@pytest.mark.parametrize("supply", ["115 V", "230 V", "12 V", "24 V"])
@pytest.mark.parametrize("cooling", ["9000 BTU/h", "16000 BTU/h", "24000 BTU/h"])
def test_usual_answers_go_together_and_meet_the_need(units: str, supply: str, cooling: str) -> None:
    answers = usual_answers(units=units, supply=supply, cooling=cooling)
    assert not any(answer_error(name, answer, answers) for name, answer in answers.items())
    result = check(parse_toml(draft(answers)))
    assert result.verdict != "bad"
    assert result.pump.name == answers["pump"]


@pytest.mark.parametrize("units", ["us", "si"])
@pytest.mark.parametrize("name", ["intake_height", "pump_height", "unit_height", "outlet_height"])
@pytest.mark.parametrize("height", ["-9 ft", "-2.9 m"])
def test_usual_lengths_reach_to_the_heights_given(name: str, height: str, units: str) -> None:
    answers = usual_answers(**{"units": units, name: height})
    assert not any(answer_error(name, answer, answers) for name, answer in answers.items())
    assert parse_toml(draft(answers))


def test_usual_lengths_that_reach_are_kept() -> None:
    assert usual_answers(pump_height="-12 in")["suction_length"] == "4 ft"


def test_the_questions_are_as_many_as_is_said() -> None:
    readme = (Path(__file__).parent.parent / "README.md").read_text(encoding="utf-8")
    assert f"asks {len(QUESTIONS)} plain questions" in readme
    assert f"| {len(QUESTIONS)} questions, then a job file to start from |" in readme
    assert f"Ask {len(QUESTIONS)} questions" in COMMANDS["new"]


def test_common_practice_of_pump_for_a_small_unit_is_suggested() -> None:
    # Common practice: a 9,000 BTU/h unit is given a pump rated near 250 gal/h at no head.
    assert usual_answer("pump", {"cooling": "9000 BTU/h", "supply": "115 V"}) == "demo-ac-250"


def test_a_pump_given_says_its_supply(tmp_path: Path) -> None:
    file = tmp_path / "boat.toml"
    assert loop("new", file, "--yes", "--pump", "demo-dc24-450").exit_code == 0
    assert read_job(file).pump.supply == 24


@pytest.mark.parametrize(
    ("option", "answer", "why"),
    [
        (
            "--bore",
            "3/4",
            "'3/4' has no unit; units that fit: in, ft, mm, cm, m; did you mean \"3/4 in\"?",
        ),
        (
            "--sea-temperature",
            "120 degF",
            "120 degF is out of range; it must be at least 28.4 and at most 104 degF",
        ),
        ("--salinity", "50", "'50' is out of range; 0 to 42"),
        (
            "--salinity",
            "salt",
            "'salt' is not a number from 0 to 42, nor one of: sea, brackish, fresh",
        ),
        ("--units", "metric", "'metric' is not known here; use 'us' or 'si'"),
        (
            "--pump",
            "demo-ac-35",
            "no pump 'demo-ac-35' in the catalog; try demo-ac-350, demo-ac-500, demo-ac-250",
        ),
        ("--pump", "none.toml", "pump file 'none.toml' cannot be read: No such file or directory"),
        (
            "--unit-loss",
            "2 psi",
            "'2 psi' is not a rated loss, such as \"0.4 psi at 300 gal/h\"",
        ),
        (
            "--intake-height",
            "5 ft",
            "5 ft is not below the water; heights below it have a minus, as -16 in",
        ),
        (
            "--intake-height",
            "0 cm",
            "0 cm is not below the water; heights below it have a minus, as -16 in",
        ),
        ("--suction-length", "1 in", "a hose this short does not reach from -16 in to -10 in"),
    ],
)
def test_a_wrong_option_is_told_and_nothing_written(
    option: str, answer: str, why: str, tmp_path: Path
) -> None:
    file = tmp_path / "boat.toml"
    result = loop("new", file, "--yes", option, answer)
    assert (result.exit_code, result.stdout) == (2, "")
    assert result.stderr == f"{option}: {why}\n"
    assert list(tmp_path.iterdir()) == []


def test_what_a_new_job_leaves_to_be_filled_in_can_be() -> None:
    """Its commented lines are keys of their tables: heel, the outlet's position, and more."""
    text = draft(usual_answers())
    job = parse_toml(re.sub(r"^# (\w+ = )", r"\1", text, flags=re.MULTILINE))
    assert job.boat.heel > 0
    assert job.boat.wave_height > 0
    assert job.part[0].off_centre > 0
    assert job.part[-1].off_centre > 0
    check(job)


@pytest.mark.parametrize("plate", ["600gph @ 15'", "500 gph", "350 gal/h at 4 ft", "8.3 gpm 20 ft"])
def test_a_plate_in_other_words_is_answered_with_how_it_is_written(plate: str) -> None:
    why = answer_error("pump", plate, usual_answers())
    assert why is not None
    assert repr(plate) in why
    (example,) = re.findall(r'as "(.*)"$', why)
    assert answer_error("pump", example, usual_answers()) is None


@pytest.mark.parametrize(
    ("supply", "drive", "hertz"), [("115 V", "ac", 60), ("230 V", "ac", 50), ("12 V", "dc", None)]
)
def test_a_plate_becomes_a_pump_file_beside_the_job(
    supply: str, drive: str, hertz: float | None, tmp_path: Path
) -> None:
    path = tmp_path / "boat.toml"
    words = ["new", path, "--yes", "--supply", supply, "--bore", "5/8 in"]
    done = loop(*words, "--pump", "400 gal/h, 14 ft")
    assert done.exit_code == 0
    pump = read_job(path).pump.curve
    assert pump.nameplate
    assert (pump.drive, pump.rated_frequency) == (drive, hertz)
    assert pump.last_flow == pytest.approx(parse("400 gal/h", "flow"))
    assert pump.shutoff_head == pytest.approx(parse("14 ft", "length"))
    assert pump.port == pytest.approx(parse("5/8 in", "length"))
    # A mistake leaves neither file.
    for wrong in ("400 gal/h, 900 ft", "400 gal/h, 14"):
        bad = loop("new", tmp_path / "bad.toml", "--yes", "--pump", wrong)
        assert bad.exit_code == 2
        assert "--pump" in bad.stderr
    assert [one.name for one in sorted(tmp_path.iterdir())] == ["boat-pump.toml", "boat.toml"]


def test_a_pump_that_the_supply_does_not_run_is_told(tmp_path: Path) -> None:
    words = ("--supply", "12 V", "--pump", "demo-ac-350", "--bore", "0 in")
    result = loop("new", tmp_path / "boat.toml", "--yes", *words)
    assert result.exit_code == 2
    assert result.stderr.splitlines() == [
        "--pump: demo-ac-350 runs on 115 V, not on 12 V",
        "--bore: 0 in is out of range; it must be at least 0.07874 and at most 19.69 in",
    ]


def test_a_file_that_is_there_is_kept_unless_forced(tmp_path: Path) -> None:
    file = tmp_path / "boat.toml"
    file.write_text("mine")
    result = loop("new", file, "--yes")
    assert result.exit_code == 2
    assert result.stderr == f"{SAY('taken', file=str(file))}\n"
    assert file.read_text() == "mine"
    assert loop("new", file, "--yes", "--force").exit_code == 0
    assert read_job(file).title == "My boat, cabin unit"


def test_a_place_that_cannot_be_written_is_told(tmp_path: Path) -> None:
    nowhere = tmp_path / "none" / "boat.toml"
    for file, row in ((nowhere, "no-folder"), (tmp_path, "is-folder")):
        told = loop("new", file, "--yes", "--force").stderr
        assert told == f"{SAY(row, file=str(file))}\n"


def test_without_a_terminal_it_asks_nothing(tmp_path: Path) -> None:
    result = loop("new", tmp_path / "boat.toml", "--bore", "3/4 in")
    assert (result.exit_code, result.stdout) == (2, "")
    assert result.stderr == f"{SAY('new-no-terminal')}\n"


def asked(file: Path, typed: bytes, first: str = HELP["cooling"]) -> tuple[int, str]:
    """Exit status and screen of the command on a terminal; `typed` is entered after `first`."""
    pty = pytest.importorskip("pty", reason="needs a terminal")
    ours, theirs = pty.openpty()
    with subprocess.Popen(
        [sys.executable, "-m", "loop", "new", str(file)],
        stdin=theirs,
        stdout=theirs,
        stderr=theirs,
        env={**os.environ, "COLUMNS": "200", "TERM": "dumb"},
        start_new_session=True,
    ) as run:
        os.close(theirs)
        screen = b""
        try:
            while first.encode() not in screen:
                screen += os.read(ours, 4096)
            os.write(ours, typed)
            while part := os.read(ours, 4096):
                screen += part
        except OSError:  # the other end is gone: this is how Linux ends a terminal
            pass
    os.close(ours)
    return run.returncode, screen.decode()


def going_on(count: int) -> str:
    """How the command starts if answers are kept."""
    return f"{SAY.rows['new-going-on'].partition('{count}')[0]}{count}"


def test_on_a_terminal_it_asks_again_until_it_can_read_the_answer(tmp_path: Path) -> None:
    file = tmp_path / "boat.toml"
    typed = ["9000 BTU/h", "", "", "", "hot", "80 degF", *[""] * (len(QUESTIONS) - 5)]
    status, screen = asked(file, "".join(f"{line}\n" for line in typed).encode())
    assert status == 0
    assert screen.count(f"{HELP['sea_temperature']} [85 degF]") == 2
    assert "'hot' is not a number with a unit" in screen
    assert SAY("new-pumps") in screen
    assert "demo-ac-250" in screen
    job = read_job(file)
    assert job.water.temperature == pytest.approx(parse("80 degF", "temperature"))
    keys = {(guess.kind, guess.key) for guess in guesses(job)}
    assert ("unit", "cooling") not in keys
    assert ("water", "temperature") not in keys
    assert {("condenser", "loss"), ("strainer", "loss"), ("defaults", "bore")} <= keys


def test_stopped_at_once_it_leaves_nothing(tmp_path: Path) -> None:
    status, screen = asked(tmp_path / "boat.toml", b"\x04")
    assert status == 130
    assert "Stopped." in screen
    assert "Traceback" not in screen
    assert list(tmp_path.iterdir()) == []


def test_stopped_after_an_answer_the_next_run_goes_on_from_there(tmp_path: Path) -> None:
    file = tmp_path / "boat.toml"
    status, screen = asked(file, b"9000 BTU/h\n12 V\n\x04")
    assert status == 130
    assert f"\n{SAY('new-kept')}" in screen
    assert r"\n" not in screen
    assert not file.exists()
    status, screen = asked(file, b"\n" * (len(QUESTIONS) - 2), first=going_on(2))
    assert status == 0
    assert HELP["cooling"] not in screen
    job = read_job(file)
    assert job.condenser[0].cooling == pytest.approx(parse("9000 BTU/h", "power"))
    assert job.pump.supply == 12
    assert list(tmp_path.iterdir()) == [file]


def test_kept_answers_that_cannot_be_read_are_asked_again(tmp_path: Path) -> None:
    (tmp_path / ".boat.toml.answers").write_text('cooling = "cold"\nsupply = "12 V"\nbore = 3\n')
    status, screen = asked(tmp_path / "boat.toml", b"\n" * 11, first=going_on(1))
    assert status == 0
    assert HELP["cooling"] in screen


# What nobody knows


@pytest.mark.parametrize("text", ["don't know", "Don\u2019t know", "?", "DK", " unknown "])
def test_each_way_to_say_that_one_does_not_know(text: str) -> None:
    assert read_answer(text) == DONT_KNOW
    assert read_answer("3/4 in ") == "3/4 in"


@pytest.mark.parametrize("name", sorted(QUESTIONS))
def test_what_is_not_known_is_usual_and_marked_until_it_is_given(name: str) -> None:
    answers = {**{key: text for key, text in ANSWERS.items() if key in EVERY}, name: DONT_KNOW}
    assert answer_error(name, DONT_KNOW, answers) is None
    values, guessed = complete_answers(answers)
    assert guessed == {name}
    marked = guesses(parse_toml(draft(values, guessed)))
    assert marked
    assert not guesses(parse_toml(draft(*complete_answers(ANSWERS))))


def test_guesses_come_in_the_order_of_what_measuring_them_narrows() -> None:
    job = parse_toml(draft(*complete_answers({})))
    found = ranked_guesses(job)
    assert {one.guess for one in found} == set(guesses(job))
    widths = [one.width for one in found]
    assert widths == sorted(widths, reverse=True)
    assert widths[0] > 0
    # Sea temperature affects the heat; the flow stays within one or two thousandths.
    (sea,) = (one for one in found if one.guess.kind == "water")
    assert sea.width < 0.002
    assert all(one.low <= found[-1].high + 1e-9 for one in found)


def test_a_guess_of_what_the_table_does_not_hold_is_told() -> None:
    text = draft(*complete_answers({})).replace('guessed = ["height"]', 'guessed = ["hieght"]', 1)
    with pytest.raises(JobError, match=r"guessed: 'hieght' is not a value given here; one of"):
        parse_toml(text)


# Pumps to choose from


@pytest.mark.parametrize("supply", ["115 V", "12 V", "24 V", "230 V"])
def test_the_pumps_listed_run_on_the_supply_and_could_fit(supply: str) -> None:
    answers = {"cooling": "12000 BTU/h", "supply": supply}
    found = pumps_that_fit(answers)
    assert usual_answer("pump", answers) in [pump.name for pump in found]
    volts, need = parse(supply, "voltage"), parse("180 gal/h", "flow")
    for pump in found:
        assert pump.rated_supply == pytest.approx(volts, rel=0.3)
        assert pump.last_flow > need
    assert [p.last_flow for p in found] == sorted(p.last_flow for p in found)


def test_a_pump_file_beside_the_job_is_listed(tmp_path: Path) -> None:
    plate = ("--runs-on", "12 V", "--most-flow", "300 gph", "--most-head", "11 ft")
    assert loop("pumps", "--new", tmp_path / "mine.toml", *plate).exit_code == 0
    (tmp_path / "no-pump.toml").write_text("title = 'a job'")
    answers = {"cooling": "9000 BTU/h", "supply": "12 V"}
    assert "mine.toml" in [pump.name for pump in pumps_that_fit(answers, str(tmp_path))]
    file = tmp_path / "boat.toml"
    assert loop("new", file, "--yes", "--supply", "12 V", "--pump", "mine.toml").exit_code == 0
    assert read_job(file).pump.curve.nameplate


@pytest.mark.parametrize(
    ("given", "system"),
    [({}, "us"), ({"cooling": "3.5 kW"}, "si"), ({"supply": "230 V"}, "si"),
     ({"cooling": "3.5 kW", "units": "us"}, "us")],
)  # fmt: skip
def test_units_follow_how_the_first_answers_are_written(given: dict[str, str], system: str) -> None:
    assert complete_answers(given)[0]["units"] == system
