"""The loop as found, dashed behind the loop as fixed."""

from pathlib import Path

import numpy as np
import pytest

from loop.check import CheckResult, check
from loop.draw.boxes import text_boxes
from loop.draw.picture import profile_beside
from loop.draw.profile import Found, found
from loop.draw.scene import Scene
from loop.draw.way import lay_out
from loop.job import Insert, Job, Put, edit, read_job
from loop.sheet.compose import sheet
from loop.units import parse
from loop.words.figures import SAY

EXAMPLES = Path(__file__).parent.parent / "examples"


def checked(job: Job) -> CheckResult:
    return check(job, fixes=False)


def beside(before: Job, after: Job) -> Found:
    scene = Scene(checked(after), "us", before=checked(before))
    name, parts = scene.path()
    return found(scene, name, lay_out(scene.point, parts))


def says_found(result: CheckResult, before: CheckResult | None) -> bool:
    return SAY("found") in [text for text, _ in text_boxes(profile_beside(result, before))]


def test_a_hose_over_a_stringer_is_dashed_where_it_was_led_lower() -> None:
    page = sheet(read_job(EXAMPLES / "petrel.toml"))
    assert page.changes
    line = beside(page.result.job, page.fixed.job)
    assert line.far is not None
    assert line.far[1] == pytest.approx(parse("4 in", "length"))
    # That hose alone, from end to end; the bleed that is new moves none.
    assert np.sum(np.isfinite(line.heights)) == 3
    assert says_found(page.fixed, page.result)
    assert not says_found(page.fixed, None)


def test_what_lies_where_it_lay_is_not_dashed() -> None:
    page = sheet(read_job(EXAMPLES / "razorbill.toml"))
    assert page.changes
    assert beside(page.result.job, page.fixed.job).far is None
    assert not says_found(page.fixed, page.result)


def test_a_pump_mounted_lower_moves_the_hoses_on_both_its_sides() -> None:
    after = read_job(EXAMPLES / "kittiwake.toml")
    before = edit(after, [Put("part[5].to", "6 in")])
    line = beside(before, after)
    assert line.far is not None
    assert line.far[1] == pytest.approx(parse("6 in", "length"))
    held = np.flatnonzero(np.isfinite(line.heights))
    assert len(held) == 4
    assert np.array_equal(held, np.arange(held[0], held[0] + 4))  # over the pump in one piece


def test_a_loop_with_another_number_of_hoses_has_no_line_beside() -> None:
    after = read_job(EXAMPLES / "kittiwake.toml")
    hose = {"kind": "hose", "length": "2 ft", "to": "5 in"}
    assert beside(edit(after, [Insert("part[11]", hose)]), after).far is None
