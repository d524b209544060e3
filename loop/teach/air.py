"""Steps about air: the head for priming, and whether the flow clears the air."""

from collections.abc import Iterator
from dataclasses import replace

from loop.air.air_paths import START_SPARE, AirPath
from loop.air.high_points import HighPoint
from loop.air.priming_head import rises
from loop.check import CheckResult
from loop.hydraulics.clearing import ESCARAMEIA, WISNER
from loop.hydraulics.leg_report import LegState, leg_below
from loop.job import locate
from loop.teach.calculation import Calculation, gravity
from loop.teach.step import Inputs
from loop.words.speaker import branch_called
from loop.words.teaching.steps import PHRASE
from loop.words.template import Fact, listed


def start_steps(calc: Calculation) -> None:
    """Priming head of every flow path against shut-off head; then high points' Froude numbers."""
    for path, high_points in paths_to_show(calc.result):
        calc.begin_section("air", path.branch)
        _priming_step(calc, path)
        for high_point in high_points:
            _froude_steps(calc, high_point)


def paths_to_show(result: CheckResult) -> Iterator[tuple[AirPath, list[HighPoint]]]:
    """Every flow path with its high points, without dry ones and those shown on an earlier path."""
    shown: set[tuple[object, ...]] = set()
    for path in result.air:
        fresh = []
        for high_point in path.high_points:
            key = (
                high_point.part,
                high_point.along,
                high_point.velocity,
                high_point.bore,
                high_point.slope,
                high_point.bleed,
            )
            if key not in shown and high_point.velocity > 0:
                fresh.append(high_point)
            shown.add(key)
        yield path, fresh


def _priming_step(calc: Calculation, path: AirPath) -> None:
    """The largest of the rises, each including the head of air after earlier high points."""
    found = rises(path.profile, path.high_points)
    inputs: Inputs = {}
    terms: list[str] = []
    before: list[str] = []
    for number, (height, drop) in enumerate(zip(found.heights, found.drops, strict=True), start=1):
        inputs[f"z_{number}"] = height
        terms.append(" + ".join([f"z_{number}", *before]))
        if drop > 0 and number < len(found.heights):
            inputs[f"d_{number}"] = drop
            before.append(f"d_{number}")
    formula = terms[0] if len(terms) == 1 else f"max({', '.join(terms)})"
    claim, facts = _priming_claim(calc, path)
    calc.step("priming", inputs, found.head, formula=formula, claim=claim, facts=facts)


def _priming_claim(calc: Calculation, path: AirPath) -> tuple[str, dict[str, Fact]]:
    """Whether the pump fills this flow path, as `check` judges it, and the figures for that."""
    weak = path.shutoff_head < calc.result.point.shutoff_head
    facts: dict[str, Fact] = {"held": path.shutoff_head, "spare": START_SPARE}
    facts["lowest"] = PHRASE("lowest-supply") if weak else ""
    if path.starves and path.priming is not None:
        others = path.priming.others
        facts |= {
            "others": listed([branch_called(one) for one in others]),
            "run": PHRASE("one-runs" if len(others) == 1 else "several-run"),
        }
        return "beside", {**facts, "left": path.priming.head_left, "needed": path.priming.head}
    if not path.starts:
        return "cannot", facts
    if not _gets_water(calc.result):
        return "dry", facts
    return "fills" if path.starts_with_spare else "close", facts


def _gets_water(result: CheckResult) -> bool:
    """Whether water reaches the pump at all: `check` on starting, priming aside."""
    priming = ("start-head-short", "no-flow")
    others = tuple(f for f in result.findings if f.code not in priming)
    return replace(result, findings=others).starts


def _froude_steps(calc: Calculation, high_point: HighPoint) -> None:
    """Froude number on the falling leg after a high point, and the two published limits."""
    speed: Inputs = {"V": high_point.velocity, "g": gravity(), "D": high_point.bore}
    part = {"part": calc.network.labels[high_point.part]}
    calc.step("froude", speed, high_point.froude, facts=part, repeat=True)
    steep = "steep" if high_point.extrapolated else "gentle"
    slope, (a, b), (c, d) = {"θ": high_point.slope}, WISNER, ESCARAMEIA
    calc.step("first limit", slope, claim=steep, facts={"a": a, "b": b}, repeat=True)
    stays = _air_claim(calc, high_point)
    calc.step("second limit", slope, claim=stays, facts={"a": c, "b": d}, repeat=True)


def _air_claim(calc: Calculation, high_point: HighPoint) -> str:
    """What happens to the air after a high point."""
    if high_point.running == "swept":
        address = locate(calc.job.part)[high_point.part].address
        resting = any(
            found.code == "air-held"
            and found.at.part == address
            and found.values.get("state") == "rest"
            for found in calc.result.findings
        )
        return "swept under way" if resting else "swept"
    if high_point.vented:
        return "draws" if high_point.negative_pressure else "vented"
    if high_point.bleed is not None:
        return "by hand"
    if high_point.open_end:
        leg = leg_of(calc, high_point)
        return "open full" if leg is not None and leg.state == "full" else "open air"
    return high_point.running


def leg_of(calc: Calculation, high_point: HighPoint) -> LegState | None:
    """The falling leg after a high point, None where nothing can flow down it."""
    place = calc.network.places[high_point.part]
    return leg_below(calc.result.point.legs, place, high_point.height)
