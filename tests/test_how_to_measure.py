"""How to take readings on a loop: a bucket only where it can be held."""

from pathlib import Path

import pytest

from loop.diagnose.instruments import instruments
from loop.diagnose.reading_kinds import KINDS
from loop.job import Job, parse_job, read_job, read_toml

EXAMPLES = Path(__file__).parent.parent / "examples"


def way(job: Job, key: str) -> str:
    place = instruments(job)
    return place.columns[place.column_of[key]].kind.way


def test_one_discharge_above_the_water_is_caught_in_a_bucket():
    assert way(read_job(EXAMPLES / "kittiwake.toml"), "flow") == ""


@pytest.mark.parametrize("key", ["flow.saloon", "outlet_temperature.saloon"])
def test_a_branch_that_joins_again_has_no_discharge_of_its_own(key: str):
    job = read_job(EXAMPLES / "guillemot.toml")
    row = {"flow": "clamped-unit", "outlet_temperature": "strapped"}[key.partition(".")[0]]
    assert way(job, key) == row
    assert way(job, "flow") == ""


def test_several_discharges_are_caught_one_by_one():
    job = read_job(EXAMPLES / "dabchick.toml")
    assert way(job, "flow") == "each-discharge"
    assert way(job, f"flow.{job.condenser[0].name}") == "own-discharge"
    place = instruments(job)
    assert place.columns[place.column_of["flow"]].kind.minutes == 4 * KINDS["flow"].minutes


def test_no_bucket_is_held_under_the_water():
    tables = read_toml(EXAMPLES / "kittiwake.toml")
    tables["part"][-2]["to"] = tables["part"][-1]["height"] = "-3 in"
    job = parse_job(tables, "under water", str(EXAMPLES))
    assert way(job, "flow") == "clamped"
    assert way(job, "outlet_temperature") == "strapped"
