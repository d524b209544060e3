"""`loop diagnose` as a person runs it."""

import json
import re
from pathlib import Path

import pytest
import typer
from typer.testing import CliRunner

from loop.cli import app
from loop.cli import call as command
from loop.diagnose import Readings, diagnose, prepare, reading_text
from loop.job import read_job
from loop.words.cautions import BELOW_WATER
from loop.words.commands import SAY as COMMAND
from loop.words.diagnosis import SAY
from loop.words.faults import title
from loop.words.to_do import DOING
from tests.said import pattern
from tests.studies import study_of

EXAMPLES = Path(__file__).parent.parent / "examples"
JOB, READINGS = EXAMPLES / "kittiwake.toml", EXAMPLES / "readings-strainer.toml"


def run(*words: object, typed: str | None = None) -> tuple[int, str, str]:
    result = CliRunner().invoke(app, ["diagnose", *map(str, words)], typed)
    assert result.exception is None or isinstance(result.exception, SystemExit)
    return result.exit_code, result.stdout, result.stderr


def test_the_example_names_the_strainer_first():
    code, out, _ = run(JOB, READINGS)
    assert code == 0
    # Several faults would read like this: no cause is the headline; the next step is.
    flat, step = " ".join(out.split()), DOING["open-seacock"].title
    assert flat.startswith(SAY("headline-none-leads", step=step))
    rows = (SAY("causes-title"), title("strainer-blocked"), SAY("next-title"), BELOW_WATER)
    assert all(text in flat for text in rows)


def test_a_healthy_loop_has_one_column_among_the_readings(monkeypatch):
    monkeypatch.setenv("COLUMNS", "100")
    code, out, _ = run(JOB, EXAMPLES / "readings-clean.toml")
    assert code == 0
    (heads,) = (line.split() for line in out.splitlines() if line.startswith("Reading "))
    assert heads[:3] == ["Reading", "read", "healthy"]
    assert len(heads) == len(set(heads)) > 3


def test_the_example_of_two_units_names_the_saloon():
    code, out, _ = run(EXAMPLES / "guillemot.toml", EXAMPLES / "readings-guillemot.toml", "--json")
    assert code == 0
    lead = json.loads(out)["groups"][0]
    assert all("saloon" in where for where in lead["where"])


def test_the_example_of_a_season_shows_its_drift():
    code, out, _ = run(EXAMPLES / "kittiwake-season.toml", "--drift")
    assert code == 0
    assert "commissioning" in out
    assert pattern(SAY, "drift-later").search(" ".join(out.split()))["date"].startswith("202")


def test_what_was_read_under_way_has_its_row(monkeypatch, tmp_path):
    """With what a loop at speed would read, healthy and with the likeliest fault."""
    monkeypatch.setenv("COLUMNS", "100")
    call = tmp_path / "call.toml"
    call.write_text('flow = "225 gal/h"\n[under_way]\nflow = "120 gal/h"\n')
    code, out, _ = run(JOB, call)
    assert code == 0
    rows = [line.split("  ") for line in out.splitlines() if "gal/h" in line]
    found = {one[0].strip(): [text.strip() for text in one[1:] if text.strip()] for one in rows}
    assert found["flow"][0] == "225 gal/h"
    at_speed = found[SAY("row-reading", reading="flow", at_speed="")]
    assert at_speed[0] == "120 gal/h"
    assert len(at_speed) == len(found["flow"]) >= 3
    _, out, _ = run(JOB, "-r", "flow=225 gal/h")
    assert SAY("row-reading", reading="flow", at_speed="") not in out


def test_what_was_read_after_a_step_has_its_row(monkeypatch, tmp_path):
    monkeypatch.setenv("COLUMNS", "140")
    call = tmp_path / "call.toml"
    call.write_text(
        'stream = "weak"\n[[step]]\ndid = "clean-basket"\nsaw = "dirty"\nflow = "150 gal/h"\n'
    )
    code, out, _ = run(JOB, call)
    assert code == 0
    row = SAY("row-reading", reading="flow", after=DOING["clean-basket"].title)
    assert out.split(row)[1].split()[:2] == ["150", "gal/h"]


def test_what_is_wrong_as_built_is_said_once():
    job = EXAMPLES / "petrel.toml"
    study = study_of("petrel")
    low = diagnose(study.instruments.job, {"stream": "weak", "flow": "150 gal/h"}, study)
    assert low.as_built
    assert low.as_built in low.headline
    _, out, _ = run(job, "-r", "stream=weak", "-r", "flow=150 gal/h")
    assert " ".join(out.split()).count(low.as_built) == 1
    lead = diagnose(study.instruments.job, {"strainer_seen": "dirty", "stream": "weak"}, study)
    assert lead.as_built not in lead.headline
    _, out, _ = run(job, "-r", "stream=weak", "-r", "strainer_seen=dirty")
    assert " ".join(out.split()).count(f"{lead.as_built}. ") == 1


def test_each_way_to_take_a_step_begins_with_a_capital():
    for job in (JOB, EXAMPLES / "petrel.toml"):
        _, out, _ = run(job, "-r", "stream=weak", "-r", "flow=150 gal/h")
        ways = re.findall(rf"^ +{SAY('expect-how')}: (.)", out, re.MULTILINE)
        assert len(ways) == 3
        assert all(map(str.isupper, ways))


def test_narrow_terminals_lose_nothing(monkeypatch):
    monkeypatch.setenv("COLUMNS", "60")
    _, out, _ = run(JOB, READINGS)
    assert max(len(line) for line in out.splitlines()) <= 60
    assert "109 gal/h" in out


def test_json_of_readings_on_the_command_line():
    code, out, _ = run(JOB, "-r", "flow=110 gal/h", "-r", "stream=steady", "--json")
    assert code == 0
    assert json.loads(out)["causes"][0]["fault"] == "strainer-blocked"


def test_readings_are_words_or_options_alike(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    unit = ("--unit", "12000 BTU/h", "--json")
    for boat in ((JOB,), unit):
        said = run(*boat, "-r", "stream=weak", "-r", "flow=150 gal/h", "--json")
        assert said == run(*boat, "stream=weak", "flow=150 gal/h", "--json")
        assert said[0] == 0
    assert run(JOB, READINGS, "pump_sound=rough") == run(JOB, READINGS, "-r", "pump_sound=rough")
    # A file may have such a name; it is read like any other.
    Path("stream=weak").write_text(READINGS.read_text(encoding="utf-8"), encoding="utf-8")
    assert run(JOB, "stream=weak") == run(JOB, READINGS)


def test_a_prior_on_the_command_line_moves_the_odds():
    _, out, _ = run(JOB, "-r", "flow=110 gal/h", "--prior", "intake-fouled=20", "--json")
    assert json.loads(out)["causes"][0]["fault"] == "intake-fouled"


@pytest.mark.parametrize(
    ("words", "said"),
    [
        ([], COMMAND("no-readings")),
        (["-r", "flwo=1 gal/h"], "'flow'"),
        (["-r", "flow=1 psi"], "gal/h"),
        (["missing.toml"], "no such file"),
        (["flow=150", "gal/h"], COMMAND("reading-or-file", word="gal/h")),
        (["weak", "flow=1 gal/h"], COMMAND("reading-or-file", word="weak")),
        (["a.toml", "b.toml"], COMMAND("readings-files", files="a.toml and b.toml")),
        (["flwo=1 gal/h"], "'flow'"),
        (["-r", "flow=9 gal/h", "--prior", "gremlins=1"], "'gremlins'"),
        (["-r", "flow=9 gal/h", "--prior", "pump-worn=lots"], "pump-worn=lots"),
        (["-r", "flow=9 gal/h", "--record", "x.toml", "--date", "soon"], "date: 'soon'"),
    ],
)
def test_mistakes_end_with_status_2_and_a_line(words, said, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    code, _, err = run(JOB, *words)
    assert code == 2
    assert said in err
    assert list(tmp_path.iterdir()) == []


def test_asked_one_at_a_time(monkeypatch):
    """A person types each answer; a typing error is asked again, Enter skips."""
    job = read_job(JOB)
    answers = iter(["steady", "flow=150 furlongs", "flow=110 gal/h", "", "done"])
    monkeypatch.setattr(typer, "prompt", lambda *args, **kwargs: next(answers))
    taken = command.asked(prepare(job), Readings())
    assert set(taken.keys) == {"stream", "flow"}
    assert next(answers, None) is None


@pytest.mark.parametrize("width", [50, 60, *range(66, 76), 100])
def test_a_visits_date_is_whole_at_any_width(width: int, monkeypatch) -> None:
    monkeypatch.setenv("COLUMNS", str(width))
    path = EXAMPLES / "kittiwake-season.toml"
    _, out, _ = run(path, "--drift")
    assert "…" not in out
    for visit in read_job(path).visit:
        assert visit.date in out


def test_what_to_expect_is_said_once_for_all_that_have_it():
    _, out, _ = run(JOB, "stream=weak")
    flat = " ".join(out.split())
    step = next(one for one in diagnose(read_job(JOB), {"stream": "weak"}).next if one.expected)
    expected = list(step.expected.values())
    assert len({*expected}) < len(expected)
    for value in {*expected}:
        said = SAY("expect-if", value=reading_text(step.reading, value, "us"), cause="")
        assert flat.count(said) == 1


def test_readings_that_no_fault_explains_name_none_in_the_headline():
    _, out, _ = run(JOB, "-r", "flow=2000 gal/h")
    flat = " ".join(out.split())
    assert pattern(SAY, "headline-no-fit").match(flat)
    assert SAY("why-not-against") not in flat


def test_the_prompt_gives_the_healthy_value_and_judges_what_was_typed(monkeypatch):
    monkeypatch.setattr("sys.stdin.isatty", lambda: True, raising=False)
    job = read_job(JOB)
    monkeypatch.setattr(typer, "prompt", answers := Answers("", "bucket=1 gal in 33 s", "done"))
    taken = command.asked(prepare(job), Readings(tools=("bucket",)))
    assert taken.texts == {"flow": "1 gal in 33 s"}
    assert answers.asked[0] == "stream (1 strong, 2 weak, 3 sputtering, 4 none)"


class Answers:
    """Typed answers in order, and what was asked for each."""

    def __init__(self, *typed: str) -> None:
        self.typed, self.asked = list(typed), []

    def __call__(self, text: str, **_: object) -> str:
        self.asked.append(text)
        return self.typed.pop(0)


def test_a_pair_is_told_from_the_list_that_it_stands_in():
    both = [title(name) for name in ("strainer-blocked", "condenser-scaled")]
    said = title("strainer-blocked + condenser-scaled")
    assert said == SAY("pair-title", first=both[0], other=both[1])
