"""Boats built like a job's: those behind the band, reproducible from their seed."""

import numpy as np
import pytest

import loop
from loop.job import read_job
from loop.words.commands import SAY
from tests.command_line import EXAMPLES
from tests.said import pattern

JOBS = ("kittiwake", "guillemot", "razorbill")


@pytest.mark.parametrize("name", JOBS)
def test_they_are_those_behind_the_band(name: str) -> None:
    job = read_job(EXAMPLES / f"{name}.toml")
    drawn, result = loop.boats(job, 4000, seed=3), loop.check(job)
    assert drawn.units == tuple(unit.name for unit in job.condenser)
    low, middle, high = np.quantile(drawn.flow, [0.025, 0.5, 0.975], axis=0)
    for number, unit in enumerate(result.condensers):
        assert low[number] == pytest.approx(unit.flow_low, rel=0.02)
        assert middle[number] == pytest.approx(unit.flow, rel=0.02)
        assert high[number] == pytest.approx(unit.flow_high, rel=0.02)
        sure = drawn.chance[number] > 0.975
        assert sure == (unit.flow_low > unit.needed_flow)


def test_a_seed_draws_the_same_again() -> None:
    job = read_job(EXAMPLES / "kittiwake.toml")
    one, again, other = (loop.boats(job, 50, seed) for seed in (1, 1, 2))
    assert np.array_equal(one.flow, again.flow)
    assert not np.array_equal(one.flow, other.flow)
    assert (one.condensing_temperature > one.inlet_temperature + one.temperature_rise[0]).any()
    assert repr(one).startswith("Boats(50 drawn with seed 1; enough water at saloon: ")


@pytest.mark.parametrize("count", [0, 1_000_001])
def test_too_few_and_too_many_are_refused(count: int) -> None:
    with pytest.raises(ValueError, match=pattern(SAY, "boats-count", value=str(count)).pattern):
        loop.boats(read_job(EXAMPLES / "kittiwake.toml"), count)
