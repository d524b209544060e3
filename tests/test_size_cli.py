"""`loop size` on the command line."""

import json
from functools import cache
from pathlib import Path
from typing import Any

import pytest
from typer.testing import CliRunner, Result

from loop.check import check
from loop.cli import app
from loop.job import read_job
from loop.size.recommend import MAX_DRAWS
from loop.size.worst_case import at_worst_service
from loop.words.commands import SAY as COMMAND
from loop.words.size_report import SAY
from loop.words.sizing import SAY as SIZING
from tests.said import pattern

EXAMPLE = str(Path(__file__).parents[1] / "examples" / "kittiwake.toml")
FEW = ("--bores", "1/2 in, 3/4 in, 1 in", "--pumps", "demo-ac-350", "--draws", "100")


def run(*words: str, width: int = 80) -> Result:
    return CliRunner().invoke(app, ["size", *words], env={"COLUMNS": str(width)})


@cache
def shown(width: int) -> str:
    """The answer with the few options, on a terminal of this width."""
    result = run(EXAMPLE, *FEW, width=width)
    assert result.exit_code == 0
    return result.output


@cache
def printed() -> str:
    """The same as JSON."""
    return run(EXAMPLE, *FEW, "--json").stdout


@pytest.mark.parametrize("width", [40, 60])
def test_the_answer_reads_from_choice_to_basis_within_the_width(width: int) -> None:
    rows = ("fit", "passing-title", "failing-title", "service-title", "odds-title")
    titles = [SAY(row) for row in rows]
    places = [shown(width).index(title) for title in titles]
    assert places == sorted(places)
    assert max(map(len, shown(width).splitlines())) <= width


@pytest.mark.parametrize("width", [32, 40])
def test_no_word_of_a_table_is_broken_or_cut_however_narrow(width: int) -> None:
    assert "…" not in shown(width)
    words = {word.rstrip(";:,.") for word in shown(200).split()}
    assert {word.rstrip(";:,.") for word in shown(width).split()} <= words | {"•", "flow", "chance"}


def test_json_is_the_whole_answer() -> None:
    data = json.loads(printed())
    assert len(data["options"]) == 6
    assert data["options"][data["choice"]]["passes"]


def test_mistakes_are_told_at_once_with_status_2() -> None:
    result = run(EXAMPLE, "--bores", "3/4", "--pumps", "demo-none", "--confidence", "2")
    assert result.exit_code == 2
    lines = result.stderr.splitlines()
    assert [line.split(":")[0] for line in lines] == ["--bores 1", "--pumps 1", "--confidence"]
    assert result.stdout == ""


@pytest.mark.parametrize(
    ("option", "value"), [("--draws", 0), ("--draws", MAX_DRAWS + 1), ("--seed", -1)]
)
def test_a_number_out_of_range_names_its_option(option: str, value: int) -> None:
    result = run(EXAMPLE, option, str(value))
    assert result.exit_code == 2
    assert option in result.stderr
    assert EXAMPLE not in result.stderr


def test_the_answer_is_drawn_where_asked(tmp_path: Path) -> None:
    figure = tmp_path / "answer.svg"
    assert run(EXAMPLE, *FEW, "--figure", str(figure)).exit_code == 0
    assert figure.read_text().rstrip().endswith("</svg>")


def test_the_choice_is_written_where_asked_and_checks_good(tmp_path: Path) -> None:
    file, job = tmp_path / "fitted.toml", tmp_path / "job.toml"
    text = Path(EXAMPLE).read_text(encoding="utf-8")
    # Too much for the existing pump.
    text = text.replace('cooling = "12000 BTU/h"', 'cooling = "16000 BTU/h"')
    plate = 'nameplate = { flow = "520 gal/h", head = "16 ft" }'
    (tmp_path / "mine.toml").write_text(
        'name = "mine"\ndrive = "ac"\nrated_supply = "115 V"\nrated_frequency = "60 Hz"\n'
        f'port = "3/4 in"\n[curve]\n{plate}\n'
    )
    job.write_text(f'{text}\n[sizing]\npumps = ["mine.toml"]\n', encoding="utf-8")
    result = run(str(job), "--bores", "3/4 in, 1 in", "--draws", "5", "--write", str(file))
    assert result.stderr == f"{SAY('written', file=str(file))}\n"
    made = file.read_text(encoding="utf-8")
    assert all(line in made for line in text.splitlines() if line.startswith("#"))
    chosen = read_job(file)
    assert chosen.pump.curve.name == "mine"
    assert check(at_worst_service(chosen), fixes=False).verdict == "good"
    again = run(str(job), "--write", str(file))
    assert again.stderr == f"{COMMAND('taken', file=str(file))}\n"


def test_nothing_is_written_where_nothing_passes(tmp_path: Path) -> None:
    file = tmp_path / "fitted.toml"
    few = ("--bores", "1/2 in", "--pumps", "demo-ac-200", "--service-blocked", "97 %")
    result = run(EXAMPLE, *few, "--write", str(file))
    assert result.exit_code == 0
    assert result.stderr == f"{SAY('not-written', file=str(file))}\n"
    assert not file.exists()


def test_an_interrupt_leaves_no_file(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def stopped(*args: Any) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr("loop.cli.size.study", stopped)
    result = run(EXAMPLE, "--figure", str(tmp_path / "answer.svg"))
    assert result.exit_code != 0
    assert list(tmp_path.iterdir()) == []


def test_the_example_on_batteries_shows_both_walls_and_the_hours() -> None:
    job = str(Path(EXAMPLE).with_name("sandpiper.toml"))
    shown = " ".join(run(job, "--draws", "50", width=100).output.split())
    assert pattern(SIZING, "wall-smaller-pressure").search(shown)
    assert SAY("stated-title") in shown


def test_the_same_seed_gives_the_same_answer_to_the_last_digit() -> None:
    words = [EXAMPLE, *FEW, "--seed", "5", "--json"]
    one, other = run(*words), run(*words)
    assert one.exit_code == 0
    assert one.stdout == other.stdout


@pytest.mark.wording
def test_checks_are_counted_apart_from_options() -> None:
    """One option may be checked more than once, and a checked option may not be shown."""
    studied = json.loads(printed())["studied"]
    said = " ".join(run(EXAMPLE, *FEW, "--all", width=200).output.split())
    assert f"; {studied['options']} were studied, with {studied['checks']} full checks." in said
