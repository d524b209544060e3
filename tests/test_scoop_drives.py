"""A scoop that drives more water than the loop is made for: a flush grate is the first fix."""

from pathlib import Path

import pytest

from loop.check import check
from loop.job import Job, parse_job, write_job
from loop.words.actions import TurnScoop
from tests.command_line import loop
from tests.loops import changed, codes, found
from tests.test_bled import at_sea


def under_way(speed: str, tube: str | None = None, **pump: str) -> Job:
    """A loop that is right at rest, with a scoop that faces forward."""
    table = changed(("boat", "speed", speed), base=at_sea())
    table["part"][5] |= pump
    table["part"][8] |= {} if tube is None else {"tube_bore": tube}
    return parse_job(table)


@pytest.mark.parametrize(
    ("speed", "tube", "code"),
    [
        ("38 knot", None, "beyond-curve"),
        ("38 knot", None, "inlet-fast"),
        ("38 knot", None, "suction-fast"),
        ("30 knot", "0.5 in", "tube-fast"),
    ],
)
def test_what_the_speed_alone_drives_is_put_right_by_a_flush_grate(
    speed: str, tube: str | None, code: str
) -> None:
    job = under_way(speed, tube)
    assert check(under_way("0 knot", tube), fixes=False).verdict == "good"
    action = found(check(job), code)[0].actions[0]
    assert action == TurnScoop("part[1]", "flush")
    assert check(action.apply(job), fixes=False).verdict == "good"


def test_a_loop_that_wants_its_scoop_keeps_it() -> None:
    """At rest the pump is too weak: with a flush grate the unit would also be short under way."""
    weak = under_way("38 knot", curve="demo-ac-250")
    result = check(weak)
    assert "at-rest-short" in codes(result)
    flush = {a for one in result.findings for a in one.actions} & {TurnScoop("part[1]", "flush")}
    assert not flush


@pytest.mark.wording
def test_a_pump_that_the_scoop_drives_is_not_said_to_give_a_head_below_none(tmp_path: Path) -> None:
    path = tmp_path / "job.toml"
    write_job(under_way("38 knot"), path)
    printed = loop("check", path, width=200).output
    (line,) = (one for one in printed.splitlines() if one.startswith("Pump  "))
    assert line.startswith("Pump  The scoop's head drives ")
    assert "-" not in line.replace("demo-ac-350", "").replace("shut-off", "")
