"""Output of `loop check`: for a person at any width, and for another program."""

import json
import re
from importlib import import_module
from pathlib import Path

import pytest

from loop.check import CheckResult
from loop.check import check as loop_check
from loop.job import Job, read_job
from loop.units import parse, show
from loop.words import CODES
from loop.words.check_report import SAY
from tests.command_line import EXAMPLES, JOBS, KITTIWAKE, loop, on_terminal
from tests.said import pattern

_KNOWN: dict[str, CheckResult] = {}


def check(job: Job) -> CheckResult:
    """The check of a job, calculated once for all the outputs compared."""
    key = job.model_dump_json()
    if key not in _KNOWN:
        _KNOWN[key] = loop_check(job)
    return _KNOWN[key]


@pytest.fixture(autouse=True)
def _checked_once(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(import_module("loop.cli.check"), "judge", check)


ESCAPE = "\x1b["


@pytest.mark.parametrize("path", JOBS, ids=lambda path: path.stem)
def test_check_prints_verdict_and_fix_then_flow_then_findings_then_parts(path: Path) -> None:
    answer, shown = check(read_job(path)), loop("check", path).stdout
    assert shown.startswith(f"{answer.verdict.upper()}  ")
    serious = answer.verdict != "good"
    numbers = shown.index(f"\n\n{answer.job.title}\n")
    places = [shown.index(f"\n{SAY('fix')} ")] if serious else []
    places += [numbers, *(shown.index(unit.name, numbers) for unit in answer.condensers)]
    places += [shown.index(f"\n{SAY('findings' if serious else 'notes')}\n")]
    places += [shown.index(SAY("parts-title")), shown.index(f"\n{SAY('pump-title')}  ")]
    # Cautions stand only where something is to be done.
    assert (f"\n{SAY('cautions')}\n" in shown) == serious
    assert places == sorted(places)
    for finding in answer.findings:
        assert f"{finding.level}  {CODES[finding.code].title}, " in shown


def test_check_of_one_unit_says_flow_of_need_with_its_band() -> None:
    unit = check(read_job(KITTIWAKE)).condensers[0]
    flow, need, low, high = (
        f"{value / parse('1 gal/h', 'flow'):.0f}"
        for value in (unit.flow, unit.needed_flow, unit.flow_low, unit.flow_high)
    )
    shown = loop("check", KITTIWAKE).stdout
    said = SAY("need", needed=need, band=f"{low} to {high}")
    assert f"saloon: {flow} gal/h{said}enough" in shown
    assert pattern(SAY, "warms").search(" ".join(shown.split()))


def test_flow_of_a_loop_that_runs_dry_is_that_of_one_once_primed() -> None:
    """Petrel's suction rises over a stringer above the waterline; once fixed, it does not."""
    shown = loop("check", EXAMPLES / "petrel.toml").stdout
    assert pattern(SAY, "need", needed="180").search(shown)
    assert "once primed" in shown
    dry, fixed = (
        json.loads(loop("check", EXAMPLES / f"{name}.toml", "--json").stdout)
        for name in ("petrel", "petrel-fixed")
    )
    assert (dry["starts"], fixed["starts"]) == (False, True)
    assert [unit["supply"] for unit in dry["condensers"]] == ["once primed"]
    assert [unit["supply"] for unit in fixed["condensers"]] == ["enough"]


@pytest.mark.parametrize("width", [60, 80, 120])
@pytest.mark.parametrize("name", ["petrel", "dabchick"])
def test_check_keeps_within_the_width(name: str, width: int) -> None:
    shown = loop("check", EXAMPLES / f"{name}.toml", width=width).stdout
    assert max(len(line) for line in shown.splitlines()) <= width


@pytest.mark.parametrize("width", [1, 12, 40])
def test_check_prints_something_at_any_width(width: int) -> None:
    result = loop("check", EXAMPLES / "dabchick.toml", width=width)
    assert result.exit_code == 0
    assert "GOOD" in result.stdout.replace("\n", "") or width < 10


def six_units() -> str:
    """The text of a job with six units on one manifold."""
    names = [f"cabin {number}" for number in range(1, 7)]
    units = "".join(f'[[condenser]]\nname = "{name}"\ncooling = "9000 BTU/h"\n' for name in names)
    branches = "".join(
        f'[[part.branch]]\nname = "to {name}"\n'
        '[[part.branch.part]]\nkind = "hose"\nlength = "6 ft"\nto = "10 in"\n'
        f'[[part.branch.part]]\nkind = "condenser"\nserves = "{name}"\n'
        'loss = "1.5 psi at 180 gal/h"\n'
        '[[part.branch.part]]\nkind = "discharge"\nheight = "10 in"\n'
        for name in names
    )
    return (
        'title = "Six cabins"\n[water]\ntemperature = "80 degF"\n[defaults]\nbore = "1 in"\n'
        f'{units}[[part]]\nkind = "intake"\nheight = "-16 in"\n'
        '[[part]]\nkind = "hose"\nlength = "3 ft"\nto = "-10 in"\n'
        '[[part]]\nkind = "pump"\ncurve = "demo-ac-1500"\n'
        '[[part]]\nkind = "hose"\nlength = "3 ft"\nto = "-4 in"\n'
        f'[[part]]\nkind = "manifold"\n{branches}'
    )


def test_table_of_six_units_has_a_line_each_at_width_60(tmp_path: Path) -> None:
    job = tmp_path / "six.toml"
    job.write_text(six_units())
    table = loop("check", job, width=60).stdout.partition("Notes")[0]
    for number in range(1, 7):
        row = re.search(rf"^cabin {number} .*$", table, re.MULTILINE)
        assert row is not None
        assert re.search(r"\d+ +\d+ +(enough|just enough|short) +\d+ to \d+ +[\d.]+ +\d+$", row[0])


def test_units_option_changes_what_is_shown_but_not_json() -> None:
    for units, label, other in (("si", "L/min", "gal/h"), ("us", "gal/h", "L/min")):
        shown = loop("check", KITTIWAKE, "--units", units).stdout
        assert label in shown
        assert other not in shown
    us, si = (loop("check", KITTIWAKE, "--json", "--units", u).stdout for u in ("us", "si"))
    assert json.loads(us)["condensers"] == json.loads(si)["condensers"]


def test_json_holds_the_keys_of_the_contract() -> None:
    data = json.loads(loop("check", KITTIWAKE, "--json").stdout)
    assert data["units"] == {
        "flow": "m3/s",
        "head": "m",
        "pressure": "Pa",
        "temperature": "degC",
        "velocity": "m/s",
        "power": "W",
        "length": "m",
    }
    assert data["verdict"] == "good"
    assert set(data["pump"]) >= {
        *("name", "flow", "head", "power"),
        *("shutoff_head", "start_head", "npsh_available", "npsh_required"),
    }
    assert set(data["condensers"][0]) >= {
        *("name", "needed_flow", "flow", "flow_low", "flow_high", "flow_best"),
        *("temperature_rise", "condensing_temperature"),
    }
    assert isinstance(data["legs"], list)
    assert set(data["stations"][0]) >= {
        *("part", "kind", "label", "branch", "height"),
        *("flow", "velocity", "head_loss", "total_head", "gauge_pressure"),
    }
    assert set(data["findings"][0]) >= {
        *("code", "level", "at", "values", "actions"),
        *("title", "message", "fix", "source"),
    }
    assert all(isinstance(text, str) for text in data["cautions"])


def test_json_of_a_loop_that_does_not_flow_is_valid(tmp_path: Path) -> None:
    job = tmp_path / "dry.toml"
    text = KITTIWAKE.read_text("utf-8").replace('"10 in"', '"14 ft"').replace('"5 in"', '"14 ft"')
    job.write_text(re.sub('length = "(10|6) ft"', 'length = "30 ft"', text))

    def refuse(name: str) -> None:
        raise AssertionError(f"{name} is not JSON")

    text = loop("check", job, "--json").stdout
    data = json.loads(text, parse_constant=refuse)
    assert data["verdict"] == "bad"
    assert data["condensers"][0]["condensing_temperature"] is None
    assert "saloon: 0 gal/h" in loop("check", job).stdout


@pytest.mark.parametrize(("name", "grave"), [("kittiwake", False), ("petrel", True)])
def test_strict_ends_with_1_on_a_warning_or_worse(name: str, grave: bool) -> None:
    path = EXAMPLES / f"{name}.toml"
    assert any(finding.level != "note" for finding in check(read_job(path)).findings) == grave
    assert loop("check", path).exit_code == 0
    assert loop("check", path, "--strict").exit_code == (1 if grave else 0)


def test_colour_on_a_terminal_only() -> None:
    assert ESCAPE not in loop("check", KITTIWAKE).stdout
    coloured = on_terminal("check", KITTIWAKE)
    assert f"{ESCAPE}1;32mGOOD" in coloured
    plain = on_terminal("check", KITTIWAKE, NO_COLOR="1")
    assert not re.search(r"\x1b\[[\d;]*3\dm", plain)
    assert "GOOD" in plain


@pytest.mark.parametrize("width", [12, 60, 100])
def test_no_line_ends_in_blanks(width: int) -> None:
    for words in (("check", EXAMPLES / "dabchick.toml"), ("pumps",), ("explain", KITTIWAKE)):
        lines = loop(*words, width=width).stdout.splitlines()
        assert [line for line in lines if line != line.rstrip()] == []


def test_a_terminal_shows_what_a_pipe_gets() -> None:
    coloured = on_terminal("check", KITTIWAKE, LINES="200").replace("\r\n", "\n")
    assert re.sub(r"\x1b\[[\d;]*m", "", coloured) == loop("check", KITTIWAKE, width=80).stdout
    assert coloured.count(f"{ESCAPE}0m") == len(re.findall(r"\x1b\[[1-9][\d;]*m", coloured))


def test_a_short_terminal_ends_with_the_first_lines() -> None:
    whole = loop("check", EXAMPLES / "petrel.toml", width=80).stdout
    first = whole.partition(SAY("findings"))[0]
    shown = on_terminal("check", EXAMPLES / "petrel.toml", LINES="24", NO_COLOR="1")
    plain = re.sub(r"\x1b\[[\d;]*m", "", shown.replace("\r\n", "\n"))
    assert plain == f"{whole}\n{first}"


@pytest.mark.parametrize(
    ("arrangement", "how"), [("parallel", "side by side"), ("series", "in line")]
)
def test_several_pumps_are_told_as_several(arrangement: str, how: str, tmp_path: Path) -> None:
    job = tmp_path / "two.toml"
    group = f'curve = "demo-ac-350"\ncount = 2\narrangement = "{arrangement}"'
    job.write_text(KITTIWAKE.read_text("utf-8").replace('curve = "demo-ac-350"', group), "utf-8")
    shown = " ".join(loop("check", job).stdout.split())
    assert pattern(SAY, "pump-several", pump=f"2 × demo-ac-350 {how}").search(shown)
    assert json.loads(loop("check", job, "--json").stdout)["pump"]["name"] == "demo-ac-350"


def test_a_title_is_printed_as_it_is(tmp_path: Path) -> None:
    job = tmp_path / "odd.toml"
    text = KITTIWAKE.read_text("utf-8").replace("Kittiwake, saloon unit", "[bold]Puffin[/] :boat:")
    job.write_text(text)
    assert "[bold]Puffin[/] :boat:" in loop("check", job).stdout


def test_a_part_in_which_water_falls_as_a_film_is_marked_in_the_table(tmp_path: Path) -> None:
    def marked(change: tuple[str, str]) -> tuple[list[str], list[str], bool]:
        path = tmp_path / "loop.toml"
        path.write_text(KITTIWAKE.read_text(encoding="utf-8").replace(*change), encoding="utf-8")
        films = [one.label for one in check(read_job(path)).point.stations if one.film]
        lines = loop("check", path).stdout.splitlines()
        starred = [SAY("parts-film", part=name) for name in films]
        shown = [name for name in starred if any(line.startswith(name) for line in lines)]
        note = pattern(SAY, "parts-film-note").search(" ".join(" ".join(lines).split()))
        return starred, shown, note is not None

    starred, shown, noted = marked(('bore = "3/4 in"', 'bore = "1-1/2 in"'))
    assert starred
    assert shown == starred
    assert noted
    assert marked(('title = "Kitti', 'title = "Kitti')) == ([], [], False)


@pytest.mark.parametrize("path", JOBS, ids=lambda path: path.stem)
def test_a_narrow_window_says_which_columns_it_leaves_out(path: Path) -> None:
    def text(width: int) -> str:
        return " ".join(loop("check", path, width=width).stdout.split())

    row = SAY("narrow", heads="")[:-2].strip()
    several = len(read_job(path).condenser) > 1
    assert row not in text(80)
    for width, left in ((60, ("head-speed",)), (40, ("head-height", "head-flow", "head-speed"))):
        shown = text(width)
        assert shown.count(row) == 1 + several
        for name in left:
            assert SAY(name) in shown.rpartition(row)[2]


def test_the_table_says_how_much_of_a_hoses_loss_is_the_air_in_it() -> None:
    """The leg of curlew ends in a low point; after it the hose rises full of water again."""
    file = KITTIWAKE.parent / "curlew.toml"
    (leg,) = [one for one in check(read_job(file)).point.legs if one.head_taken > 0]
    shown = " ".join(loop("check", file).stdout.split())
    assert f"{SAY('parts-film', part='hose over the locker')} " in shown
    takes = SAY("parts-film-takes", "us", head=leg.head_taken, part="hose over the locker")
    assert takes in shown


def test_what_flows_with_a_full_leg_is_said_where_it_is_more() -> None:
    """Curlew's leg holds air or not, depending on how it was filled; nothing is said if it does."""
    curlew = check(read_job(EXAMPLES / "curlew.toml"))
    (unit,) = curlew.condensers
    assert [leg.state for leg in curlew.point.legs].count("either") == 1
    assert unit.flow_best > 1.02 * unit.flow
    best = SAY("at-best", flows=show(unit.flow_best, "flow", "us"))
    out = loop("check", EXAMPLES / "curlew.toml").stdout
    assert best in out
    held = next(one for one in curlew.findings if one.code == "air-held")
    assert held.values["case"] == "filling"
    assert not pattern(SAY, "at-best").search(loop("check", KITTIWAKE).stdout)


def with_visits(job: Path, path: Path, *visits: tuple[str, str]) -> Path:
    """A copy of a job with visits, each a date and the flow that was read."""
    tables = (f"\n[[visit]]\ndate = {day}\n[visit.readings]\nflow{read}\n" for day, read in visits)
    path.write_text(job.read_text(encoding="utf-8") + "".join(tables), encoding="utf-8")
    return path


@pytest.mark.parametrize(
    ("text", "row"),
    [
        ("171 gal/h", "measured-short"),
        ("1 gal in 21 s", "measured-short"),
        ("190 gal/h", "measured-less"),
        ("205 gal/h", None),
        ("190 gal/h ± 60", None),
        ("many gallons", None),
    ],
)
def test_what_was_measured_last_is_set_against_what_is_worked_out(
    text: str, row: str | None, tmp_path: Path
) -> None:
    """The file of a loop may be good, and the loop not."""
    visits = ("2026-05-01", f' = "{text}"'), ("2025-05-01", ' = "90 gal/h"')
    shown = " ".join(
        loop("check", with_visits(KITTIWAKE, tmp_path / "a.toml", *visits)).stdout.split()
    )
    assert (SAY("measured") in shown) == (row is not None)
    assert row is None or pattern(SAY, row).search(shown)
    assert "2025-05-01" not in shown


@pytest.mark.parametrize("first", ["200 gal/h", "91 gal/h ± 1"])
def test_the_unit_that_had_least_of_its_need_is_named(first: str, tmp_path: Path) -> None:
    units = read_job(EXAMPLES / "razorbill-balanced.toml").condenser
    visit = "2026-05-01", f'.{units[0].name} = "{first}"\nflow.{units[1].name} = "150 gal/h"'
    path = with_visits(EXAMPLES / "razorbill-balanced.toml", tmp_path / "a.toml", visit)
    shown = " ".join(loop("check", path).stdout.split())
    assert f"on 2026-05-01 {units[1].name} had 150 gal/h" in shown
    assert loop("diagnose", path, "--drift").exit_code == 0
