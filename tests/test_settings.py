"""Valves set to the stated angles: what a finding predicts comes true, and it is gone."""

import math
import tomllib
from functools import cache
from pathlib import Path

import pytest

from loop.balancing.balance import balance
from loop.balancing.flow_limiting import FlowLimit, limit_flows
from loop.balancing.isolation import open_units, valve_sites
from loop.balancing.throttle_valves import Throttle
from loop.check import CheckResult, check
from loop.check.build_context import build_context
from loop.check.maintenance import maintenance
from loop.check.pump_changes import rated_pump
from loop.check.throttle_actions import valve_actions
from loop.hydraulics import Network, build, solve
from loop.job import Job, locate, parse_job, read_job
from loop.parts import AnyPart, Branch, Condenser, Manifold, Seacock
from loop.parts.seacock import opening_at
from loop.units import parse
from loop.words.actions import FitPumpRated, FitValve, SetValve
from tests.loops import Table, codes, every_finding_speaks, found
from tests.test_balance import BRANCHES, branch, manifold_loop, many

EXAMPLES = sorted(
    path
    for path in (Path(__file__).parent.parent / "examples").glob("*.toml")
    if "[[part]]" in path.read_text(encoding="utf-8")
)


def applied(job: Job, network: Network, throttles: tuple[Throttle, ...]) -> Job:
    """The job with these valves set: existing ones turned, the others fitted."""
    turned = {id(network.parts[v.part]): v for v in throttles if v.part is not None}
    fitted = {v.unit or v.branch: v for v in throttles if v.part is None}

    def valve_of(valve: Throttle) -> Seacock:
        return Seacock(bore=valve.bore, open=opening_at(valve.angle))

    def deep(parts: tuple[AnyPart, ...], name: str) -> tuple[AnyPart, ...]:
        found: list[AnyPart] = []
        for part in parts:
            if isinstance(part, Manifold):
                ways = tuple(
                    Branch.model_construct(
                        name=b.name, part=deep(b.part, f"{name} / {b.name}" if name else b.name)
                    )
                    for b in part.branch
                )
                found.append(part.model_copy(update={"branch": ways}))
            elif id(part) in turned:
                angle = turned[id(part)].angle
                found.append(part.model_copy(update={"open": opening_at(angle)}))
            else:
                found.append(part)
            if isinstance(part, Condenser) and part.serves in fitted:
                found.append(valve_of(fitted[part.serves]))
        if name in fitted:
            found.insert(1, valve_of(fitted[name]))
        return tuple(found)

    return job.model_copy(update={"part": deep(job.part, "")})


def bypassed(opening: str | None = None) -> Table:
    """Two units and a wide bypass of them, which takes the water they need."""
    way: list[Table] = [{"kind": "hose", "bore": "1/2 in", "length": "8 ft", "to": "6 in"}]
    if opening is not None:
        way.append({"kind": "seacock", "label": "round valve", "bore": "1/2 in", "open": opening})
    cooling = {"a": "12000 BTU/h", "b": "12000 BTU/h"}
    branches = [branch("a"), branch("b", "7 ft"), {"name": "round", "part": way}]
    return manifold_loop(cooling, branches, "demo-ac-700")


def valved(openings: dict[str, str], pump: str = "demo-ac-700") -> Table:
    """Two different units, each with a ball valve in its branch."""
    ways = [
        branch(
            name,
            length,
            ({"kind": "seacock", "label": f"{name} valve", "open": openings.get(name, "100 %")},),
        )
        for name, length in (("a", "2 ft"), ("b", "16 ft"))
    ]
    return manifold_loop({"a": "9000 BTU/h", "b": "12000 BTU/h"}, ways, pump)


JOBS: dict[str, Job] = {
    **{path.stem: read_job(path) for path in EXAMPLES},
    **{f"{count} branches": many(count) for count in (2, 3, 4, 6)},
    "branches on a weak pump": parse_job(
        manifold_loop(
            {f"unit {n}": BRANCHES[n][1] for n in range(3)},
            [branch(f"unit {n}", BRANCHES[n][0]) for n in range(3)],
            "demo-dc-600",
        )
    ),
    "a way round": parse_job(bypassed()),
    "a way round, part shut": parse_job(bypassed("60 %")),
    "valves open": parse_job(valved({})),
    "the poor one's valve part shut": parse_job(valved({"b": "35 %"})),
    "the greedy one's valve far shut": parse_job(valved({"a": "20 %"})),
    "both valves part shut": parse_job(valved({"a": "55 %", "b": "60 %"})),
    "both valves part shut, strong pump": parse_job(
        valved({"a": "75 %", "b": "60 %"}, "demo-ac-1500")
    ),
}


# Those in which valves produce more than there is.
UNEVEN = (
    "razorbill", "4 branches", "a way round", "a way round, part shut", "valves open",
    "the poor one's valve part shut", "the greedy one's valve far shut", "both valves part shut",
)  # fmt: skip


@cache
def checked(name: str) -> CheckResult:
    return check(JOBS[name])


@pytest.mark.parametrize("name", UNEVEN)
def test_a_job_balanced_as_told_is_judged_balanced(name: str) -> None:
    job = JOBS[name]
    network = build(job)
    even = balance(network)
    assert "unbalanced" in codes(checked(name))
    every_finding_speaks(checked(name))
    assert even is not None
    after = check(applied(job, network, even.throttles), fixes=False)
    assert "unbalanced" not in codes(after)
    least = min(c.flow / c.needed_flow for c in after.condensers)
    assert least == pytest.approx(even.share, rel=5e-3)
    low = min(c.flow_low / c.needed_flow for c in after.condensers)
    assert low == pytest.approx(even.low, rel=5e-3)


FORKED = [name for name, job in JOBS.items() if any(isinstance(p, Manifold) for p in job.part)]


@pytest.mark.parametrize("name", FORKED)
def test_valves_told_against_too_much_leave_none_too_much_and_none_short(name: str) -> None:
    job = JOBS[name]
    network = build(job)
    point = solve(job)
    limits = [
        FlowLimit(network.line_of[i], network.branches[i], 1.2 * unit.needed_flow)
        for unit in job.condenser
        for i in [network.condenser_part(unit.name)]
    ]
    sites = [(name, need, i) for name, i, need in valve_sites(network, open_units(network))]
    held = limit_flows(network, sites, limits, start=point.line_flow)
    assert held is not None
    after = solve(applied(job, network, held.throttles))
    for unit in job.condenser:
        flow = after.flow_through(after.network.condenser_part(unit.name))
        assert flow <= 1.2 * unit.needed_flow
        said = held.line_flow[network.line_of[network.condenser_part(unit.name)]]
        assert flow == pytest.approx(said, rel=5e-3)


@pytest.mark.parametrize("opening", ["42 %", "46 %", "50 %", "100 %"])
def test_a_balancing_valve_that_is_there_is_told_its_new_angle(opening: str) -> None:
    """One angle, wherever the valve was: its present K and the K to add are one valve's."""

    def razorbill(text: str) -> Job:
        table = _table(EXAMPLES, "razorbill-balanced")
        manifold = next(part for part in table["part"] if part["kind"] == "manifold")
        manifold["branch"][0]["part"][1]["open"] = text
        return parse_job(table)

    context = build_context(razorbill(opening))
    assert found(check(context.job, fixes=False), "unbalanced")
    assert context.useful_balance is not None
    action = valve_actions(context, context.useful_balance.throttles)
    assert isinstance(action, SetValve)
    assert math.degrees(action.angle) == pytest.approx(57)
    mended = check(action.apply(context.job), fixes=False)
    assert not codes(mended) & {"unbalanced", "flow-excess", "flow-short", "flow-marginal"}


def _table(paths: list[Path], stem: str) -> Table:

    path = next(path for path in paths if path.stem == stem)
    return tomllib.loads(path.read_text(encoding="utf-8"))


def test_a_way_round_is_part_closed_before_a_pump_is_told() -> None:
    result = checked("a way round")
    assert result.verdict == "bad"
    (fit,) = found(result, "unbalanced")[0].actions[0].steps
    assert isinstance(fit, FitValve)
    assert (fit.branch, fit.unit, fit.bore) == ("round", "", pytest.approx(0.0127))
    assert "cannot-balance" not in codes(result)
    mended = check(found(result, "unbalanced")[0].actions[0].apply(result.job), fixes=False)
    assert all(c.flow_low >= c.needed_flow for c in mended.condensers)
    # With both units shut the water still circulates; nobody is told to keep that as it is.
    assert found(result, "branch-shut")[0].values["case"] == "bypass-short"
    assert found(mended, "branch-shut")[0].values["case"] == "bypass"


def test_a_valve_of_the_poor_branch_is_opened_before_a_pump_is_told() -> None:
    result = checked("the poor one's valve part shut")
    steps = [step for one in found(result, "unbalanced")[0].actions for step in one.steps]
    opened = [step.part for step in steps if isinstance(step, SetValve) and step.angle == 0]
    labels = {item.address: item.label for item in locate(result.job.part)}
    assert "b valve" in [labels[part] for part in opened]
    assert "cannot-balance" not in codes(result)


def test_no_unit_that_gets_too_little_is_told_to_be_throttled() -> None:
    for name in UNEVEN:
        result = checked(name)
        wanting = {c.name for c in result.condensers if c.flow_low < c.needed_flow}
        even = balance(result.point.network)
        assert even is not None
        assert not {v.unit for v in even.throttles if not v.opens} & wanting


@pytest.mark.parametrize(("outlet", "runs"), [("40 ft", True), ("3 ft", False)])
def test_a_unit_fed_round_a_shut_valve_is_judged_by_its_flow(outlet: str, runs: bool) -> None:
    """Water may return by one inner branch and leave by the other, past the shut outer valve.

    It must rise to the units, at 12 in, since the leg after the one holds air. A long hose to the
    outlet holds 25 in of head where the branches rejoin, and drives it around; a short one holds
    hardly more than the 12 in, which the tee takes.
    """
    inner = [branch("aa"), branch("ab", "9 ft")]
    inner[0]["part"] += [{"kind": "discharge", "height": "6 in"}]
    outer = {
        "name": "outer",
        "part": [
            {"kind": "hose", "length": "3 ft", "to": "6 in"},
            {"kind": "seacock", "label": "outer valve", "open": "0 %"},
            {"kind": "manifold", "branch": inner},
            {"kind": "hose", "length": "3 ft", "to": "6 in"},
        ],
    }
    cooling = {"aa": "9000 BTU/h", "ab": "9000 BTU/h", "b": "12000 BTU/h"}
    table = manifold_loop(cooling, [outer, branch("b", "2 ft")])
    table["part"][-2]["length"] = outlet
    result = check(parse_job(table))
    fed, back, _ = result.condensers
    assert (fed.flow > 0 > back.flow) if runs else (fed.flow == back.flow == 0)
    assert fed.flow == pytest.approx(-back.flow)
    told = {f.at.unit: f for f in found(result, "flow-short")}
    (outer_valve,) = (i.address for i in locate(result.job.part) if i.label == "outer valve")
    for unit in (fed, back):
        (opening,) = told[unit.name].actions[0].steps
        assert opening == SetValve(part=outer_valve, angle=0.0)
    # A unit that gets some water is judged by how much, one that gets none by what is shut.
    assert ("case" not in told["aa"].values) is runs
    assert told["ab"].values["case"] == "shut"
    assert ("back" in told["ab"].values) is runs


def test_a_branch_too_fast_with_another_shut_is_told_valves_that_hold_it() -> None:
    """Narrow branches on a strong pump: set this way, none is too fast when another is shut."""
    narrow = [branch(name, "4 ft") for name in "ab"]
    for way in narrow:
        for part in way["part"]:
            part["bore"] = "1/2 in"
        way["part"][1]["loss"] = "0.3 psi at 240 gal/h"
    table = manifold_loop(dict.fromkeys("ab", "6000 BTU/h"), narrow, "demo-ac-1500")
    result = check(parse_job(table))
    (told,) = found(result, "branch-shut")
    assert told.level == "warning"
    assert {step.kind for step in told.actions[0].steps} == {"fit-valve"}
    after = check(told.actions[0].apply(result.job), fixes=False)
    assert {f.level for f in after.findings if f.code == "branch-shut"} == {"note"}
    assert all(c.flow_low >= c.needed_flow for c in after.condensers)


def test_a_pump_wanted_is_no_larger_for_a_branch_that_nothing_reaches() -> None:
    """The need of both, and the band of a running loop: not twice the need."""
    high = branch("high", "20 ft")
    high["part"][-1]["to"] = "20 ft"
    high["part"].append({"kind": "discharge", "height": "20 ft"})
    table = manifold_loop(dict.fromkeys(["high", "low"], "12000 BTU/h"), [high, branch("low")])
    context = build_context(parse_job(table))
    assert context.branch_balance is not None
    assert context.branch_balance.share < 1
    (pump,) = (
        step
        for action in rated_pump(maintenance(context, context.shortest_unit))
        for step in action.steps
        if isinstance(step, FitPumpRated)
    )
    need = parse("360 gal/h", "flow")
    assert need < pump.flow <= 1.25 * need
