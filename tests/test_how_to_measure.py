"""How readings are taken on a loop: a bucket only where it can be held."""

from pathlib import Path

import pytest

from loop.diagnose.instruments import bench
from loop.diagnose.reading_kinds import KINDS
from loop.job import Job, parse_job, read_job, read_toml

EXAMPLES = Path(__file__).parent.parent / "examples"


def how(job: Job, key: str) -> str:
    place = bench(job)
    return place.columns[place.at[key]].kind.how


def test_one_discharge_above_the_water_is_caught_in_a_bucket():
    assert how(read_job(EXAMPLES / "kittiwake.toml"), "flow") == KINDS["flow"].how


@pytest.mark.parametrize("key", ["flow.saloon", "outlet_temperature.saloon"])
def test_a_branch_that_joins_again_has_no_discharge_of_its_own(key: str):
    job = read_job(EXAMPLES / "guillemot.toml")
    assert "discharge" not in how(job, key)
    assert "discharge" in how(job, "flow")


def test_several_discharges_are_caught_one_by_one():
    job = read_job(EXAMPLES / "dabchick.toml")
    assert "under each discharge in turn" in how(job, "flow")
    assert "this unit's own discharge" in how(job, f"flow.{job.condenser[0].name}")
    place = bench(job)
    assert place.columns[place.at["flow"]].kind.minutes == 4 * KINDS["flow"].minutes


def test_no_bucket_is_held_under_the_water():
    tables = read_toml(EXAMPLES / "kittiwake.toml")
    tables["part"][-2]["to"] = tables["part"][-1]["height"] = "-3 in"
    job = parse_job(tables, "under water", str(EXAMPLES))
    assert "clamp-on flow meter" in how(job, "flow")
    assert "stream" not in how(job, "outlet_temperature")
