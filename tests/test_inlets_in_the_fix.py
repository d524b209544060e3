"""More flow through a narrow suction: hose afloat, inlets with a pump, and what gets worse.

By continuity the velocity in an inlet is proportional to flow: more water through the same inlet
is faster.
"""

from dataclasses import replace
from typing import Any

import pytest

from loop.check import CheckResult, check
from loop.check.work import work
from loop.job import Job, parse_job
from loop.margins.speed import SUCTION_MAX, inlet_speeds
from loop.parts import Intake, Seacock
from loop.size.least_change import least_change
from loop.size.rules import Rules
from loop.words import Finding, say
from loop.words.actions import ChangeBore, ChangeHose, ChangePump, FitPumpRated
from loop.words.base import part_at
from loop.words.hazards import OUT, hazard
from loop.words.size_actions import narrower_beside
from loop.words.speaker import Speaker
from tests.loops import Table, changed, codes, found, plain_loop

DEEP = [(1, "height", "-20 in"), (1, "off_centre", "12 in"), (1, "facing", "forward")]


def boat(*changes: tuple[str | int, str, Any]) -> Table:
    return changed(("water", "salinity", 35), *DEEP, *changes)


def ribbed_throughout() -> Job:
    """Four corrugated hoses of 5/8 in, on a through-hull of that size."""
    table = boat((3, "length", "6 ft"), (5, "length", "3 ft"), (8, "length", "12 ft"))
    table["defaults"] = {"bore": "5/8 in", "lining": "ribbed"}
    return parse_job(table)


def half_inch() -> Job:
    """Half-inch throughout, on a type of pump that reaches no higher than 21 ft."""
    table = boat((6, "curve", "demo-ac-700"))
    table["defaults"]["bore"] = "1/2 in"
    table["condenser"][0]["cooling"] = "16000 BTU/h"
    return parse_job(table)


def narrow_inlet() -> Job:
    """A through-hull and seacock in 1/2 in on 3/4 in hose, with slightly too little water."""
    return parse_job(boat((1, "bore", "1/2 in"), (2, "bore", "1/2 in"),
                          ("condenser", "cooling", "16000 BTU/h")))  # fmt: skip


JOBS = [ribbed_throughout, half_inch, narrow_inlet]


def first_short(result: CheckResult) -> Finding:
    return (found(result, "flow-short") or found(result, "flow-marginal"))[0]


def inlets(job: Job) -> dict[int, float]:
    return dict(inlet_speeds(check(job, fixes=False).point))


def test_ribbed_hose_gives_way_to_smooth_afloat() -> None:
    job = ribbed_throughout()
    result = check(job)
    finding = first_short(result)
    action = finding.actions[0]
    assert isinstance(action, ChangeHose)
    assert len(action.parts) == 4
    kinds = {type(part_at(job, at)) for at in action.fittings}
    assert not kinds & {Intake, Seacock}
    after = action.apply(job)
    assert check(after, fixes=False).verdict == "good"
    assert max(inlets(after).values()) <= SUCTION_MAX


def test_hose_afloat_asks_for_no_yard() -> None:
    job = ribbed_throughout()
    action = first_short(check(job)).actions[0]
    assert isinstance(action, ChangeHose)
    assert hazard(action, Speaker(job)) != OUT
    # Adapters to what stays: seacock, strainer, and anything after the pump other than hose.
    assert {"part[2]", "part[4]"} <= set(narrower_beside(job, action))


def test_hose_comes_before_a_pump_that_is_stronger_than_any_known() -> None:
    job = half_inch()
    finding = first_short(check(job))
    assert isinstance(finding.actions[0], ChangeHose)
    unheard = FitPumpRated("part[6]", 28.5 * 0.3048, 283 * 1.0515e-6)
    assert work(job, unheard) > work(job, finding.actions[0])
    assert work(job, FitPumpRated("part[6]", 3.0, 2e-4)) < work(job, unheard)


def test_a_pump_has_wider_inlets_with_it_where_the_water_is_too_fast_in_them() -> None:
    job = narrow_inlet()
    result = check(job)
    assert "inlet-fast" in codes(result)
    action = first_short(result).actions[0]
    assert any(isinstance(step, ChangePump) for step in action.steps)
    wide = {step.part for step in action.steps if isinstance(step, ChangeBore)}
    assert wide == {"part[1]", "part[2]"}
    assert check(action.apply(job), fixes=False).verdict == "good"


def test_a_pump_has_a_full_bore_seacock_with_it_rather_than_all_before_it_wider() -> None:
    """With the new pump's flow, water is too fast in the present reduced port."""
    job = parse_job(boat((2, "port", "1/2 in"), (6, "curve", "demo-ac-250")))
    result = check(job)
    assert "inlet-fast" not in codes(result)
    first, action = first_short(result).actions
    # A pump that brings just enough leaves the port slow enough, and the boat afloat.
    assert isinstance(first, FitPumpRated)
    assert check(first.apply(job), fixes=False).verdict == "good"
    assert [step.kind for step in action.steps] == ["fit-full-bore", "change-pump"]
    assert check(action.apply(job), fixes=False).verdict == "good"
    pump = check(action.steps[1].apply(job), fixes=False)
    assert "inlet-fast" in codes(pump)


def test_a_new_seacock_is_one_of_full_bore() -> None:
    seacock = part_at(ChangeBore("part[2]", 0.0254).apply(parse_job(boat((2, "port", "1/2 in")))),
                      "part[2]")  # fmt: skip
    assert isinstance(seacock, Seacock)
    assert (seacock.inner_bore, seacock.port) == (0.0254, None)


def test_a_sizing_widens_the_inlets_with_the_pump_too() -> None:
    job = narrow_inlet()
    least, others = least_change(Rules(job))
    assert least[-1].passes
    for changes in (least, *others):
        steps = [step for change in changes for step in change.action.steps]
        if any(isinstance(step, ChangePump) for step in steps):
            wide = {step.part for step in steps if isinstance(step, ChangeBore)}
            assert {"part[1]", "part[2]"} <= wide


@pytest.mark.parametrize("job", [make() for make in JOBS], ids=[make.__name__ for make in JOBS])
def test_water_that_gets_faster_where_it_is_too_fast_is_said(job: Job) -> None:
    result, before = check(job), inlets(job)
    for finding in result.findings:
        for number, action in enumerate(finding.actions):
            now = inlets(action.apply(job))
            faster = any(
                now.get(index, 0.0) > max(SUCTION_MAX, 1.03 * speed)
                for index, speed in before.items()
                if speed > SUCTION_MAX
            )
            worsens = finding.values.get("worsens", ())
            said = isinstance(worsens, tuple) and "inlet-fast" in str(worsens[number : number + 1])
            assert said or not faster, action


def test_worse_speeds_are_in_the_words() -> None:
    job = narrow_inlet()
    finding = first_short(check(job))
    worse = replace(finding, values={**finding.values, "worsens": ("inlet-fast", "")})
    assert len(say(worse, job).fix) > len(say(finding, job).fix)


# A pump that draws 1 % more than the inlet's limit: less than a bucket can show.
def test_a_hundredth_over_a_limit_is_no_reason_for_another_pump() -> None:
    job = parse_job(in_metric())
    finding = first_short(check(job))
    action = finding.actions[0]
    assert isinstance(action, ChangePump)
    least, _ = least_change(Rules(job))
    assert [change.action.kind for change in least] == ["change-pump"]
    assert least[0].action.apply(job).pump.curve.name == action.apply(job).pump.curve.name
    speeds = inlets(action.apply(job)).values()
    assert SUCTION_MAX < max(speeds) < 1.02 * SUCTION_MAX
    assert "suction-fast" in str(finding.values["brings"])


def in_metric() -> Table:
    """A boat on 16 mm hose whose pump delivers slightly too little."""
    table = plain_loop()
    table["defaults"]["bore"] = "16 mm"
    table["units"], table["water"]["temperature"] = "si", "31 degC"
    table["condenser"][0] = {"name": "cabin", "cooling": "4.4 kW"}
    table["part"][8] |= {"serves": "cabin", "loss": "18 kPa at 16 L/min"}
    for number, length, to in ((3, 1.5, -0.35), (5, 0.6, -0.3), (8, 3, 0.4), (10, 2, 0.15)):
        table["part"][number - 1] |= {"length": f"{length} m", "to": f"{to} m"}
    table["part"][0]["height"], table["part"][10]["height"] = "-0.5 m", "0.15 m"
    table["part"][3]["loss"] = "3 kPa at 20 L/min"
    table["part"][5] |= {"curve": "demo-ac50-30", "supply": "220 V", "frequency": "50 Hz"}
    return table
