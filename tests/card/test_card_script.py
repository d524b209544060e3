"""The script's own reading and writing, in node, compared with the program's text by text."""

import re
import tomllib
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from loop.card.html import script
from loop.card.spellings import quantities, spellings
from loop.diagnose import parse_readings
from loop.diagnose.headline import SURE, odds_text
from loop.diagnose.reading_kinds import TOOLS
from loop.diagnose.readings import Readings
from loop.job import parse_job
from loop.units import UnitError, parse, show
from loop.words.diagnosis import BOTH, ON_THE_CARD, SAY
from loop.words.template import BLANK
from tests.card.conftest import EXAMPLES
from tests.card.node import NODE, in_node
from tests.card.random_calls import random_calls
from tests.command_line import loop
from tests.loops import plain_loop
from tests.test_units import EXACT, REFUSED, WRITTEN

pytestmark = pytest.mark.skipif(NODE is None, reason="no node on this machine")

TEXTS = {
    "flow": [
        "150 gal/h", "150 gph", "2.5 gpm", "2,5 L/min", "1,200 gph", "0.5 m^3/h", "9 l/min",
        "150", "fast", "12.000 gal/h", "1,234 L/min", "3/4 gal/min", "1-1/2 gpm", "½ gpm",
        "150 psi", "-5 gph", "1e2 gph", "125 imp gal/h", "1 UK gal per hour", "10 cu ft/h",
        "5-gpm", "150 US gal/h", "", "1.2.3 gph", "1.234,5 lph", "5 gal/day",
    ],
    "temperature": [
        "85 °F", "85 degF", "29,4 °C", "85F", "29.4 C", "85 deg F", "85", "300 kelvin", "- 2 °C",
        "−2 °C", "85 º F", "8 5 °F",
    ],
    "pressure": [
        "2.5 psi", "0,17 bar", "17 kPa", "-3 inHg", "170 mbar", "-1 psi", "2 mH2O", "1.5 ft H2O",
        "12 in of water", "2 ft of head", "30 feet of water", "2,500 kPa", "2,500 Pa",
    ],
    "volume": ["1 gal", "5 L", "2 qt", "1/2 gal", "1-1/2 gal", "2.5 liters", "3 cups"],
    "time": [
        "24 s", "1 min 10 s", "2:10", "24 sec", "70 s", "0:24", "1:02:03", "1.5 min", "2:70",
        "1 h 5 min", "1:75:00",
    ],
    "current": ["0.5 A", "500 mA", "0,5 amps"],
    "power": ["50 W", "0.05 kW", "1,000 W", "50 watts"],
    "voltage": ["115 V", "115 VAC", "12.5 V DC", "115 volts"],
    "frequency": ["60 Hz", "59.9 hertz"],
}  # fmt: skip


def test_quantities_are_read_as_the_program_reads_them() -> None:
    units = spellings()
    texts = [(text, kind) for kind, of_kind in TEXTS.items() for text in of_kind]
    texts += [
        (text, kind) for text, kind, _ in EXACT + REFUSED + WRITTEN if kind in units["scales"]
    ]
    found = in_node(
        "given.texts.map(([text, kind]) => withWidth(text, kind, given.units)[0])",
        {"texts": texts, "units": units},
    )
    wrong = []
    for (text, kind), value in zip(texts, found, strict=True):
        try:
            ours: float | None = parse(text, kind)  # type: ignore[arg-type]
        except UnitError:
            ours = None
        if ours != (None if value is None else pytest.approx(value)):
            wrong.append((kind, text, ours, value))
    assert wrong == []


def test_numbers_are_shown_as_the_program_shows_them() -> None:
    values = [0.0, 1e-9, -1e-9, 0.125, 2.5, 3.5, 7.65, -1.15, 1234.5, 1e6, 0.05, 1 / 3, 99.95]
    for system in ("us", "si"):
        shown = quantities(system)  # type: ignore[arg-type]
        found = in_node(
            "Object.keys(given.shown).map((name) => given.values.map((v) => show(given, v, name)))",
            {"shown": shown, "values": values},
        )
        for name, texts in zip(shown, found, strict=True):
            assert texts == [show(value, name, system) for value in values], name  # type: ignore[arg-type]


def test_odds_are_said_as_the_program_says_them() -> None:
    chances = [n / 200 for n in range(201)]
    given = {"s": {"constants": {"sure": SURE}, "says": BOTH}, "chances": chances}
    found = in_node("given.chances.map((p) => odds(given.s, p))", given)
    assert found == [odds_text(p) for p in chances]


def test_sentences_are_filled_as_the_program_fills_them() -> None:
    """Each with all of its values, and without those in its brackets."""
    rows = []
    for row, text in (BOTH | ON_THE_CARD).items():
        for template in (text, re.sub(r"\[.*?\]", "", text)):
            names = [blank[0] for blank in BLANK.findall(template)]
            rows.append((row, {name: f"<{name}>" for name in names}))
    given = {"s": {"says": BOTH | ON_THE_CARD}, "rows": rows}
    found = in_node("given.rows.map(([row, values]) => tell(given.s, row, values))", given)
    assert found == [SAY(row, **values) for row, values in rows]


@settings(max_examples=2)
@given(st.lists(st.tuples(*[st.text(max_size=40)] * 3), min_size=20, max_size=20))
def test_whatever_is_written_the_file_is_toml_that_reads_back(
    written: list[tuple[str, str, str]],
) -> None:
    calls = [
        {
            "who": who, "where": where, "note": note, "date": "2026-07-01", "said": ["suddenly"],
            "tools": ["bucket"], "read": {"flow": "1 gal in 24.0 s", "stream": "weak"},
            "under_way": {"stream": "none"},
            "steps": [{"did": "bleed", "saw": "air came", "read": {"stream": "strong"}}],
        }
        for who, where, note in written
    ]  # fmt: skip
    texts = in_node("given.map((call) => toml({ heading: call.who }, call))", calls)
    job = parse_job(plain_loop())
    for (who, where, note), text in zip(written, texts, strict=True):
        table = tomllib.loads(text)
        told = (who and f"customer: {who}", where and f"where: {where}", note)
        whole = "; ".join(part for part in told if part)
        lone = "".join("\ufffd" if 0xD800 <= ord(c) <= 0xDFFF else c for c in whole)
        assert table.get("note", "") == lone
        readings = parse_readings(table, job)
        assert readings.steps[0].did == "bleed"
        assert readings.said == ("suddenly",)
        assert readings.under_way is not None
        assert readings.under_way.words == {"stream": "none"}


def test_a_units_own_reading_keeps_its_name_in_the_file() -> None:
    call = {
        "who": "", "where": "", "note": "", "date": "", "said": [], "tools": [], "steps": [],
        "under_way": {}, "read": {"unit.owner's cabin": "trips", 'unit.a "b".c': "cools"},
    }  # fmt: skip
    table = tomllib.loads(in_node("toml({ heading: 'x' }, given)", call))
    assert table["unit.owner's cabin"] == "trips"
    assert table['unit.a "b".c'] == "cools"


def test_the_script_leaves_one_name_behind() -> None:
    assert script().startswith("(() => {")
    found = in_node(
        "Object.keys(globalThis).filter((name) => /study|diagnose|quantity/.test(name))", 0
    )
    assert found == []


def flat(table: dict[str, Any]) -> dict[str, str]:
    """The readings of a table, a unit's own under "reading.unit"."""
    beside = ("said", "tools", "step", "under_way", "did", "saw")
    found = {}
    for key, value in table.items():
        if isinstance(value, dict) and key not in beside:
            found |= {f"{key}.{unit}": text for unit, text in value.items()}
        elif key not in beside:
            found[key] = value
    return found


def as_kept(table: dict[str, Any], readings: Readings) -> dict[str, Any]:
    """A call as a phone stores it, from the table of a readings file and its readings."""
    steps = [
        {
            "did": step.did,
            "saw": step.saw,
            "read": flat(given),
            "under_way": flat(given.get("under_way", {})),
        }
        for step, given in zip(readings.steps, table.get("step", []), strict=True)
    ]
    return {
        "date": "2026-07-01",
        "said": list(readings.said),
        "tools": list(TOOLS if readings.tools is None else readings.tools),
        "read": flat(table),
        "under_way": flat(table.get("under_way", {})),
        "steps": steps,
    }


def without_empty(readings: Readings) -> Readings:
    """A call without its empty tables of readings at speed."""
    steps = [replace(one, under_way=one.under_way if one.at_speed.keys else None) for one in
             readings.steps]  # fmt: skip
    away = readings.under_way if readings.at_speed.keys else None
    return replace(readings, under_way=away, steps=tuple(steps))


@pytest.mark.parametrize("name", ["kittiwake", "guillemot"])
def test_the_command_takes_whatever_call_a_card_kept(name: str, made: Any, tmp_path: Path) -> None:
    study, job = made(name).study, EXAMPLES / f"{name}.toml"
    calls = random_calls(study, 60, seed=9)
    kept = [as_kept(table, readings) for table, readings in calls]
    texts = in_node("given.map((call) => toml(s, revived(s, call)))", kept, made(name).card.shown)
    for (_, readings), text in zip(calls, texts, strict=True):
        again = parse_readings(tomllib.loads(text), study.instruments.job)
        assert again.tools == (TOOLS if readings.tools is None else readings.tools)
        assert replace(again, tools=readings.tools, date="") == without_empty(readings)
    file, record = tmp_path / "call.toml", tmp_path / "after.toml"
    file.write_text(max(texts, key=len), encoding="utf-8")
    result = loop("diagnose", job, file, "--record", record)
    assert result.exit_code == 0
    assert tomllib.loads(record.read_text(encoding="utf-8"))["visit"][-1]["date"] == "2026-07-01"
