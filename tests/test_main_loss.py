"""The largest loss is named if a unit is short: a part, a run, the lift, air."""

from typing import Any

import pytest

from loop.check import check
from loop.job import Job, parse_job
from loop.words import Finding, Value, say
from loop.words.numbers import said
from tests.branches import branched
from tests.loops import changed, job_of

STRAINER, HOSE_UP, UNIT, HOSE_OUT, OUTLET = 4, 8, 9, 10, 11
NARROW = "1/2 in"
# What is wrong with the plain loop, and what then takes its head.
TAKES: list[tuple[str, list[tuple[Any, str, Any]], dict[str, Value]]] = [
    ("basket full", [(STRAINER, "blocked", "90 %")], {"taker": "part[4]"}),
    ("a valve at work", [(2, "open", "25 %")], {"taker": "part[2]"}),
    (
        "long and narrow",
        [(HOSE_OUT, "length", "60 ft"), (HOSE_OUT, "bore", NARROW)],
        {"taker": "part[10]"},
    ),
    (
        "narrow all along",
        [(HOSE_UP, "bore", NARROW), (HOSE_UP, "length", "22 ft"), (HOSE_OUT, "bore", NARROW),
         (HOSE_OUT, "length", "22 ft")],
        {"after_pump": 0.0127},
    ),
    (
        "far up",
        [(HOSE_OUT, "to", "7 ft"), (HOSE_OUT, "length", "9 ft"), (OUTLET, "height", "7 ft")],
        {"lift": 2.1336},
    ),
    (
        "over a high point",
        [(HOSE_UP, "to", "7 ft"), (HOSE_UP, "length", "12 ft"), (HOSE_OUT, "length", "12 ft"),
         (HOSE_UP, "bore", "1 in"), (HOSE_OUT, "bore", "1 in")],
        {"air": 2.1336},
    ),
]  # fmt: skip


def short_of(job: Job) -> tuple[Finding, str]:
    found = next(one for one in check(job).findings if one.code in ("flow-short", "flow-marginal"))
    return found, say(found, job).message


def short(*changes: tuple[Any, str, Any]) -> tuple[Finding, str]:
    return short_of(job_of(*changes))


@pytest.mark.parametrize(
    ("changes", "wanted"), [row[1:] for row in TAKES], ids=[t[0] for t in TAKES]
)
def test_what_takes_the_most_is_named(
    changes: list[tuple[Any, str, Any]], wanted: dict[str, Value]
) -> None:
    found, message = short(*changes)
    for name, value in wanted.items():
        assert found.values[name] == pytest.approx(value)
    taken = float(str(found.values["taken"]))
    assert 0.3 <= taken <= 1
    assert f" {said(taken, 'ratio', 'us')} " in message


def test_its_share_is_what_it_takes_of_the_pumps_head() -> None:
    changes = TAKES[0][1]
    point = check(job_of(*changes), fixes=False).point
    found, _ = short(*changes)
    assert found.values["taken"] == pytest.approx(
        point.stations[STRAINER - 1].head_loss / point.pump_head
    )


def test_nothing_is_named_where_the_head_is_well_divided() -> None:
    """All in 3/4 in, and a need above what the pump delivers."""
    data = changed()
    data["condenser"][0]["cooling"] = "20000 BTU/h"
    found, message = short_of(parse_job(data))
    assert "taken" not in found.values
    assert "of the head" not in message


def test_a_pump_on_few_volts_has_them_said() -> None:
    found, message = short((6, "curve", "demo-dc-320"), (6, "supply", "9.6 V"))
    assert (found.values["volts"], found.values["rated"]) == (9.6, 12)
    assert "9.6 V" in message
    assert "12 V" in message


def test_air_takes_no_more_head_than_there_is() -> None:
    """Of a branch far up, which stands dry while another runs."""
    table = branched(2).model_dump(mode="json", exclude_none=True)
    ways = [way["part"] for way in table["part"][8]["branch"]]
    ways[1][0].update(to=6.5, length=9.0)
    ways[1][2]["length"] = 9.0
    finding, _ = short_of(Job.model_validate(table))
    assert finding.at.unit == "unit 2"
    assert finding.values["air"] == pytest.approx(6.5)
    assert finding.values["taken"] == 1.0
