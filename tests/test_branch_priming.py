"""A branch that is dry while others run: the head left for it, and what to do until it fills."""

import math
import re
from functools import cache
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from loop.air.air_paths import AirPath, air_paths
from loop.air.branch_priming import BranchPriming
from loop.air.dry_path import DryPath
from loop.check import CheckResult, Finding, check
from loop.check.build_context import build_context
from loop.check.priming import priming_findings
from loop.hydraulics import shutoff_head, solve
from loop.job import Job, parse_job
from loop.parts.friction import velocity_head
from loop.parts.seacock import opening_at
from loop.sheet.asked import asked, valves_to_start
from loop.sheet.steps import steps
from loop.sheet.vents import vents
from loop.units import parse, show
from loop.words import Action, say
from loop.words.action_words import action_text
from loop.words.actions import FitBleed, FitPumpRated, LowerLine
from loop.words.hazards import OFF, OUT, hazard
from loop.words.job_sheet import SAY
from loop.words.said import start_order
from loop.words.speaker import Speaker, called, the_branch
from loop.words.start_valves import start_valves
from loop.words.teaching.steps import STEPS
from loop.words.template import Sayings
from tests.loops import Table, plain_loop
from tests.said import is_said
from tests.test_explain import explained

Branch = list[tuple[float, float]]  # length of hose and height at its end [in]


def hose(length: float, to: float) -> dict[str, Any]:
    return {"kind": "hose", "bore": "3/4 in", "length": f"{length} in", "to": f"{to} in"}


def job_of(*drawn: Any, **more: Any) -> Job:
    return parse_job(tables(*drawn, **more))


def tables(
    branches: dict[str, Branch], rejoin: bool = True, valve: str = "", bleeds: str = "", **more: Any
) -> Table:
    """Branches of two hoses or more, with a unit before the last hose; a seacock in branch `valve`.

    In branch `bleeds`, a bleed after each hose but the last.
    """
    tables = []
    for name, line in branches.items():
        parts: list[dict[str, Any]] = []
        for step in line:
            parts += [hose(*step), *[{"kind": "bleed"}] * (name == bleeds and step != line[-1])]
        parts.insert(-1, {"kind": "condenser", "serves": name, "loss": "0.8 psi at 240 gal/h"})
        if not rejoin:
            parts.append({"kind": "discharge", "height": f"{line[-1][1]} in"})
        if name == valve:
            parts.insert(0, {"kind": "seacock", **more})
        tables.append({"name": name, "part": parts})
    end = [hose(48, 6) | {"bore": "1 in"}, {"kind": "discharge", "height": "6 in"}]
    return {
        "water": {"temperature": "84 degF"},
        "defaults": {"bore": "1 in"},
        "condenser": [{"name": name, "cooling": "12000 BTU/h"} for name in branches],
        "part": [
            {"kind": "intake", "height": "-24 in"},
            {"kind": "seacock"},
            hose(48, -18) | {"bore": "1 in"},
            {"kind": "pump", "curve": "demo-ac-500"},
            {"kind": "bleed"},
            hose(72, 0) | {"bore": "1 in"},
            {"kind": "manifold", "branch": tables},
            *(end if rejoin else []),
        ],
    }


LOW: Branch = [(48, 12), (48, 6)]
HIGH: Branch = [(192, 105), (192, 6)]


@cache
def low_and_high() -> CheckResult:
    return check(job_of({"low": LOW, "high": HIGH}), fixes=False)


def solved_air(job: Job) -> tuple[AirPath, ...]:
    point = solve(job)
    return air_paths(point.network, point)


def paths_of(job: Job) -> dict[str, AirPath]:
    return {path.branch: path for path in solved_air(job)}


def starved(result: CheckResult) -> list[Finding]:
    return [f for f in result.findings if f.code == "start-head-short"]


def number(pattern: str, text: str) -> str:
    found = re.search(pattern, text)
    assert found is not None, text
    return found[1]


def test_dry_path_is_the_headers_with_the_dry_branch_shut() -> None:
    """The same loop with a shut valve in the high branch: the head at its manifold.

    A tee takes at most the header's velocity head from standing water in its branch.
    """
    priming = paths_of(job_of({"low": LOW, "high": HIGH}))["high"].priming
    shut = solve(job_of({"low": LOW, "high": HIGH}, valve="high", open="0 %"))
    header = next(s for s in shut.stations if s.kind == "manifold")
    assert priming is not None
    moving = velocity_head(header.flow, parse("1 in", "length"))
    assert header.total_head - 1.1 * moving <= priming.head_left <= header.total_head + 1e-6
    assert priming.head_left < 0.6 * float(shutoff_head(shut.network)[0])
    # The column to 105 in, and the running water's pressure where the branch rejoins at 6 in:
    # 0.55 velocity heads more than past the tee (Crane TP-410, 1.55 - 1, where nothing joins).
    back = next(s for s in shut.stations if s.branch == "low" and s.height < 0.2)
    high_point, pressed = 105 * 0.0254, back.total_head + 0.55 * moving - 6 * 0.0254
    assert priming.head == pytest.approx(high_point + pressed, abs=0.001)


def test_a_branch_that_stays_dry_is_a_warning_with_the_procedure() -> None:
    result = low_and_high()
    (told,) = starved(result)
    assert (told.level, told.at.branch) == ("warning", "high")
    assert result.verdict == "bad"  # what stays dry gets no water
    values = told.values
    assert values["case"] == "beside"
    assert values["others"] == values["missing"] == ("low",)
    assert f"{values['needed'] / 0.3048:.1f}" == "9.2"  # ft
    assert 6 < values["held"] / 0.3048 < 7


def test_a_branch_that_would_not_start_even_alone_is_a_danger_once() -> None:
    result = check(job_of({"low": LOW, "high": [(300, 200), (300, 6)]}), fixes=False)
    (told,) = starved(result)
    assert told.level == "danger"
    assert "case" not in told.values  # the pump's own shut-off head is not enough
    assert told.values["held"] < told.values["needed"]


def test_branches_on_one_height_wait_for_none() -> None:
    paths = paths_of(job_of({"a": HIGH, "b": HIGH}))
    assert [path.priming for path in paths.values()] == [None, None]
    near = paths_of(job_of({"low": LOW, "near": [(48, 14), (48, 6)]}))
    assert [path.starves for path in near.values()] == [False, False]


def test_a_shut_branch_takes_nothing_and_waits_for_nothing() -> None:
    branches = {"low": LOW, "high": HIGH}
    assert not starved(check(job_of(branches, valve="low", open="0 %"), fixes=False))
    assert not starved(check(job_of(branches, valve="high", open="0 %"), fixes=False))


def test_the_order_of_branches_in_the_file_matters_no_more_than_their_tees() -> None:
    heads = []
    for names in ("low", "high"), ("high", "low"):
        lines = {"low": LOW, "high": HIGH}
        path = paths_of(job_of({name: lines[name] for name in names}))["high"]
        assert path.priming is not None
        assert path.priming.others == ("low",)
        heads.append(path.priming.head_left)
    assert heads[0] == pytest.approx(heads[1], rel=0.05)


def test_the_highest_of_three_waits_for_both_others_and_leaves_them_alone() -> None:
    lines: dict[str, Branch] = {"low": LOW, "mid": [(48, 20), (48, 6)], "high": HIGH}
    paths = paths_of(job_of(lines))
    assert [name for name, path in paths.items() if path.starves] == ["high"]
    priming = paths["high"].priming
    assert priming is not None
    assert set(priming.others) == {"low", "mid"}
    two = paths_of(job_of({"low": LOW, "high": HIGH}))["high"].priming
    assert two is not None
    assert priming.head_left < two.head_left


def test_a_loop_without_branches_waits_for_nothing() -> None:
    (path,) = solved_air(parse_job(plain_loop()))
    assert path.priming is None


@settings(max_examples=20, deadline=None)
@given(st.lists(st.integers(4, 110), min_size=2, max_size=4), st.booleans())
def test_what_is_left_unsolved_would_fill(tops: list[int], rejoin: bool) -> None:
    """A path is skipped if header head with every branch running suffices; solved, it fills too."""
    lines: dict[str, Branch] = {
        f"b{n}": [(48 + 2 * top, top), (48 + 2 * top, 6)] for n, top in enumerate(tops)
    }
    point = solve(job_of(lines, rejoin))
    found = air_paths(point.network, point)
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(DryPath, "primes_at_point", lambda *_: False)
        solved = air_paths(point.network, point)
    for quick, whole in zip(found, solved, strict=True):
        assert quick.starves is whole.starves
        # A path waits only for those that start on less head.
        lower = [path for path in found if path.start_head < whole.start_head - 1e-6]
        assert (whole.priming is None) is (not lower)


def test_a_lower_supply_leaves_less() -> None:
    def priming(sizing: dict[str, str]) -> BranchPriming:
        data = tables({"low": LOW, "high": HIGH}) | {"sizing": sizing}
        data["part"][3]["curve"] = "demo-dc-600"
        found = paths_of(parse_job(data))["high"].priming
        assert found is not None
        return found

    rated, low = priming({}), priming({"lowest_supply": "10.5 V"})
    assert low.head_left < rated.head_left
    assert not low.primes
    assert low.angle() > rated.angle()


def test_the_sheet_and_the_explanation_tell_the_order_too() -> None:
    result = low_and_high()
    told = steps(result, vents(result))
    (told_fix,) = starved(result)
    said = start_order(told_fix, result.job)
    (order,) = (
        text
        for text in told
        if is_said(text, SAY, "run-held-back", branch=the_branch("high"), order=said)
    )
    start = next(i for i, text in enumerate(told) if is_said(text, SAY, "run-start"))
    assert told.index(order) < start
    meanings = [step.meaning for step in explained(result.job).steps]
    held = told_fix.values["held"]
    assert isinstance(held, float)
    left = show(held, "head", "us")
    beside = Sayings(lambda: STEPS["priming"].says)
    assert any(is_said(m, beside, "beside", others="low", left=left) for m in meanings)


def told_steps(result: CheckResult) -> list[str]:
    """The steps for the loop as it stands, before it is fixed."""
    return list(steps(result, vents(result)))


@pytest.mark.parametrize("seacock", [True, False])
def test_a_valve_to_start_with_is_bought_and_fitted_before_the_sea_is_let_in(seacock: bool) -> None:
    data = tables({"to the low": LOW, "high": HIGH})
    if not seacock:
        del data["part"][1]
    job = parse_job(data)
    result, speaker = check(job, fixes=False), Speaker(job)
    (finding,) = starved(result)
    (valve,) = start_valves(finding, speaker)
    assert valve.branch == "to the low"
    # With it the branch has one, and open it changes nothing else.
    fitted = valve.apply(job)
    (after,) = starved(check(fitted, fixes=False))
    assert not start_valves(after, Speaker(fitted))
    # The action says how the sea is kept out, in finding and sheet, and comes first there.
    fit = action_text(valve, speaker)
    kept_out = hazard(valve, speaker)
    assert fit.startswith(kept_out)
    assert all(one in kept_out for one in ((OFF, called("seacock")) if seacock else (OUT,)))
    assert say(finding, job).always.startswith(fit)
    told = told_steps(result)
    (fitting,) = (i for i, text in enumerate(told) if is_said(text, SAY, "rest-fit-valves"))
    assert fit.lower() in told[fitting].lower()
    opened = [i for i, text in enumerate(told) if is_said(text, SAY, "rest-open")]
    assert bool(opened) == seacock
    running = [i for i, text in enumerate(told) if is_said(text, SAY, "run-start")]
    assert all(fitting < i for i in (*opened, *running))
    bought = [item for item in asked(result) if item.what == SAY("buy-valve")]
    assert [item.size for item in bought] == [SAY("buy-port", "us", bore=parse("1 in", "length"))]


def test_a_branch_that_has_its_valve_gets_no_other() -> None:
    result = check(job_of({"low": LOW, "high": HIGH}, valve="low"), fixes=False)
    (finding,) = starved(result)
    assert not start_valves(finding, Speaker(result.job))
    assert not valves_to_start(result)
    assert not any(is_said(text, SAY, "rest-fit-valves") for text in told_steps(result))


def test_a_branch_is_called_by_what_it_leads_to() -> None:
    data = tables({"to the low": LOW, "To high": HIGH})
    for unit, branch in zip(data["condenser"], data["part"][6]["branch"], strict=True):
        unit["name"] = branch["part"][-2]["serves"] = f"unit of {branch['name'][-3:]}"
    result = check(parse_job(data), fixes=False)
    (finding,) = starved(result)
    told = say(finding, result.job)
    texts = [told.always, told.message, start_order(finding, result.job)]
    texts += [step.meaning for step in explained(result.job).steps]
    for text in texts:
        assert not re.search(r"\b(of|while|through|with|back) to\b", text, re.IGNORECASE), text
    assert start_order(finding, result.job).endswith(" high")


heights = st.tuples(st.integers(4, 20), st.integers(70, 130), st.booleans(), st.booleans())


def lines_of(low: int, high: int, over: bool) -> dict[str, Branch]:
    """A low branch and a high one; with `over`, a second high point after a low point."""
    way: Branch = [(200, high), (200, high - 30)] if over else [(200, high)]
    return {"low": [(48, low), (48, 6)], "high": [*way, (200, high - 8), (200, 6)]}


def dry(job: Job) -> list[tuple[Finding, list[Action]]]:
    """Findings about branches that stay dry, with possible fixes, without the whole check."""
    context = build_context(job)
    found = (draft for path in context.air_paths for draft in priming_findings(context, path))
    return [
        (draft.finding, list(draft.candidates()))
        for draft in found
        if draft.finding.values.get("case") == "beside"
    ]


@settings(max_examples=8, deadline=None)
@given(heights)
def test_the_angle_given_fills_the_branch_and_a_degree_less_does_not(
    drawn: tuple[int, int, bool, bool],
) -> None:
    low, high, over, rejoin = drawn
    lines = lines_of(low, high, over)
    found = dry(job_of(lines, rejoin))
    if not found or "angle" not in found[0][0].values:
        return
    said = found[0][0].values["angle"]
    assert isinstance(said, float)
    angle = round(math.degrees(said))
    for turned, fills in ((angle, True), (angle - 1, False)):
        opened = f"{100 * opening_at(turned):.9f} %"
        assert (not dry(job_of(lines, rejoin, "low", open=opened, bore="3/4 in"))) is fills
    # An existing valve is turned to the same angle; a missing one is named.
    assert found[0][0].values["missing"] == ("low",)
    ((there, _),) = dry(job_of(lines, rejoin, "low", bore="3/4 in"))
    assert "missing" not in there.values


@settings(max_examples=8, deadline=None)
@given(heights)
def test_a_branch_brought_down_bled_or_given_a_pump_as_said_fills(
    drawn: tuple[int, int, bool, bool],
) -> None:
    low, high, over, rejoin = drawn
    job = job_of(lines_of(low, high, over), rejoin)
    for _, actions in dry(job):
        assert any(isinstance(one, FitPumpRated) for one in actions)
        for action in actions:
            for step in action.steps:
                assert isinstance(step, FitBleed | LowerLine | FitPumpRated)
        bled_or_lower = [one for one in actions if not isinstance(one, FitPumpRated)]
        assert not any(dry(one.apply(job)) for one in bled_or_lower)
        pumps = [one for one in actions if isinstance(one, FitPumpRated)]
        assert not all(dry(one.apply(job)) for one in pumps)
