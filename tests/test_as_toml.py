"""A job written as a file: it reads back as the same job, and a person can read it too."""

import json
import math
from pathlib import Path
from typing import Any

import numpy as np
import pytest

import loop
from loop.job import Job, JobError, parse_job, parse_toml, read_job
from loop.units import System
from tests.command_line import EXAMPLES, JOBS, KITTIWAKE
from tests.loops import plain_loop
from tests.random_jobs import random_job


def assert_same(one: Any, other: Any, at: str = "") -> None:
    """Equal values, numbers to 1e-9."""
    if isinstance(one, float):
        assert math.isclose(one, other, rel_tol=1e-9, abs_tol=1e-12), (at, one, other)
    elif isinstance(one, dict):
        assert len(one) == len(other), at
        for (key, value), (name, own) in zip(one.items(), other.items(), strict=True):
            assert_same(key, name, at)
            assert_same(value, own, f"{at}.{key}")
    elif isinstance(one, list | tuple):
        assert len(one) == len(other), at
        for number, (value, own) in enumerate(zip(one, other, strict=True)):
            assert_same(value, own, f"{at}[{number}]")
    else:
        assert one == other, at


def again(job: Job, units: System | None = None) -> Job:
    """The job read back from its written form, which must be the same."""
    read = parse_toml(job.to_toml(units))
    assert read.units == (units or job.units)
    assert_same(
        job.model_dump(exclude={"units"}),
        read.model_dump(exclude={"units"}),
    )
    return read


@pytest.mark.parametrize("units", [None, "us", "si"])
@pytest.mark.parametrize("path", JOBS, ids=lambda path: path.stem)
def test_an_example_is_read_back(path: Path, units: System | None) -> None:
    """To the last digit, so that a script can compare the two."""
    job = read_job(path)
    assert again(job, units).shown_in(job.units) == job


def test_a_temperature_has_no_more_digits_than_it_takes() -> None:
    job = read_job(KITTIWAKE).replace({"water.temperature": "21 degC", "boat.heel": "10 deg"})
    text = job.to_toml()
    assert '"69.8 degF"' in text
    assert '"10 deg"' in text


@pytest.mark.parametrize("units", [None, "si"])
def test_random_jobs_are_read_back(units: System | None) -> None:
    for seed in range(48):
        again(random_job(np.random.default_rng(seed), branches=3, depth=seed % 3), units)


FULL = {
    "condenser": [
        {
            "name": "saloon",
            "cooling": "12000 BTU/h",
            "electrical": ["620 W at 100 degF", "700 W at 120 degF"],
            "evaporating": "44 degF",
            "stage": [{"name": "low", "cooling": "6000 BTU/h", "electrical": "300 W at 95 degF"}],
        }
    ],
    "supply": {"battery": "200 Ah", "voltage": "12.8 V", "draw": ["60 A", "33 A"]},
    "sizing": {
        "bores": ["3/4 in", "19 mm", "1 in"],
        "pumps": ["demo-ac-350", "demo-ac-500"],
        "supplies": ["115 V 60 Hz"],
        "strainers": [{"name": 'the "large" one', "loss": "0.3 psi at 311 gal/h"}],
        "service_blocked": "40 %",
        "price": {"hose_per_metre": {"3/4 in": 4.5, "19 mm": 7}, "pump": {"demo-ac-350": 210}},
    },
    "defaults": {"bore": "3/4 in", "lining": "ribbed", "guessed": ["lining"]},
}


def full() -> Job:
    tables = plain_loop() | FULL
    tables["part"][7] |= {
        "via": [{"at": "2 ft", "height": "-4 in"}, {"at": "3 ft", "height": "6 in"}],
        "sweeps": ["90 deg", "45 deg"],
        "guessed": ["length"],
    }
    tables["part"][4] |= {"via": ["-11 in"], "lining": "smooth plastic"}
    return parse_job(tables)


def test_every_kind_of_table_is_read_back() -> None:
    job = full()
    units: tuple[System | None, ...] = (None, "us", "si")
    for system in units:
        again(job, system)
    text = job.to_toml()
    assert 'cooling = "12000 BTU/h"' in text
    assert 'via = ["-11 in"]' in text
    assert 'curve = "demo-ac-350"' in text
    assert text.count("ribbed") == 1
    assert "\n\n\n" not in text


def test_a_changed_job_is_saved_with_units_and_gives_the_same_check(tmp_path: Path) -> None:
    job = read_job(KITTIWAKE).replace({"part[8].length": 3.5, "part[4].blocked": 0.25})
    target = tmp_path / "changed.toml"
    loop.write_job(job, target)
    text = target.read_text("utf-8")
    assert 'blocked = "25 %"' in text
    found, before = loop.check(read_job(target)), loop.check(job)
    assert found.point.flow == pytest.approx(before.point.flow, rel=1e-9)
    assert [one.code for one in found.findings] == [one.code for one in before.findings]
    loop.write_job(job, target, "si")
    assert read_job(target).units == "si"


def test_a_part_made_in_code_has_its_kind_in_the_file() -> None:
    job = read_job(KITTIWAKE)
    hose = loop.Hose(length=3.0, to=job.part[7].to)  # type: ignore[union-attr]
    made = job.replace({"part[8]": hose})
    assert again(made).part[7].kind == "hose"


def test_a_pump_of_another_file_goes_along_whole(tmp_path: Path) -> None:
    own = loop.load_pump("demo-ac-350").model_copy(update={"note": "with a worn wheel"})
    job = read_job(KITTIWAKE).replace({"pump": own})
    target = tmp_path / "own.toml"
    loop.write_job(job, target)
    assert read_job(target).pump.curve.note == "with a worn wheel"


def test_the_job_in_a_results_tables_is_read_by_the_model() -> None:
    """Its numbers are in SI; a file's have units, which `parse_job` requires."""
    result = loop.check(read_job(EXAMPLES / "dabchick.toml"))
    table = json.loads(result.to_json())["job"]
    assert loop.Job.model_validate(table) == result.job
    with pytest.raises(JobError, match="needs"):
        loop.parse_job(table)
