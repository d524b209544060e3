"""Job files that once caused a traceback or took minutes: each command answers them in time.

Fixes are not searched for: `check` bounds that (`tests/test_effort.py`).
"""

import time
from functools import partial
from importlib import import_module
from pathlib import Path

import pytest
from typer.testing import CliRunner, Result

from loop.check import check
from loop.cli import app
from loop.job import read_job

BROKEN = Path(__file__).parent / "broken"


def answered(*words: str, within: float) -> Result:
    """Runs a command, which must answer within this processor time."""
    began = time.process_time()
    done = CliRunner().invoke(app, list(words))
    assert done.exit_code == 0, done.exception
    assert time.process_time() - began < within
    return done


@pytest.mark.parametrize(
    "name",
    ["explain-hang", "explain-zerodivision", "explain-divides-by-zero", "explain-takes-long"],
)
def test_branches_with_next_to_no_flow_are_explained(
    name: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(import_module("loop.teach.explain"), "check", partial(check, fixes=False))
    answered("explain", str(BROKEN / f"{name}.toml"), within=5.0)


def test_air_in_what_branches_share_counts_on_each_of_their_paths() -> None:
    """No water flows, so each path needs more head than the pump has."""
    job = read_job(BROKEN / "explain-divides-by-zero.toml")
    (finding,) = (one for one in check(job, fixes=False).findings if one.code == "no-flow")
    assert finding.values["case"] == "air"
    assert finding.values["needed"] > finding.values["shutoff"]
