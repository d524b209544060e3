"""Boats as installers bring them for sizing, each with a result that was once wrong."""

from typing import Any

import pytest

from loop.check import check
from loop.cli.size import _row
from loop.job import Job, JobError, parse_job
from loop.size import SizeResult, size, with_sizing
from loop.size.fit_choice import with_choice
from loop.size.option_search import OptionSearch
from loop.size.pump_search import search_pumps
from loop.size.rules import Rules
from loop.size.sections import sections
from loop.size.worst_case import at_worst_service
from loop.words.check_report import SAY as CHECK
from loop.words.sizing import SAY
from tests.loops import changed
from tests.said import is_said

Table = dict[str, Any]


def branch(name: str, bore: str, length: str, height: str, back: str) -> Table:
    hose = {"kind": "hose", "bore": bore}
    return {
        "name": name,
        "part": [
            {**hose, "length": length, "to": height},
            {"kind": "condenser", "serves": name, "loss": "2 psi at 180 gal/h", "bore": bore},
            {**hose, "length": back, "to": "10 in"},
        ],
    }


def cruiser(forward: str = "3/4 in") -> Job:
    """Three units, one of them on the flybridge, 8 ft above the water; trunk of 1-1/4 in."""
    data = changed(
        ("defaults", "bore", "1-1/4 in"), (6, "curve", "demo-ac-1500"), (6, "supply", "115 V")
    )
    units = {"forward": "9000 BTU/h", "saloon": "12000 BTU/h", "flybridge": "9000 BTU/h"}
    data["condenser"] = [{"name": name, "cooling": load} for name, load in units.items()]
    ways = [
        branch("forward", forward, "26 ft", "12 in", "24 ft"),
        branch("saloon", "5/8 in", "8 ft", "12 in", "6 ft"),
        branch("flybridge", "3/4 in", "14 ft", "96 in", "14 ft"),
    ]
    data["part"][8:9] = [{"kind": "manifold", "branch": ways}]
    return parse_job(data)


def as_it_stands_agrees(result: SizeResult) -> None:
    verdict = check(at_worst_service(result.job), fixes=False).verdict
    assert result.options[result.as_is].passes == (verdict == "good") or result.aside


def test_a_cruiser_with_a_flybridge_unit_is_sized_by_branches() -> None:
    """Branches get their own bores without being asked, and the loop as it is is listed."""
    job = cruiser("5/8 in")
    rules = Rules(job)
    first, *others = search_pumps(OptionSearch(rules)).check_all()
    named = {(one.choice.pump.name, _row(one, True, "us")[0]) for one in (first, *others)}
    assert len(named) == 1 + len(others)  # no two rows of the table read the same
    assert first.choice.as_is
    assert first.passes == (check(at_worst_service(rules.job), fixes=False).verdict == "good")
    passing = [one.choice for one in others if one.passes]
    assert passing
    assert len(set(passing[0].branch_bores)) > 1
    served = at_worst_service(with_choice(rules.job, passing[0]))
    assert check(served, fixes=False).verdict == "good"


def test_a_total_draw_names_the_units_that_it_leaves_out() -> None:
    job = cruiser("5/8 in").replace({"condenser[2].electrical": "520 W at 100 degF"})
    few = {"pumps": "demo-ac-1000, demo-ac-1500", "bores": "5/8 in, 1 in"}
    draw = next(one for one in sections(size(with_sizing(job, few), draws=2)) if one.of == "draw")
    assert is_said(draw.note, CHECK, "draw-left-out", units="forward, flybridge")


@pytest.mark.parametrize("knots", [0, 18])
def test_a_scoop_at_speed_does_not_stand_in_for_a_pump_at_the_dock(knots: int) -> None:
    data = changed(("boat", "speed", f"{knots} knot"), (1, "facing", "forward"))
    few = {"pumps": "demo-ac-200, demo-ac-250, demo-ac-350, demo-ac-500", "bores": "3/4 in"}
    result = size(with_sizing(parse_job(data), few), draws=2)
    as_it_stands_agrees(result)
    assert result.choice is not None
    chosen = result.chosen
    at_rest = chosen.model_copy(update={"boat": chosen.boat.model_copy(update={"speed": 0.0})})
    point = check(at_rest, fixes=False)
    assert all(unit.flow_low >= unit.needed_flow for unit in point.condensers)


def test_a_pump_that_the_boats_supply_does_not_run_is_left_out_and_named() -> None:
    job = parse_job(changed((6, "curve", "demo-dc24-450"), (6, "supply", "24 V")))
    listed = with_sizing(job, {"pumps": "demo-ac-500, demo-dc24-450", "bores": "3/4 in, 1 in"})
    result = size(listed, draws=2)
    assert {option.choice.pump.name for option in result.options} == {"demo-dc24-450"}
    assert result.unsuited == ("demo-ac-500",)
    with_both = with_sizing(listed, {"supplies": "24 V DC, 115 V 60 Hz"})
    assert size(with_both, draws=2).unsuited == ()
    with pytest.raises(JobError) as told:
        size(with_sizing(job, {"pumps": "demo-ac-500"}), draws=2)
    assert is_said(told.value.problems[0], SAY, "wrong-supply")


def test_a_slow_suction_hose_asks_for_no_change() -> None:
    """1 in at 1.9 ft/s: a note, and no reason to fit another."""
    data = changed(("defaults", "bore", "3/4 in"), (3, "bore", "1 in"), (5, "bore", "1 in"),
                   ("condenser", "cooling", "14000 BTU/h"),
                   (6, "curve", "demo-ac-500"))  # fmt: skip
    job = with_sizing(parse_job(data), {"pumps": "demo-ac-500", "bores": "3/4 in, 1 in"})
    slow = {f.code for f in check(at_worst_service(job), fixes=False).findings}
    result = size(job, draws=2)
    assert result.options[result.as_is].passes, slow
    assert result.options[result.as_is].suction_velocity < 0.6
    assert result.least_change == ()
