"""What an explanation claims about a loop agrees with `check`, over random loops."""

import math
from collections.abc import Callable, Iterator, Mapping
from contextlib import suppress
from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest
from typer.testing import CliRunner

from loop.air.high_points import HighPoint
from loop.check import CheckResult, CondenserResult
from loop.cli import app
from loop.hydraulics import OperatingPoint, solve
from loop.job import TRADE_BORES, Job, JobError, Put, edit, locate, parse_job
from loop.parts import Hose, Manifold, Pump
from loop.teach.air import paths_to_show
from loop.teach.explanation import Explanation
from loop.teach.fading import faded
from loop.teach.step import Step
from loop.teach.water_paths import water_paths
from loop.words import Finding, Told, told
from loop.words.check_report import SAY as CHECK
from loop.words.teaching.steps import CHANGES, STEPS
from loop.words.template import Sayings
from tests.loops import job_of, plain_loop
from tests.random_jobs import random_job
from tests.said import pattern
from tests.test_codes import JOBS as JOB_OF_CODE
from tests.test_explain import (
    EXAMPLES,
    JOBS,
    assert_agrees_with_check,
    assert_balances,
    assert_every_line_holds,
    explained,
    read_job,
)
from tests.test_explain import random_job as random_small_job
from tests.test_flow_paths import SHUT, nested
from tests.test_warmth import LOOPS

LESSONS = sorted((EXAMPLES[0].parent / "lessons").glob("[0-9]*.toml"))


def found(result: CheckResult, code: str) -> list[Finding]:
    return [finding for finding in result.findings if finding.code == code]


def at_part(result: CheckResult, code: str, step: Step) -> bool:
    return any(f.at.part == address(result, (step.part or 0) - 1) for f in found(result, code))


def address(result: CheckResult, index: int) -> str:
    return [item.address for item in locate(result.job.part)][index]


def unit_of(result: CheckResult, step: Step) -> CondenserResult:
    return next(unit for unit in result.condensers if unit.name == step.of)


def printed(step: Step) -> float:
    line = next(line for line in step.lines if not line.equation.conversion)
    return float(line.text)


def flow_regime(result: CheckResult, step: Step) -> bool:
    number = printed(step)
    return {
        "laminar": number < 2100,
        "between": 2000 < number < 3001,
        "turbulent": number > 2999,
    }[step.claim]


def kind(result: CheckResult, step: Step) -> bool:
    own = result.point.network.parts[(step.part or 0) - 1].kind
    return step.claim == (own if own in STEPS["head"].says else "other")


def largest(result: CheckResult, step: Step) -> bool:
    """By the head shares that `check` prints."""
    shares = [
        share
        for share, part in zip(result.head_shares, result.point.network.parts, strict=True)
        if not isinstance(part, Pump | Manifold)
    ]
    own = result.head_shares[(step.part or 0) - 1]
    if step.claim.endswith("most"):
        return own >= max(shares) - 1e-9
    return step.claim != "condenser" or own <= max(shares)


def tube(result: CheckResult, step: Step) -> bool:
    fast, slow = (at_part(result, code, step) for code in ("tube-fast", "tube-slow"))
    short = any(unit.flow_low < unit.needed_flow for unit in result.condensers)
    if step.claim == "slow":
        return slow or short  # where water is short, `check` asks for that first
    return (step.claim == "fast") == fast and not slow


def saves_most(result: CheckResult, step: Step) -> bool:
    """By the hose's loss without each of its pieces, and without air in it."""
    index = (step.part or 0) - 1
    hose, water = result.point.network.parts[index], result.point.network.water
    assert isinstance(hose, Hose)
    films = [piece for piece in result.point.films if piece.part == index]
    wet = 1 - sum(piece.end - piece.start for piece in films) / hose.length
    fall = sum(piece.fall for piece in films)
    flow, fitted = abs(result.point.stations[index].flow), result.job.fitted.loss

    def lost(piped: Hose) -> float:
        return fitted * float(piped.head_loss(flow, water))

    without = {"barbs": {"barbs": 0}, "sweeps": {"sweeps": ()}, "length": {"length": 0.0}}
    now = wet * lost(hose) + fall
    saved = {
        piece: now - wet * lost(hose.model_copy(update=change)) - fall
        for piece, change in without.items()
    }
    saved["air"] = now - lost(hose)
    return saved[step.claim] >= max(saved.values()) * (1 - 1e-9)


def tee(result: CheckResult, step: Step) -> bool:
    return (step.claim == "gains") == (printed(step) < 0)


def scoop(result: CheckResult, step: Step) -> bool:
    return (step.claim == "loses") == (result.job.intake.facing == "aft")


def static(result: CheckResult, step: Step) -> bool:
    """By the legs of `check`, as the loop starts."""
    point, network = result.point, result.point.network
    way = next(w for w in water_paths(network, point.line_flow) if w.name == step.of and w.runs)
    places = {network.places[part] for part in way.parts}
    legs = [leg for leg in point.legs if {leg.from_part, leg.to_part} <= places]
    if step.claim == "air":  # a leg with air may end on another way, past the tee
        return any(leg.head_taken > 0 for leg in point.legs if leg.from_part in places)
    taken = any(leg.head_taken > 0 for leg in legs)
    return not taken and (step.claim == "full") == bool(legs)


def gauge(result: CheckResult, step: Step) -> bool:
    return step.claim == "outlet" or (step.claim == "vacuum") == (
        result.point.pump_inlet.gauge_pressure < 0
    )


def cavitates(result: CheckResult, step: Step) -> bool:
    levels = [finding.level for finding in found(result, "cavitation")]
    return {"short": ["danger"], "near": ["warning"], "enough": []}[step.claim] == levels


def deep(result: CheckResult, step: Step) -> bool:
    return (step.claim == "shallow") == bool(found(result, "intake-shallow"))


def leaves(result: CheckResult, step: Step) -> bool:
    unit = unit_of(result, step)
    feeds = any(unit.name in other.warmed_by for other in result.condensers)
    running = "next" if feeds else "overboard"
    return step.claim == (running if unit.runs_on else "trips")


def condenses(result: CheckResult, step: Step) -> bool:
    return (step.claim == "runs") == unit_of(result, step).runs_on


# Where they are a danger, no water reaches the pump.
NO_WATER = ("suction-above-water", "pump-above-water")


def primes(result: CheckResult, step: Step) -> bool:
    findings = [
        finding
        for finding in found(result, "start-head-short")
        if finding.at.branch in (step.of, None)
    ]
    alone = {finding.level for finding in findings if finding.values.get("case") != "beside"}
    beside = [finding for finding in findings if finding.values.get("case") == "beside"]
    if result.point.flow <= 0 and not found(result, "start-head-short"):
        return True  # a shut valve keeps this loop still, and `check` says that alone
    dry = [f for code in NO_WATER for f in found(result, code) if f.level == "danger"]
    if step.claim == "dry":
        return bool(dry) and not result.starts
    if dry and step.claim in ("fills", "close"):
        return False
    if step.claim == "beside":
        return bool(beside)
    return alone == {"fills": set(), "close": {"warning"}, "cannot": {"danger"}}[step.claim]


def measured(result: CheckResult, step: Step) -> bool:
    return (step.claim == "steep") == high_point_of(result, step).extrapolated


def stays(result: CheckResult, step: Step) -> bool:
    """By the findings at that high point, and the state of its leg."""
    high_point, network = high_point_of(result, step), result.point.network
    place = network.places[high_point.part]
    at_it = [
        finding
        for finding in found(result, "air-held")
        if finding.at.part == address(result, high_point.part)
        and finding.at.along in (None, high_point.along)
        and finding.values["bore"] == pytest.approx(high_point.bore)
    ]
    resting = [finding for finding in at_it if finding.values.get("state") == "rest"]
    held = {finding.level for finding in at_it if finding not in resting}
    if step.claim.startswith("open"):
        legs = [
            leg
            for leg in result.point.legs
            if leg.from_part == place and math.isclose(leg.top, high_point.height, abs_tol=1e-6)
        ]
        full = bool(legs) and all(leg.state == "full" for leg in legs)
        return high_point.open_end and not held and full == (step.claim == "open full")
    if step.claim == "draws":
        return high_point.bleed is not None and bool(found(result, "bleed-draws-air"))
    if step.claim == "vented":
        return high_point.bleed is not None and not held
    if high_point.side == "suction":
        return True  # what lies before the pump has findings of its own
    # Other ways may fall from the same high point in other hoses.
    others = {
        c.running for path in result.air for c in path.high_points if c.part == high_point.part
    }
    if step.claim.startswith("swept") and (step.claim == "swept under way") != bool(resting):
        return False
    level = {"swept": set(), "swept under way": set(), "may stay": {"note"}, "held": {"warning"}}[
        step.claim
    ]
    return level <= held if len(others) > 1 else level == held


def edge(result: CheckResult, step: Step) -> bool:
    unit = next(unit for unit in result.condensers if unit.name == step.of)
    return {"low": printed(step) <= unit.flow * 1.001, "high": printed(step) >= unit.flow * 0.999}[
        step.claim
    ]


def enough(result: CheckResult, step: Step) -> bool:
    """By the verdict and supply that `check` prints, and by every finding above a note."""
    supply, grave = result.supply(unit_of(result, step)), serious(result)
    if result.point.flow <= 0:
        return step.claim == "short" and bool(found(result, "no-flow"))
    if supply != "enough":
        return step.claim == supply and bool(grave)
    if step.claim == "enough":
        return result.verdict == "good" and not grave
    said = result.verdict.upper() in step.meaning and grave[0].title in step.meaning
    return said and step.claim == "but"


def serious(result: CheckResult) -> list[Told]:
    return [one for one in told(result.findings, result.job) if one.level != "note"]


# The evidence for each claim of the texts: a row with claims that is here is not named below.
LAWS: Mapping[str, Callable[[CheckResult, Step], bool]] = {
    "reynolds": flow_regime,
    "head": kind,
    "rated head": largest,
    "tube speed": tube,
    "hose": saves_most,
    "tee K_b": tee,
    "tee K_r": tee,
    "scoop": scoop,
    "static": static,
    "gauge": gauge,
    "npsh needed": cavitates,
    "depth needed": deep,
    "outlet": leaves,
    "condensing": condenses,
    "priming": primes,
    "first limit": measured,
    "second limit": stays,
    "edge": edge,
    "ratio": enough,
}
# The high point of each step about one, by the answer and the step's number.
_HIGH_POINTS: dict[tuple[int, int], HighPoint] = {}


def high_point_of(result: CheckResult, step: Step) -> HighPoint:
    return _HIGH_POINTS[id(result), step.number]


def assert_claims_hold(explanation: Explanation) -> None:
    result = explanation.result
    high_points = [high_point for _, fresh in paths_to_show(result) for high_point in fresh]
    places = {
        (high_point.part, high_point.along, high_point.slope, high_point.velocity)
        for high_point in high_points
    }
    every = {(c.part, c.along, c.slope, c.velocity) for p in result.air for c in p.high_points}
    assert places == {place for place in every if place[-1] > 0}
    for row in ("first limit", "second limit"):
        steps = [step for step in explanation.steps if step.row == row]
        for step, high_point in zip(steps, high_points, strict=True):
            _HIGH_POINTS[id(result), step.number] = high_point
    for step in explanation.steps:
        if step.claim:
            assert LAWS[step.row](result, step), (step.row, step.claim, step.section)
    _HIGH_POINTS.clear()


def assert_best_change_is_best(explanation: Explanation) -> None:
    """The table is in descending order, and no other hose size gains more than its first row."""
    network = explanation.result.point.network
    points = list(resized(explanation.result))
    for step in explanation.steps:
        if step.row == "best change":
            gains = [float(row[2].rstrip("%").replace("−", "-")) for row in step.rows]
            assert all(one >= other for one, other in pairwise(gains))
            flows = [one.flow_through(network.condenser_part(step.of)) for one in points]
            assert printed(step) >= max(flows, default=0.0) * (1 - 1e-3)
            assert any(label in step.title and label in step.rows[0][0] for label in network.labels)
            if not halves(step) and not any(one.other for one in points):
                assert printed(step) == pytest.approx(max(flows), rel=1e-3)


def halves(step: Step) -> bool:
    """Whether a step on what would change flow most names halving a loss."""
    return pattern(Sayings(lambda: CHANGES), "halved").search(step.title) is not None


def resized(result: CheckResult) -> Iterator[OperatingPoint]:
    """The loop with one hose a size larger, or smaller if it holds air and then no longer costs
    the pump water."""
    for index, part in enumerate(result.point.network.parts):
        if not isinstance(part, Hose) or result.point.stations[index].flow == 0:
            continue
        airy = any(piece.part == index and piece.fall > 0 for piece in result.point.films)
        larger = [size for size in TRADE_BORES if size > part.inner_bore * 1.001][:1]
        smaller = [size for size in TRADE_BORES if airy and size < part.inner_bore * 0.999]
        for size in (*larger, *smaller):
            place = address(result, index)
            with suppress(JobError):
                put = [Put(f"{place}.bore", size), Put(f"{place}.barb_bore", None)]
                point = solve(edit(result.job, put))
                if size in larger or point.flow >= result.point.flow:
                    yield point


def assert_every_page_holds(explanation: Explanation) -> None:
    """A page's sums are all from the whole explanation, and hold."""
    whole = {(line.put_in, line.answer) for step in explanation.steps for line in step.lines}
    for page in (*map(explanation.page, (1, 2)), faded(explanation).steps):
        lines = (line for step in page for line in step.lines if not line.blank)
        assert {(line.put_in, line.answer) for line in lines} <= whole


def test_every_row_with_claims_has_its_law() -> None:
    assert set(LAWS) == {name for name, row in STEPS.items() if not isinstance(row.says, str)}


def assert_explained(explanation: Explanation) -> set[str]:
    """The text rows of an explanation whose sums, claims and pages all hold."""
    assert_every_line_holds(explanation)
    assert_agrees_with_check(explanation)
    assert_balances(explanation)
    assert_claims_hold(explanation)
    assert_best_change_is_best(explanation)
    assert_every_page_holds(explanation)
    return {step.row for step in explanation.steps}


@pytest.mark.parametrize("path", [*JOBS, *LESSONS], ids=lambda path: path.stem)
def test_an_example_explained_says_what_check_says(path: Path) -> None:
    assert_explained(explained(read_job(path)))


@pytest.mark.parametrize("seed", range(6))
def test_a_random_loop_explained_says_what_check_says(seed: int) -> None:
    rng = np.random.default_rng(seed)
    assert_explained(explained(random_small_job(rng) if seed % 4 else random_job(rng, 2, 1)))


@pytest.mark.parametrize("length", ["6 ft", "8 ft"])
def test_the_air_in_a_wide_hose_counts_and_a_smaller_hose_is_tried(length: str) -> None:
    """A loop all in 1-1/2 in: at either length the flow is the same, and the fall is lost."""
    job = job_of(
        ("defaults", "bore", "1-1/2 in"),
        (6, "curve", "demo-ac-500"),
        (8, "to", "72 in"),
        (10, "length", length),
    )
    explanation = explained(job)
    assert_explained(explanation)
    last = next(s for s in explanation.page(1) if s.row == "hose" and s.part == 10)
    assert last.claim == "air"
    change = next(step for step in explanation.page(1) if step.row == "best change")
    assert pattern(Sayings(lambda: CHANGES), "hose").search(change.title)
    assert not halves(change)


def test_a_hose_that_takes_water_from_other_units_is_no_change_for_the_better() -> None:
    """Narrower after a vented loop, where its leg never runs full, it sends more to the branch
    that ends overboard."""
    data = plain_loop()
    overboard = [{**one} for one in data["part"][7:]]
    data["condenser"].append({**data["condenser"][0], "name": "other"})
    joined = [data["part"][7], {**data["part"][8], "serves": "other"}]
    ways = [{"name": "overboard", "part": overboard}, {"name": "joined", "part": joined}]
    data["part"][7:9] = [{"kind": "manifold", "branch": ways}, {"kind": "vented loop"}]
    explanation = explained(parse_job(data))
    assert_best_change_is_best(explanation)
    tables = [step.rows for step in explanation.steps if step.row == "best change"]
    assert len(tables) == 2
    for bore in ("1/2 in", "5/8 in"):
        assert not any(f" {bore}" in row[0] for rows in tables for row in rows)


def assert_says_the_verdict(explanation: Explanation) -> None:
    """No step calls water enough if `check` has more than a note about it."""
    result = explanation.result
    page = [step for step in explanation.page(1) if step.row == "ratio"]
    assert page
    for step in page:
        assert enough(result, step), (step.claim, [f.code for f in result.findings])
    settles = next(step for step in explanation.page(1) if step.row == "flow")
    assert ("once primed" in settles.title) != result.starts


@pytest.mark.parametrize(
    ("code", "supply"),
    [
        ("suction-above-water", "once primed"),
        ("supply-wrong", "if it runs"),
        ("intake-shallow", "intake dry"),
        ("at-rest-short", "under way"),
    ],
)
def test_a_loop_with_something_wrong_is_not_called_enough(code: str, supply: str) -> None:
    explanation = explained(JOB_OF_CODE[code]())
    result = explanation.result
    assert code in {f.code for f in result.findings}
    assert {result.supply(unit) for unit in result.condensers} == {supply}
    assert_says_the_verdict(explanation)


@pytest.mark.extended
@pytest.mark.parametrize("code", JOB_OF_CODE)
def test_whatever_makes_a_verdict_not_good_is_said_beside_the_flow(code: str) -> None:
    assert_says_the_verdict(explained(JOB_OF_CODE[code]()))


@pytest.mark.parametrize("name", ["petrel", "kittiwake"])
def test_the_first_page_begins_as_check_does(name: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """Verdict and cause, then the fix, in the words of `check`."""
    monkeypatch.setenv("COLUMNS", "400")
    path = str(EXAMPLES[0].parent / f"{name}.toml")
    checked, told_of = (
        CliRunner().invoke(app, [command, path]).output.splitlines()
        for command in ("check", "explain")
    )
    assert told_of[1].startswith(checked[0])
    if CHECK("fix") in checked[1]:
        assert told_of[2] == checked[1]


@pytest.mark.extended
@pytest.mark.parametrize("seed", range(100, 400))
def test_many_random_loops_explained_say_what_check_says(seed: int) -> None:
    rng = np.random.default_rng(seed)
    for job in (random_job(rng, branches=3, depth=seed % 3), random_small_job(rng)):
        assert_explained(explained(job))


def special_jobs() -> Iterator[Job]:
    """Loops for the rows of words that few loops are told of."""
    yield nested(SHUT).job
    yield from map(parse_job, LOOPS.values())
    for angle in ("0 %", "12 %", "16 %"):
        yield job_of((2, "open", angle))
    yield job_of((6, "frequency", "200 Hz"))
    yield job_of(("condenser", "electrical", "900 W at 105 degF"))
    yield job_of(("condenser", "flow_needed", "150 gal/h"))
    yield job_of(("boat", "speed", "15 kn"), (1, "facing", "forward"))
    yield random_job(np.random.default_rng(2), branches=2, depth=0)  # past its pump's curve
    vented = plain_loop()
    vented["part"].insert(8, {"kind": "vented loop"})
    yield parse_job(vented)


@pytest.mark.extended
def test_every_row_of_words_is_said_of_some_loop() -> None:
    rng = np.random.default_rng(0)
    jobs = [*map(read_job, (*JOBS, *LESSONS)), *special_jobs()]
    jobs += [random_small_job(rng) for _ in range(25)]
    assert {step.row for job in jobs for step in explained(job).steps} == set(STEPS)
