"""Units in series: every command uses the water temperature at the unit, not the sea's."""

import json
from pathlib import Path

import numpy as np
import pytest

from loop.check import CheckResult, check, to_json
from loop.diagnose import prepare
from loop.diagnose.how_to_measure import kind_on_loop
from loop.diagnose.instruments import instruments
from loop.diagnose.model_change import ModelChange
from loop.diagnose.predict import predict
from loop.diagnose.solved_loops import states
from loop.diagnose.uncertainty import NAMES
from loop.draw.fouling import fouled, solved
from loop.draw.scene import Scene
from loop.job import Job, parse_job, read_job
from loop.margins.heat import TRIPS
from loop.sheet import sheet
from loop.sheet.spread import Spread
from loop.size import size
from loop.teach import explain
from loop.teach.step import Step
from loop.tolerances import HEAT
from loop.units import show
from loop.words.check_report import SAY
from loop.words.job_sheet import SAY as SHEET
from loop.words.teaching.steps import STEPS
from loop.words.template import Sayings
from tests.command_line import loop
from tests.loops import Table, plain_loop
from tests.said import is_said
from tests.second_fuzz.files import text_of
from tests.second_fuzz.loops import Boat
from tests.test_explain import assert_agrees_with_check, assert_every_line_holds, value_of

HOSE: Table = {"kind": "hose", "length": "4 ft", "to": "5 in"}


def served(name: str) -> list[Table]:
    return [HOSE, {"kind": "condenser", "serves": name, "loss": "1 psi at 300 gal/h"}]


def in_line(**unit: str) -> Table:
    """Cabin first, then bunk, in one line; these settings for bunk."""
    loop = plain_loop()
    units = [{"name": "cabin", "cooling": "7000 BTU/h"}, {"name": "bunk", "cooling": "6000 BTU/h"}]
    parts = [*loop["part"][:7], *served("cabin"), *served("bunk"), *loop["part"][-2:]]
    return {**loop, "condenser": [units[0], {**units[1], **unit}], "part": parts}


def rejoining() -> Table:
    """Two branches that rejoin, and bunk after them."""
    loop = plain_loop()
    names = ("port", "starboard", "bunk")
    tight = {"kind": "fitting", "k": 8.0}
    ways = [
        {"name": "port", "part": [*served("port"), HOSE]},
        {"name": "starboard", "part": [tight, *served("starboard"), HOSE]},
    ]
    units = [{"name": name, "cooling": "5000 BTU/h"} for name in names]
    middle = [{"kind": "manifold", "branch": ways}, *served("bunk")]
    parts = [*loop["part"][:7], *middle, *loop["part"][-2:]]
    return {**loop, "condenser": units[::-1], "part": parts}


@pytest.fixture(scope="module")
def line() -> CheckResult:
    return check(parse_job(in_line()))


def assert_comes_warm(result: CheckResult, name: str, before: list[str]) -> None:
    """Heat balance of a unit whose water all comes through the units `before`."""
    found = next(unit for unit in result.condensers if unit.name == name)
    water, job = result.point.network.water, result.job
    heat = sum(job.unit(one).rejected_heat for one in before)
    rise = heat / (water.density * water.heat_capacity * result.point.flow)
    assert rise > 2
    assert found.inlet_temperature - job.water.temperature == pytest.approx(rise, rel=1e-6)
    assert sorted(found.warmed_by) == sorted(before)


def test_check_calculates_with_the_water_as_it_comes(line: CheckResult) -> None:
    cabin, bunk = line.condensers
    assert (cabin.inlet_temperature, cabin.warmed_by) == (line.job.water.temperature, ())
    assert_comes_warm(line, "bunk", ["cabin"])
    alone = in_line()
    alone["condenser"][0]["cooling"] = "1000 BTU/h"  # the least that is sold
    nearly_off, cool = check(parse_job(alone)).condensers
    assert cool.flow == pytest.approx(bunk.flow)
    hotter = bunk.condensing_temperature - cool.condensing_temperature
    warmer = cabin.temperature_rise - nearly_off.temperature_rise
    assert hotter == pytest.approx(warmer, rel=1e-3)
    assert_comes_warm(check(parse_job(rejoining())), "bunk", ["port", "starboard"])


def test_a_limit_that_warmed_water_breaks_is_cured_by_water_of_its_own(line: CheckResult) -> None:
    bunk = line.condensers[1]
    limit = bunk.condensing_temperature - 0.5
    result = check(parse_job(in_line(condensing_watch=f"{limit} degC")))
    (told,) = (f for f in result.findings if f.code == "condensing-high")
    assert told.at.unit == "bunk"
    values = told.values
    assert (values["sea"], values["warmed_by"]) == (
        pytest.approx(line.job.water.temperature),
        ("cabin",),
    )
    assert values["case"] == "alone"
    cool = bunk.condensing_temperature - (bunk.inlet_temperature - line.job.water.temperature)
    assert values["alone"] == pytest.approx(cool, abs=0.01)


def test_the_table_says_by_whom_water_is_warmed(line: CheckResult, tmp_path: Path) -> None:
    path = tmp_path / "line.toml"
    path.write_text(as_toml(in_line()), "utf-8")
    told = f"{line.condensers[1].inlet_temperature * 1.8 + 32:.0f} °F"
    flat = " ".join(loop("check", path).stdout.split())
    assert SAY("arriving", unit="bunk", temperature=told, by=("cabin",)) in flat


def tripping() -> Table:
    """Cabin far too large for the water, so that bunk gets it as hot as possible."""
    data = in_line()
    data["condenser"][0]["cooling"] = "200000 BTU/h"
    return data


LOOPS = {"in line": in_line(), "rejoining": rejoining(), "tripping": tripping()}


@pytest.mark.parametrize("data", LOOPS.values(), ids=LOOPS)
def test_the_explanation_adds_up(data: Table) -> None:
    explanation = explain(parse_job(data))
    assert_every_line_holds(explanation)
    assert_agrees_with_check(explanation)
    for unit in explanation.result.condensers:
        if unit.warmed_by:
            printed = value_of(explanation, "T_in", "heat", unit.name)
            assert printed == pytest.approx(unit.inlet_temperature, rel=1e-3)
            (step,) = (s for s in explanation.steps if s.row == "inlet")
            assert says(step, "", units=" and ".join(unit.warmed_by))
            mixed = [s for s in explanation.steps if s.row == "mixed"]
            assert len(mixed) == len(unit.warmed_by) - 1


def test_the_figure_starts_at_the_answer(line: CheckResult) -> None:
    seen = Scene(line, "us")
    units = {found.unit.name: found for found in fouled(seen, solved(seen))}
    for unit in line.condensers:
        assert units[unit.name].inlet[0] == pytest.approx(unit.inlet_temperature, abs=0.02)
        first = units[unit.name].condensing[0]
        assert first == pytest.approx(unit.condensing_temperature, abs=0.05)


def test_a_diagnosis_expects_the_warmed_water(line: CheckResult) -> None:
    job = line.job
    place = instruments(job)
    (values,) = predict(
        place, states(place, [ModelChange()], np.zeros((1, len(NAMES)))), exact=True
    )
    read = {column.key: float(value) for column, value in zip(place.columns, values, strict=True)}
    cabin, bunk = line.condensers
    assert read["outlet_temperature.cabin"] == pytest.approx(bunk.inlet_temperature)
    leaves = bunk.inlet_temperature + bunk.temperature_rise
    assert read["outlet_temperature.bunk"] == pytest.approx(leaves)
    assert read["condensing_temperature.cabin"] == pytest.approx(cabin.condensing_temperature)
    assert read["condensing_temperature.bunk"] == pytest.approx(bunk.condensing_temperature)
    # Only the last unit's water can be met in the stream.
    way = {
        name: kind_on_loop(place.network, "outlet_temperature", name).way
        for name in ("cabin", "bunk")
    }
    assert way == {"cabin": "strapped", "bunk": ""}
    study = prepare(job)
    healthy = [study.mean[study.healthy, place.column_of[f"outlet_temperature.{n}"]] for n in way]
    assert healthy[1] - healthy[0] == pytest.approx(bunk.temperature_rise, abs=0.1)


def test_the_card_expects_the_warmed_water(line: CheckResult) -> None:
    spread, unit = Spread(line.point), line.job.unit("bunk")
    bunk = line.condensers[1]
    inlet, hot = spread.inlet(unit), spread.condensing(unit)
    assert inlet.middle == pytest.approx(bunk.inlet_temperature)
    assert hot.middle == pytest.approx(bunk.condensing_temperature)
    warmed = bunk.inlet_temperature - line.job.water.temperature
    assert inlet.high - inlet.middle > HEAT.half * warmed * 0.99
    place = SHEET("card-unit", unit="bunk")
    group = next(group for group in sheet(line).card if group.place == place)
    reading = next(r for r in group.readings if r.name == SHEET("card-water-in"))
    assert "cabin" in reading.how
    assert reading.expected == f"{bunk.inlet_temperature * 1.8 + 32:.0f} °F"


def test_sizing_refuses_what_is_too_hot_in_warmed_water(line: CheckResult) -> None:
    """A limit between bunk's condensing temperature in sea water and in cabin's outlet water."""
    bunk = line.condensers[1]
    warmed = bunk.inlet_temperature - line.job.water.temperature
    limit = bunk.condensing_temperature - warmed / 2
    data = in_line(condensing_stop=f"{limit} degC")
    few = {"pumps": ["demo-ac-350"], "bores": ["3/4 in"]}
    result = size(parse_job({**data, "sizing": few}), draws=200)
    option = result.options[result.as_is]
    assert "condensing-high" in {reason.code for reason in option.reasons}
    chance = {odds.name: odds.chance for odds in option.units}
    assert chance["cabin"] > 0.9
    assert chance["bunk"] < 0.1


def starved() -> Job:
    data = plain_loop()
    data["part"][3]["blocked"] = "98 %"
    data["condenser"][0]["cooling"] = "60000 BTU/h"
    return parse_job(data)


def test_no_temperature_is_told_past_which_no_unit_runs() -> None:
    result = check(starved())
    (unit,) = result.condensers
    assert unit.condensing_temperature > TRIPS
    assert not unit.runs_on
    (row,) = to_json(result)["condensers"]
    assert row["condensing_temperature"] is row["temperature_rise"] is None
    json.dumps(row, allow_nan=False)
    page = sheet(result)
    assert (page.units[0].rise, page.units[0].condensing) == (
        "—",
        SHEET("card-over", limit="140 °F"),
    )
    names = {reading.name for group in page.card for reading in group.readings}
    assert SHEET("card-condensing") not in names
    explanation = explain(starved())
    assert_every_line_holds(explanation)
    (step,) = (step for step in explanation.steps if step.row == "condensing")
    assert says(step, "trips", limit="140 °F")


def says(step: Step, claim: str, **values: str) -> bool:
    """Whether a step's meaning is the sentence of its row for this claim, with these values."""
    return is_said(
        step.meaning, Sayings(lambda: {"says": STEPS[step.row].meaning(claim)}), "says", **values
    )


def as_toml(data: Table, prefix: str = "") -> str:
    """A table as TOML: only what the tests' loops hold."""
    plain = {key: value for key, value in data.items() if not isinstance(value, dict | list)}
    lines = [f"{key} = {json.dumps(value)}" for key, value in plain.items()]
    for key, value in data.items():
        name = f"{prefix}{key}"
        if isinstance(value, dict):
            lines.append(f"[{name}]\n{as_toml(value, f'{name}.')}")
        elif isinstance(value, list):
            lines += [f"[[{name}]]\n{as_toml(one, f'{name}.')}" for one in value]
    return "\n".join(lines)


def test_water_of_its_own_that_comes_round_is_told_and_worked_out(tmp_path: Path) -> None:
    """An invented boat in which a tee draws a unit's own water back to it."""
    made = Boat(1030233)
    path = tmp_path / "job.toml"
    path.write_text(text_of(made.rng, made.job()), encoding="utf-8")
    job = read_job(path)
    (round_,) = (
        unit
        for unit in check(job, fixes=False).condensers
        if unit.inlet_temperature > job.water.temperature + 0.05 and not unit.warmed_by
    )
    warm = show(round_.inlet_temperature, "temperature", "si")
    said = SAY("arriving-round", unit=round_.name, temperature=warm)
    assert said in " ".join(loop("check", path, "--units", "si").stdout.split())
    assert loop("explain", path).exit_code == 0
