"""`loop pumps --new`: a pump file from a nameplate or from a datasheet's table."""

import tomllib
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from loop.check import check
from loop.pumps import PumpCurve, catalogue, load_pump, read_pump
from loop.pumps.datasheet import read_datasheet
from loop.pumps.doubts import MIN_EFFICIENCY, closest_catalogue_pump, doubts
from loop.pumps.supply import read_supply
from loop.pumps.writing import pump_tables, pump_text
from loop.units import UnitError, parse
from loop.words.commands import SAY
from tests.command_line import loop
from tests.loops import found, job_of

PLATE = ("--runs-on", "115 V 60 Hz", "--most-flow", "250 gph", "--most-head", "4.3 psi")
TABLE = "Flow (GPH), Head (ft), Power (W)\n0,10.2,26\n140,7,35\n250,0.8,42\n"


def test_a_nameplate_becomes_a_file_that_reads(tmp_path: Path) -> None:
    file = tmp_path / "own.toml"
    result = loop("pumps", "--new", file, *PLATE, "--power", "40 W")
    assert result.exit_code == 0, result.stderr
    pump = read_pump(file)
    assert (pump.name, pump.drive, pump.nameplate) == ("own", "ac", True)
    assert pump.last_flow == pytest.approx(parse("250 gal/h", "flow"))
    # Fresh water: 4.3 psi is 9.9 ft at 2.31 ft a psi.
    assert pump.shutoff_head / 0.3048 == pytest.approx(9.93, abs=0.02)
    assert "demo-ac-250" in result.stdout  # a catalogue pump of its class, beside it
    assert "Only the nameplate is known" in " ".join(result.stdout.split())
    assert "Only the nameplate is known" in " ".join(loop("pumps", file).stdout.split())


def test_a_pasted_table_becomes_the_points(tmp_path: Path) -> None:
    file = tmp_path / "own.toml"
    result = loop("pumps", "--new", file, "--runs-on", "115 V 60 Hz", "--points", "-", piped=TABLE)
    assert result.exit_code == 0, result.stderr
    pump = read_pump(file)
    assert not pump.nameplate
    known = load_pump("demo-ac-250")
    assert pump.points.flow.tolist() == pytest.approx([0, known.points.flow[4], known.last_flow])
    assert float(pump.power(pump.last_flow)) == 42


@pytest.mark.parametrize(
    "text",
    [
        "gph;ft\n0;12,5\n100;10,0\n200;4,5",
        "gph\tft\n0\t12.5\n100\t10\n200\t4.5",
        "Flow gal/h,Head ft\n0,12.5\n100,10\n200,4.5",
        "Flow, gal/h, Head, ft\n0, 12.5\n100, 10\n200, 4.5",
        "Q [gal/h]   H [ft]\n0   12.5\n100   10\n200   4.5",
        "Flow gal/h,0,100,200\nHead ft,12.5,10,4.5",
        "Head ft,Flow gal/h\n12.5,0\n10,100\n4.5,200",
        "gph,ft\n200,4.5\n0,12.5\n100,10",
    ],
)
def test_one_table_however_it_was_pasted(text: str) -> None:
    sheet = read_datasheet(text)
    assert sheet.rows["flow"].values == (0, 100, 200)
    assert sheet.rows["head"].values == (12.5, 10, 4.5)
    assert sheet.rows["flow"].si("flow")[1] == pytest.approx(parse("100 gal/h", "flow"))
    assert sheet.changed == (("order",) if text.startswith("gph,ft\n200") else ())


@pytest.mark.parametrize(
    ("text", "why"),
    [
        ("", "is not a datasheet table"),
        ("0,12\n100,10", "is not a datasheet table"),
        ("flow,head\n0,12", "column 'flow' has no name with a unit"),
        ("gph,gph\n0,12\n1,2", "two columns are flow"),
        ("gph,W\n0,12\n1,2", "no column of head"),
        ("gph,ft\n0,12\n1,x", "row 3: '1, x' is not all numbers"),
        ("gph,ft\n0,12\n1,2,3", "2 to 3 columns; separate the columns of every row"),
    ],
)
def test_what_is_no_table_is_told(text: str, why: str) -> None:
    with pytest.raises(ValueError, match=why):
        read_datasheet(text)


@given(st.text(max_size=200))
def test_any_text_is_a_table_or_a_plain_word(text: str) -> None:
    try:
        rows = read_datasheet(text).rows
    except ValueError:
        rows = None
    assert rows is None or {"flow", "head"} <= set(rows)


def test_a_rising_curve_is_refused_and_nothing_written(tmp_path: Path) -> None:
    file = tmp_path / "own.toml"
    rising = "gph,ft\n0,12\n100,13\n200,4"
    result = loop("pumps", "--new", file, "--runs-on", "12 V", "--points", "-", piped=rising)
    assert (result.exit_code, result.stdout) == (2, "")
    assert "head must fall from point to point" in result.stderr
    assert list(tmp_path.iterdir()) == []


def test_points_out_of_order_are_sorted_and_told(tmp_path: Path) -> None:
    file = tmp_path / "own.toml"
    mixed = "gph,ft\n200,4\n0,12\n100,10"
    result = loop("pumps", "--new", file, "--runs-on", "12 V", "--points", "-", piped=mixed)
    assert SAY("pump-sorted") in " ".join(result.stdout.split())
    assert read_pump(file).points.head.tolist() == pytest.approx(
        [12 * 0.3048, 10 * 0.3048, 4 * 0.3048]
    )


@pytest.mark.parametrize("name", catalogue())
def test_the_catalogues_pumps_are_doubted_by_nothing_and_like_themselves(name: str) -> None:
    pump = load_pump(name)
    assert doubts(pump) == ()
    assert closest_catalogue_pump(pump) == pump


@given(st.floats(0.1, 0.999) | st.floats(1.001, 10.0))
def test_a_port_that_lets_out_no_such_flow_is_doubted(times: float) -> None:
    """Shut-off head over the velocity head in the port, by hand, is 1 / `times`."""
    flow, head = 2.5e-4, 3.0
    speed = (2 * 9.80665 * head * times) ** 0.5
    stated = {
        "name": "own",
        "drive": "dc",
        "rated_supply": "12 V",
        "port": f"{(4 * flow / (3.141592653589793 * speed)) ** 0.5} m",
    }
    plate = {"flow": f"{flow} m^3/s", "head": f"{head} m"}
    rows = {
        "flow": {"unit": "m^3/s", "values": (0, flow / 2, flow)},
        "head": {"unit": "m", "values": (head, head / 2, 0)},
    }
    for curve in ({"nameplate": plate}, rows):
        found = doubts(PumpCurve.model_validate({**stated, "curve": curve}))
        assert [doubt.code for doubt in found] == (["port-too-small"] if times > 1 else [])
        assert [doubt.value for doubt in found] == [pytest.approx(head * times)] * len(found)


@given(st.floats(0.001, 2.0), st.sampled_from(["ac", "dc"]))
def test_an_efficiency_that_can_hardly_be_is_doubted(best: float, drive: str) -> None:
    """Power chosen so that a parabola's best efficiency, by hand, is `best`.

    A small AC motor wastes at least three quarters of what it draws.
    """
    most = 0.25 if drive == "ac" else 0.35
    flow, head = 2.5e-4, 3.0
    water = 2 / (3 * 3**0.5) * 1000 * 9.80665 * flow * head
    rows = {
        "flow": {"unit": "m^3/s", "values": tuple(np.linspace(0, flow, 30))},
        "head": {"unit": "m", "values": tuple(head * (1 - np.linspace(0, 1, 30) ** 2))},
        "power": {"unit": "W", "values": (water / best,) * 30},
    }
    plain = load_pump("demo-ac-250" if drive == "ac" else "demo-dc-320").model_dump()
    pump = PumpCurve.model_validate({**plain, "curve": rows})
    codes = [doubt.code for doubt in doubts(pump)]
    if best > 1.01 * most:
        assert codes == ["too-efficient"]
    elif best < 0.99 * MIN_EFFICIENCY:
        assert codes == ["too-wasteful"]
    elif 1.01 * MIN_EFFICIENCY < best < 0.99 * most:
        assert codes == []


@given(st.floats(1e-5, 1e-3), st.floats(0.2, 8.0))
def test_a_head_that_no_impeller_gives_is_doubted(flow: float, times: float) -> None:
    """Specific speed at 3,600/min, by hand, is 10 at half the flow with `times` 1.

    n √Q / H^(3/4); on a straight curve flow times head is greatest at half of each. More than twice
    that head is doubted.
    """
    middle = (3600 * flow**0.5 / 10) ** (4 / 3) * times
    rows = {
        "flow": {"unit": "m^3/s", "values": (0, flow, 2 * flow)},
        "head": {"unit": "m", "values": (2 * middle, middle, 0)},
    }
    table = {"name": "own", "drive": "dc", "rated_supply": "12 V", "port": "400 mm", "curve": rows}
    codes = [doubt.code for doubt in doubts(PumpCurve.model_validate(table))]
    if not 1.99 < times < 2.01:
        assert codes == (["too-much-head"] if times > 2 else [])


@pytest.mark.parametrize(("head", "doubted"), [("11.5 ft", False), ("115 ft", True)])
def test_a_pump_whose_head_has_a_slipped_point_passes_no_loop(head: str, doubted: bool) -> None:
    """A slip by ten gives a small pump the head of a fire hose: the loop looks good with it."""
    plain = load_pump("demo-ac-350").model_dump(exclude={"curve"})
    own = PumpCurve(**plain, curve={"nameplate": {"flow": "400 gal/h", "head": head}})
    result = check(job_of((6, "curve", own)), fixes=False)
    assert bool(found(result, "pump-doubtful")) is doubted
    assert result.verdict == ("attention" if doubted else "good")


# DC pumps so wasteful that with three times their head they still could be good ones.
_WASTEFUL = ("demo-dc-150", "demo-dc-prime-400")


@pytest.mark.parametrize("name", [name for name in catalogue() if name not in _WASTEFUL])
def test_heads_in_metres_for_feet_are_doubted(name: str) -> None:
    pump = load_pump(name)
    assert not doubts(pump)
    table = pump.model_dump(mode="json", exclude_none=True)
    head = table["curve"]["head"]
    head["values"] = [value / 0.3048 for value in head["values"]]
    assert [one.code for one in doubts(PumpCurve.model_validate(table))] == ["too-efficient"]


def test_a_power_that_hardly_any_motor_has_is_warned_of_and_one_that_none_has_is_refused(
    tmp_path: Path,
) -> None:
    """A parabola through 250 gal/h and 9.9 ft lifts water with at most 3 W."""
    refused = loop("pumps", "--new", tmp_path / "own.toml", *PLATE, "--power", "2 W")
    assert (refused.exit_code, refused.stdout) == (2, "")
    assert "own.toml: Efficiency of" in " ".join(refused.stderr.split())
    assert list(tmp_path.iterdir()) == []
    result = loop("pumps", "--new", tmp_path / "own.toml", *PLATE, "--power", "4 W")
    assert "Efficiency of" in result.stdout
    assert result.exit_code == 0


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("115 V 60 Hz", ("115 V", "60 Hz")),
        ("115 V AC 60 Hz", ("115 V", "60 Hz")),
        ("230V/50Hz", ("230V", "50Hz")),
        ("12 V DC", ("12 V", None)),
        ("24 V", ("24 V", None)),
    ],
)
def test_what_a_pump_runs_on_is_read_as_plates_have_it(
    text: str, expected: tuple[str, str | None]
) -> None:
    assert read_supply(text) == expected


@pytest.mark.parametrize("text", ["115 V", "12 V AC", "12 V DC 60 Hz", "12", "60 Hz"])
def test_what_a_pump_cannot_run_on_is_told(text: str) -> None:
    with pytest.raises(UnitError):
        read_supply(text)


def test_what_is_missing_is_told_without_a_terminal(tmp_path: Path) -> None:
    result = loop("pumps", "--new", tmp_path / "own.toml", "--most-flow", "250 gph")
    asked = SAY("pump-no-terminal", options="--runs-on, --most-head")
    assert result.stderr == f"{asked}\n"
    wrong = loop("pumps", "--new", tmp_path / "own.toml", *PLATE, "--port", "3/4")
    assert "--port: '3/4' has no unit" in wrong.stderr
    assert loop("pumps", "--port", "1 in").stderr == "answers and --points go with --new FILE\n"


@pytest.mark.parametrize(("answer", "primes"), [("yes", True), ("Y", True), ("no", False)])
def test_self_priming_is_yes_or_no(answer: str, primes: bool, tmp_path: Path) -> None:
    file = tmp_path / "own.toml"
    assert loop("pumps", "--new", file, *PLATE, "--self-priming", answer).exit_code == 0
    assert tomllib.loads(file.read_text("utf-8"))["self_priming"] is primes
    other = loop("pumps", "--new", tmp_path / "no.toml", *PLATE, "--self-priming", "maybe")
    assert other.stderr == "--self-priming: 'maybe' is not an answer; write yes or no\n"


@given(st.text(max_size=40), st.text(max_size=40))
def test_any_name_makes_a_file_that_reads(name: str, note: str) -> None:
    answers = {"name": name, "runs_on": "12 V", "port": "1 in", "most_flow": "9 gph",
               "most_head": "9 ft"}  # fmt: skip
    text = pump_text({**pump_tables(answers, None), "note": note})
    assert PumpCurve.model_validate(tomllib.loads(text), context={"text": True})
