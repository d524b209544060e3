"""Hundreds of nearly correct names: reported in time, the first ones with a hint."""

import time

import pytest

from loop.diagnose import parse_readings
from loop.job import JobError, parse_job
from tests.loops import Table, plain_loop

LONG = "cabin on the starboard side number {} of the whole boat"
MANY = 700


def many_units(served: str) -> Table:
    """A loop with hundreds of units in series, each served under this name."""
    data = plain_loop()
    cooling = {"cooling": "1000 BTU/h"}
    data["condenser"] = [{"name": LONG.format(number), **cooling} for number in range(MANY)]
    unit = {"kind": "condenser", "loss": "0.1 psi at 240 gal/h"}
    data["part"][8:9] = [{**unit, "serves": served.format(number)} for number in range(MANY)]
    return data


def test_units_that_are_served_under_other_names() -> None:
    data = many_units("K" + LONG[1:])
    began = time.process_time()
    with pytest.raises(JobError) as caught:
        parse_job(data)
    assert time.process_time() - began < 2.0
    told = caught.value.problems
    assert told[0].endswith(f"nearest: {LONG.format(0)!r}")
    assert told[MANY // 5].endswith(f"the name {'K' + LONG[1:].format(MANY // 5)!r}")


def test_readings_of_units_that_are_not_there() -> None:
    job = parse_job(many_units(LONG))
    readings = {f"outlet_temperature.Kabin {number}": "80 degF" for number in range(MANY)}
    began = time.process_time()
    with pytest.raises(JobError) as caught:
        parse_readings(readings, job)
    assert time.process_time() - began < 2.0
    assert len(caught.value.problems) == MANY
