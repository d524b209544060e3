"""The commands' output fits its schema, and holds all it takes to repeat the result."""

import dataclasses
import json
import random
import tomllib
from pathlib import Path
from typing import Any, get_args

import jsonschema
import pytest
from typer.testing import CliRunner

from loop.check import check
from loop.check import to_json as check_json
from loop.check.as_json import CheckTables
from loop.check.result import CondenserResult
from loop.cli import app
from loop.cli.commands.schema import What
from loop.cli.schema import FILES, PRINTED, result_schema
from loop.diagnose import baseline, baseline_json, diagnose, parse_readings, read_readings
from loop.diagnose import to_json as diagnosis_json
from loop.diagnose.baseline import BaselineTables
from loop.diagnose.drift import DriftTables, drift, drift_json
from loop.diagnose.experience import FaultsTables, count_faults
from loop.diagnose.readings_schema import readings_schema
from loop.diagnose.result import DiagnosisTables
from loop.hydraulics import solve
from loop.job import Job, JobError, inputs, parse_job, program_version, read_job
from loop.size import size, with_sizing
from loop.size import to_json as size_json
from loop.size.as_json import SizeTables
from loop.sweep import sweep
from loop.sweep.result import SweepTables
from loop.teach import explain
from loop.teach.explanation import ExplainTables
from loop.units.stated import Rating
from tests.checked import checked
from tests.fuzz_files import job as made_up
from tests.fuzz_files import pump as made_up_pump
from tests.loops import changed, plain_loop

EXAMPLES = Path(__file__).parent.parent / "examples"
JOBS = sorted(path for path in EXAMPLES.glob("*.toml") if "[[part]]" in path.read_text("utf-8"))

# A loop in which nothing flows: its rise and condensing temperature are infinite.
STILL = changed((11, "height", "25 ft"), (10, "to", "25 ft"), (10, "length", "40 ft"))


def as_read(data: Any) -> Any:
    """Tables as another program reads them."""
    return json.loads(json.dumps(data, allow_nan=False))


def fits(data: dict[str, Any], printed: type[Any]) -> None:
    schema = result_schema(printed)
    jsonschema.Draft202012Validator.check_schema(schema)
    jsonschema.validate(as_read(data), schema)


def again(job: Job) -> Job:
    """The job as another program would send it back."""
    return Job.model_validate(as_read(inputs(job))["job"])


@pytest.mark.parametrize("path", JOBS, ids=lambda path: path.stem)
def test_a_check_fits_its_schema(path: Path) -> None:
    fits(check_json(checked(path)), CheckTables)


def test_a_baseline_fits_its_schema() -> None:
    job = read_job(EXAMPLES / "kittiwake.toml")
    readings = read_readings(EXAMPLES / "readings-clean.toml", job)
    fits(dict(baseline_json(baseline(job, readings, "2026-05-01"))), BaselineTables)


def test_a_check_without_flow_fits_too() -> None:
    table = check_json(check(parse_job(STILL)))
    assert table["condensers"][0]["temperature_rise"] is None
    fits(table, CheckTables)


def test_a_size_fits_its_schema() -> None:
    job = with_sizing(
        read_job(EXAMPLES / "kittiwake.toml"), {"bores": "3/4 in", "pumps": "demo-ac-350"}
    )
    fits(size_json(size(job, draws=50)), SizeTables)


@pytest.mark.parametrize("name", ["kittiwake", "dabchick"])
def test_an_explanation_fits_its_schema(name: str) -> None:
    fits(explain(read_job(EXAMPLES / f"{name}.toml")).to_dict(), ExplainTables)


def test_a_diagnosis_fits_its_schema() -> None:
    job = read_job(EXAMPLES / "kittiwake.toml")
    taken = parse_readings({"flow": "120 gal/h", "stream": "steady"}, job)
    fits(diagnosis_json(diagnose(job, taken)), DiagnosisTables)


def test_a_grid_fits_its_schema() -> None:
    job = read_job(EXAMPLES / "guillemot.toml")
    vary = {"boat.heel": [0.0, 0.1], ("water.temperature",): ["60 degF", "95 degF"]}
    fits(sweep(job, vary).to_dict(), SweepTables)
    spoiled = sweep(job, vary).to_dict() | {"flow": [["233 gal/h"]]}
    with pytest.raises(jsonschema.ValidationError):
        fits(spoiled, SweepTables)


def test_counted_faults_fit_their_schema() -> None:
    job = read_job(EXAMPLES / "kittiwake-season.toml")
    found = ("pump-worn + sea-warm", "the cook")
    visits = tuple(
        visit.model_copy(update={"was": was}) for visit, was in zip(job.visit, found, strict=False)
    )
    told = count_faults([job.model_copy(update={"visit": visits})]).to_dict()
    halves = {"pump-worn": 0.5, "sea-warm": 0.5}
    assert {name: told["counts"].get(name) for name in halves} == halves
    assert told["unknown"] == ["the cook"]
    fits(told, FaultsTables)


@pytest.mark.parametrize("path", sorted(EXAMPLES.glob("readings-*.toml")), ids=lambda one: one.stem)
def test_schema_of_readings_takes_every_example(path: Path) -> None:
    held = tomllib.loads(path.read_text("utf-8"))
    jsonschema.validate(held, readings_schema())


@pytest.mark.parametrize(
    "wrong",
    [
        {"flwo": "150 gal/h"},
        {"stream": "wet"},
        {"flow": 150},
        {"said": ["it rains"]},
        {"prior": {"pump-worn": -1}},
        {"step": [{"did": "clean-basket", "note": "here"}]},
        {"under_way": {"date": "2025-06-30"}},
    ],
)
def test_schema_of_readings_refuses_what_the_command_refuses(wrong: dict[str, Any]) -> None:
    with pytest.raises(jsonschema.ValidationError):
        jsonschema.validate(wrong, readings_schema())
    with pytest.raises(JobError):
        parse_readings(wrong, read_job(EXAMPLES / "kittiwake.toml"))


@pytest.mark.parametrize("visits", [0, 1, None])
def test_a_drift_fits_its_schema(visits: int | None) -> None:
    job = read_job(EXAMPLES / "kittiwake-season.toml")
    job = job.model_copy(update={"visit": job.visit[:visits]})
    fits(drift_json(drift(job), job), DriftTables)


@pytest.mark.parametrize("spoil", ["missing", "unknown", "text"])
def test_the_schema_refuses_what_is_not_an_answer(spoil: str) -> None:
    table = check_json(check(parse_job(plain_loop())))
    if spoil == "missing":
        del table["pump"]["head"]
    elif spoil == "unknown":
        table["stations"][0]["colour"] = "blue"
    else:
        table["condensers"][0]["flow"] = "240 gal/h"
    with pytest.raises(jsonschema.ValidationError):
        fits(table, CheckTables)


def test_the_schema_follows_the_classes() -> None:
    held = result_schema(CheckTables)["$defs"]["CondenserTable"]["properties"]
    assert list(held) == [*(one.name for one in dataclasses.fields(CondenserResult)), "supply"]


def test_every_schema_that_may_be_asked_for_is_made() -> None:
    assert get_args(What) == (*FILES, *PRINTED)
    for what in get_args(What):
        done = CliRunner().invoke(app, ["schema", "--what", what])
        jsonschema.Draft202012Validator.check_schema(json.loads(done.stdout))


@pytest.mark.parametrize(
    ("what", "printed"),
    [
        ("check", CheckTables),
        ("size", SizeTables),
        ("explain", ExplainTables),
        ("diagnosis", DiagnosisTables),
        ("drift", DriftTables),
        ("sweep", SweepTables),
        ("faults", FaultsTables),
    ],
)
def test_the_command_prints_the_schema(what: str, printed: type[Any]) -> None:
    done = CliRunner().invoke(app, ["schema", "--what", what])
    assert done.exit_code == 0
    assert json.loads(done.stdout) == result_schema(printed)


def test_every_output_names_the_program_and_the_job(tmp_path: Path) -> None:
    kittiwake = str(EXAMPLES / "kittiwake.toml")
    reading = ["-r", "flow=180 gal/h"]
    for words in (
        ["check", kittiwake],
        ["size", kittiwake, "--bores", "3/4 in", "--pumps", "demo-ac-350", "--draws", "20"],
        ["diagnose", kittiwake, *reading],
        ["sweep", kittiwake, "--vary", "pump=demo-ac-250"],
        ["baseline", kittiwake, *reading, "-o", str(tmp_path / "job.toml")],
        ["diagnose", str(EXAMPLES / "kittiwake-season.toml"), "--drift"],
    ):
        done = CliRunner().invoke(app, [*words, "--json"])
        assert done.exit_code == 0, done.output
        told = json.loads(done.stdout)
        assert told["loop"] == program_version()
        assert Job.model_validate(told["job"]).title.startswith("Kittiwake")


@pytest.mark.parametrize("path", JOBS, ids=lambda path: path.stem)
def test_an_example_printed_gives_the_same_results(path: Path) -> None:
    job = read_job(path)
    assert again(job) == job
    printed, own = (check_json(check(one, fixes=False)) for one in (again(job), job))
    assert printed == own


def made_up_jobs(count: int) -> list[Job]:
    found = []
    for seed in range(count):
        rng = random.Random(seed)
        tables = made_up(rng)
        for part in tables["part"]:
            if part["kind"] == "pump" and rng.random() < 0.5:
                part["curve"] = made_up_pump(rng)
        try:
            found.append(parse_job(tables))
        except JobError:
            continue  # a job in which one random value does not suit another
    return found


def test_random_jobs_printed_give_the_same_results() -> None:
    jobs = made_up_jobs(40)
    assert len(jobs) > 25
    assert any(job.pump.curve.name == "demo-made-up" for job in jobs)
    for job in jobs:
        assert again(job) == job
    for job in jobs[:10]:
        assert solve(again(job)).flow == pytest.approx(solve(job).flow, rel=1e-12)


def test_a_pump_of_another_file_goes_along_whole() -> None:
    rng = random.Random(1)
    job = parse_job(changed((6, "curve", made_up_pump(rng))))
    assert job.pump.curve.name == "demo-made-up"
    assert as_read(inputs(job))["job"]["part"][5]["curve"]["port"] == pytest.approx(0.01905)
    with pytest.raises(JobError, match=r"part 6 \(pump\) curve port: is missing"):
        parse_job(
            changed((6, "curve", {k: v for k, v in made_up_pump(rng).items() if k != "port"}))
        )


def test_prices_and_ratings_keep_their_digits() -> None:
    sizing = {
        "price": {"hose_per_metre": {"3/4 in": 4.5, "19 mm": 7}},
        "strainers": [{"name": "large", "loss": "0.3 psi at 311 gal/h"}],
    }
    job = parse_job(plain_loop() | {"sizing": sizing})
    assert again(job).sizing == job.sizing
    rating = Rating.read("1/3 psi at 1/7 L/min")
    assert Rating.read(rating.as_text()) == rating
