"""A branch that is dry while others run: what is left for it, and what to do until it fills."""

import re
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from loop.air.air_paths import AirPath, Filling, air_paths
from loop.air.head_left import Beside
from loop.check import CheckResult, check
from loop.check.result import Finding
from loop.check.start import start_findings
from loop.hydraulics import shutoff_head, solve
from loop.job import Job, parse_job
from loop.parts.friction import velocity_head
from loop.parts.seacock import opening_at
from loop.sheet.steps import steps
from loop.sheet.vents import vents
from loop.teach import explain
from loop.units import parse
from tests.loops import Table, plain_loop, subject_of

Branch = list[tuple[float, float]]  # length of hose and height at its end [in]


def hose(length: float, to: float) -> dict[str, Any]:
    return {"kind": "hose", "bore": "3/4 in", "length": f"{length} in", "to": f"{to} in"}


def job_of(*drawn: Any, **more: Any) -> Job:
    return parse_job(tables(*drawn, **more))


def tables(
    branches: dict[str, Branch], rejoin: bool = True, valve: str = "", bleeds: str = "", **more: Any
) -> Table:
    """Branches of two hoses or more, a unit before the last; a seacock in the branch `valve`.

    And in the branch `bleeds` a bleed after each hose but the last.
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


def test_head_left_is_the_headers_with_the_dry_branch_shut() -> None:
    """The same loop with a shut valve in the high branch: what stands at its manifold.

    A tee takes at most the header's velocity head from water that stands in its branch.
    """
    filling = paths_of(job_of({"low": LOW, "high": HIGH}))["high"].filling
    shut = solve(job_of({"low": LOW, "high": HIGH}, valve="high", open="0 %"))
    header = next(s for s in shut.stations if s.kind == "manifold")
    assert filling is not None
    moving = velocity_head(header.flow, parse("1 in", "length"))
    assert header.total_head - 1.1 * moving <= filling.head_left <= header.total_head + 1e-6
    assert filling.head_left < 0.6 * float(shutoff_head(shut.network)[0])
    # The column to 105 in, and the running water's pressure where the branch comes back at 6 in:
    # 0.55 velocity heads more than past the tee (Crane TP-410, 1.55 - 1, where nothing joins).
    back = next(s for s in shut.stations if s.branch == "low" and s.height < 0.2)
    crest, pressed = 105 * 0.0254, back.total_head + 0.55 * moving - 6 * 0.0254
    assert filling.head == pytest.approx(crest + pressed, abs=0.001)


def test_a_branch_that_stays_dry_is_a_warning_with_the_procedure() -> None:
    result = check(job_of({"low": LOW, "high": HIGH}))
    (told,) = starved(result)
    assert (told.level, told.where) == ("warning", "branch high")
    assert result.verdict == "bad"  # what stays dry gets no water
    assert "while low runs, 6." in told.message
    assert "and it takes 9.2 ft to fill high" in told.message
    assert told.fix.startswith("fit a ball valve at the start of low, and until water runs through")


def test_a_branch_that_would_not_start_even_alone_is_a_danger_once() -> None:
    (told,) = starved(check(job_of({"low": LOW, "high": [(300, 200), (300, 6)]})))
    assert told.level == "danger"
    assert "no flow" in told.message


def test_branches_on_one_height_wait_for_none() -> None:
    paths = paths_of(job_of({"a": HIGH, "b": HIGH}))
    assert [path.filling for path in paths.values()] == [None, None]
    near = paths_of(job_of({"low": LOW, "near": [(48, 14), (48, 6)]}))
    assert [path.starves for path in near.values()] == [False, False]


def test_a_shut_branch_takes_nothing_and_waits_for_nothing() -> None:
    branches = {"low": LOW, "high": HIGH}
    assert not starved(check(job_of(branches, valve="low", open="0 %")))
    assert not starved(check(job_of(branches, valve="high", open="0 %")))


def test_the_order_of_branches_in_the_file_matters_no_more_than_their_tees() -> None:
    heads = []
    for names in ("low", "high"), ("high", "low"):
        lines = {"low": LOW, "high": HIGH}
        path = paths_of(job_of({name: lines[name] for name in names}))["high"]
        assert path.filling is not None
        assert path.filling.others == ("low",)
        heads.append(path.filling.head_left)
    assert heads[0] == pytest.approx(heads[1], rel=0.05)


def test_the_highest_of_three_waits_for_both_others_and_leaves_them_alone() -> None:
    lines: dict[str, Branch] = {"low": LOW, "mid": [(48, 20), (48, 6)], "high": HIGH}
    paths = paths_of(job_of(lines))
    assert [name for name, path in paths.items() if path.starves] == ["high"]
    filling = paths["high"].filling
    assert filling is not None
    assert set(filling.others) == {"low", "mid"}
    two = paths_of(job_of({"low": LOW, "high": HIGH}))["high"].filling
    assert two is not None
    assert filling.head_left < two.head_left


def test_a_loop_without_branches_waits_for_nothing() -> None:
    (path,) = solved_air(parse_job(plain_loop()))
    assert path.filling is None


@settings(max_examples=20, deadline=None)
@given(st.lists(st.integers(4, 110), min_size=2, max_size=4), st.booleans())
def test_what_is_left_unsolved_would_fill(tops: list[int], rejoin: bool) -> None:
    """A way is let off on the header's head with every branch running: solved, it fills too."""
    lines: dict[str, Branch] = {
        f"b{n}": [(48 + 2 * top, top), (48 + 2 * top, 6)] for n, top in enumerate(tops)
    }
    point = solve(job_of(lines, rejoin))
    found = air_paths(point.network, point)
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(Beside, "fills_at_point", lambda *_: False)
        solved = air_paths(point.network, point)
    for quick, whole in zip(found, solved, strict=True):
        assert quick.starves is whole.starves
        # A way waits for just those that start on less head.
        lower = [path for path in found if path.start_head < whole.start_head - 1e-6]
        assert (whole.filling is None) is (not lower)


def test_a_lower_supply_leaves_less() -> None:
    def filling(sizing: dict[str, str]) -> Filling:
        data = tables({"low": LOW, "high": HIGH}) | {"sizing": sizing}
        data["part"][2]["curve"] = "demo-dc-600"
        found = paths_of(parse_job(data))["high"].filling
        assert found is not None
        return found

    rated, low = filling({}), filling({"lowest_supply": "10.5 V"})
    assert low.head_left < rated.head_left
    assert not low.fills
    assert low.angle() > rated.angle()


def test_the_sheet_and_the_explanation_tell_the_order_too() -> None:
    result = check(job_of({"low": LOW, "high": HIGH}))
    told = steps(result, vents(result))
    (order,) = (text for text in told if text.startswith("High would stay dry while the others"))
    (told_fix,) = starved(result)
    assert order.split(": ", 1)[1].rstrip(".") in told_fix.fix
    assert told.index(order) < next(i for i, t in enumerate(told) if t.startswith("Start the pump"))
    meanings = [step.meaning for step in explain(result.job).steps]
    left = number(r"while low runs, (6.\d ft) is left", told_fix.message)
    assert any(f"While low runs, only {left} is left at the header" in m for m in meanings)


heights = st.tuples(st.integers(4, 20), st.integers(70, 130), st.booleans(), st.booleans())


def lines_of(low: int, high: int, over: bool) -> dict[str, Branch]:
    """A low branch; and a high one, over a second crest behind a sag where `over`."""
    way: Branch = [(200, high), (200, high - 30)] if over else [(200, high)]
    return {"low": [(48, low), (48, 6)], "high": [*way, (200, high - 8), (200, 6)]}


def dry(job: Job) -> list[Finding]:
    """Findings about branches that stay dry, without the rest of a check."""
    subject = subject_of(job)
    found = (f for path in subject.air for f in start_findings(subject, path))
    return [f for f in found if "starts last" in f.message]


def fix_of(lines: dict[str, Branch], rejoin: bool) -> str | None:
    return next((f.fix for f in dry(job_of(lines, rejoin))), None)


@settings(max_examples=12, deadline=None)
@given(heights)
def test_the_angle_told_fills_the_branch_and_a_degree_less_does_not(
    drawn: tuple[int, int, bool, bool],
) -> None:
    low, high, over, rejoin = drawn
    lines = lines_of(low, high, over)
    fix = fix_of(lines, rejoin)
    if fix is None or "° from open" not in fix:
        return
    angle = int(number(r"shut or (\d+)° from open", fix))
    for turned, fills in ((angle, True), (angle - 1, False)):
        opened = f"{100 * opening_at(turned):.9f} %"
        assert (not dry(job_of(lines, rejoin, "low", open=opened, bore="3/4 in"))) is fills
    # A valve that is there is turned to the same angle; where one is missing it is told.
    there = job_of(lines, rejoin, "low", bore="3/4 in")
    (told,) = dry(there)
    assert "fit a ball valve" not in told.fix


@settings(max_examples=20, deadline=None)
@given(heights)
def test_the_height_told_for_a_branch_lets_it_fill(drawn: tuple[int, int, bool, bool]) -> None:
    low, high, over, rejoin = drawn
    lines = lines_of(low, high, over)
    fix = fix_of(lines, rejoin)
    if fix is None:
        return
    most = re.search(r"bring high down to ([\d.]+) in", fix)
    bleeds = "a bleed at every crest" in fix
    if most is None and not bleeds:
        return
    cap = float(most[1]) if most else float("inf")
    lower = [(length, min(float(to), cap)) for length, to in lines["high"]]
    assert not dry(job_of(lines | {"high": lower}, rejoin, bleeds="high" if bleeds else ""))


@settings(max_examples=20, deadline=None)
@given(heights)
def test_a_pump_with_the_head_told_at_the_flow_told_fills_it(
    drawn: tuple[int, int, bool, bool],
) -> None:
    low, high, over, rejoin = drawn
    lines = lines_of(low, high, over)
    fix = fix_of(lines, rejoin)
    if fix is None:
        return
    said = re.search(r"pump of at least ([\d.]+ ft) at ([\d,]+ gal/h)", fix)
    assert said is not None
    head, flow = parse(said[1], "length"), parse(said[2].replace(",", ""), "flow")
    job = job_of(lines, rejoin)
    curve = job.pump.curve.head_curve
    slow, fast = 1.0, 4.0
    for _ in range(50):  # the same pump run so much faster that it has this head at this flow
        speed = (slow + fast) / 2
        has = speed**2 * float(curve.extended_with_slope(flow / speed)[0])
        slow, fast = (speed, fast) if has < head else (slow, speed)
    fitted = job.fitted.model_copy(update={"pump": fast})
    assert not dry(job.model_copy(update={"fitted": fitted}))
