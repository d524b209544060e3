"""Lines without hose: a part whose height no hose sets is judged, but not offered another."""

import pytest

from loop.check import check
from loop.job import parse_job
from loop.parts import Discharge, Manifold
from loop.size import size
from loop.size.limits import with_units_higher
from tests.loops import Table, changed, found

FEW = {"bores": ["3/4 in"], "pumps": ["demo-ac-350", "demo-ac-700"]}


def boat(*branch: Table) -> Table:
    """Two units, each with an outlet: one after this branch, the other on hoses."""
    table = changed((6, "curve", "demo-ac-700"), (8, "to", "4 in"), ("boat", "heel", "12 deg"))
    table["condenser"].append({"name": "cabin", "cooling": "9000 BTU/h"})
    own, out = dict(table["part"][8], serves="cabin"), dict(table["part"][10], off_centre="20 in")
    way = [{"kind": "hose", "length": "6 ft", "to": "5 in"}, own, out]
    ways = [{"name": "own", "part": [*branch]}, {"name": "cabin", "part": way}]
    table["part"][8:] = [{"kind": "manifold", "branch": ways}]
    table["sizing"] = FEW
    return table


UNIT = {"kind": "condenser", "serves": "saloon", "loss": "2.2 psi at 240 gal/h"}


def outlet(height: str) -> Table:
    return {"kind": "discharge", "height": height, "off_centre": "60 in"}


def test_an_outlet_right_behind_its_unit_dips_and_is_lifted() -> None:
    job = parse_job(boat(UNIT, outlet("4 in")))
    result = check(job)
    assert result.verdict == "bad"
    (missing,) = (f for f in found(result, "seacock-missing") if f.level == "danger")
    assert [step.kind for step in missing.actions[0].steps] == ["fit-part"]
    assert size(job).options


def test_an_outlet_right_behind_its_unit_is_lifted_with_all_that_is_after_the_pump() -> None:
    job = with_units_higher(parse_job(boat(UNIT, outlet("4 in"))), 0.3)
    (header,) = (part for part in job.part if isinstance(part, Manifold))
    last = [way.part[-1] for way in header.branch]
    heights = [part.height for part in last if isinstance(part, Discharge)]
    assert heights == pytest.approx([0.3 + 4 * 0.0254, 5 * 0.0254])


def test_a_vented_loop_right_behind_a_header_is_too_low_and_is_not_raised() -> None:
    hose = {"kind": "hose", "length": "5 ft", "to": "10 in"}
    result = check(parse_job(boat({"kind": "vented loop"}, UNIT, hose, outlet("10 in"))))
    (low,) = found(result, "part-order")
    assert low.values["case"] == "vent-heeled"
    assert not low.actions


@pytest.mark.parametrize("height", ["-16 in", "1 in"])
def test_a_loop_of_no_hose_at_all_is_judged(height: str) -> None:
    table = changed((1, "height", height), (11, "height", height), (11, "off_centre", "20 in"))
    table |= {"boat": {"heel": "12 deg"}, "sizing": FEW}
    table["part"] = [part for part in table["part"] if part["kind"] != "hose"]
    job = parse_job(table)
    assert check(job).verdict == "bad"
    assert size(job).options
