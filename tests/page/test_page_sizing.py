"""The page's edits after a sizing fit the loop as the sizing says."""

import json
from pathlib import Path

import pytest

from loop.check import check
from loop.job import edit, read_job
from loop.page.answer import read_edits
from loop.page.tasks import sizing_tables
from loop.size import size
from tests.loops import job_of
from tests.test_size import narrow

JOB = read_job(Path(__file__).parent.parent.parent / "examples" / "turnstone.toml")


def test_an_option_of_a_dirty_loop_is_fitted_with_what_is_put_right_first() -> None:
    dirty = narrow(job_of((4, "blocked", "92 %"), (2, "open", "30 %")), bores="3/4 in")
    assert check(dirty, fixes=False).verdict == "bad"
    best, *_ = sizing_tables(dirty, lambda done, total: None)["options"]
    assert best["passes"]
    fitted = edit(dirty, read_edits(json.loads(json.dumps(best["edits"]))))
    assert check(fitted, fixes=False).verdict == "good"


@pytest.mark.extended
def test_options_and_the_smallest_change_can_be_fitted() -> None:
    told: list[float] = []
    shown = json.loads(
        json.dumps(sizing_tables(JOB, lambda done, total: told.append(done / total)))
    )
    assert told == sorted(told)
    assert told[-1] == pytest.approx(1.0)
    assert check(JOB).verdict != "good"
    result = size(JOB)
    best = edit(JOB, read_edits(shown["options"][0]["edits"]))
    fitted = result.options[0].choice
    assert best.pump.curve.name == fitted.pump.name
    assert best.part[2].bore == fitted.suction_bore
    (least,) = (one["edits"] for one in shown["sections"] if one["of"] == "least")
    for edits in (shown["options"][0]["edits"], least):
        assert edits
        assert check(edit(JOB, read_edits(edits))).verdict == "good"
