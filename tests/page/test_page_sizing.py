"""What the page offers after a sizing fits the loop as the sizing says."""

import json
from pathlib import Path

import pytest

from loop.check import check
from loop.job import edit, read_job
from loop.page.answer import read_edits
from loop.page.sizing import sizing_tables
from loop.size import size

JOB = read_job(Path(__file__).parent.parent.parent / "examples" / "turnstone.toml")


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
