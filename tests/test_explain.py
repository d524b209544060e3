"""The worked explanation: every printed line recomputed from its own printed inputs."""

import ast
import math
import re
from collections.abc import Iterable
from dataclasses import replace
from functools import partial
from importlib import import_module
from pathlib import Path

import numpy as np
import pytest
from scipy.optimize import brentq
from typer.testing import CliRunner, Result

from loop.check import check
from loop.cli import app
from loop.hydraulics import Network, build, solve
from loop.job import Job, file_numbers, parse_job, read_job
from loop.pumps import catalogue
from loop.teach import best_change
from loop.teach.arithmetic import evaluate, handwritten, number_text, short_text, substituted
from loop.teach.best_change import HALF
from loop.teach.explain import explain
from loop.teach.explanation import HEADS, Explanation
from loop.teach.fading import faded
from loop.teach.step import Equation, Line, Value, work_out
from loop.words.course import SAY
from loop.words.teaching.steps import SECTIONS
from loop.words.template import Sayings
from tests import drawn_jobs
from tests.branches import branched
from tests.loops import job_of
from tests.said import pattern
from tests.test_balance import branch, manifold_loop
from tests.test_flow_paths import SHUT, nested
from tests.test_network import HOSE, job_with
from tests.test_network import unit as unit_part

EXAMPLES = sorted((Path(__file__).parent.parent / "examples").glob("*.toml"))
INCH = 0.0254
JOBS = [path for path in EXAMPLES if "[[part]]" in path.read_text(encoding="utf-8")]


def explained(job: Job) -> Explanation:
    """The steps alone, without a search for fixes."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(import_module("loop.teach.explain"), "check", partial(check, fixes=False))
        return explain(job)


def by_hand(text: str) -> float:
    """The result of a printed sum on a calculator: an independent reading of the print."""
    for shown, meant in (
        ("×", "*"),
        ("÷", "/"),
        ("−", "-"),
        ("^", "**"),
        ("√", "sqrt"),
        ("π", "pi"),
    ):
        text = text.replace(shown, meant)
    text = re.sub("[⁰¹²³⁴⁵⁶⁷⁸⁹]+", lambda m: "**" + m[0].translate(_LOWERED), text)
    assert re.fullmatch(
        r"[\d\se.,+\-*/()]*", re.sub(r"\b(sqrt|log10|ln|exp|sin|cos|max|pi)\b", "", text)
    )
    names = {"ln": math.log, "max": max} | {
        name: getattr(math, name) for name in ("sqrt", "log10", "exp", "sin", "cos", "pi")
    }
    return float(
        eval(compile(ast.parse(text, mode="eval"), "print", "eval"), {"__builtins__": {}}, names)
    )


_LOWERED = str.maketrans("⁰¹²³⁴⁵⁶⁷⁸⁹", "0123456789")


_SECTIONS = Sayings(lambda: SECTIONS)

# No figure of a loop is this small: it is rounding left by a zero difference.
NOTHING = 1e-10


def rounded(value: float, digits: int) -> float:
    return 0.0 if abs(value) < NOTHING else float(f"{value:.{digits - 1}e}")


def lines_of(explanation: Explanation) -> list[Line]:
    return [line for step in explanation.steps for line in step.lines]


def assert_every_line_holds(explanation: Explanation) -> None:
    assert_lines_hold(lines_of(explanation))


def assert_lines_hold(lines: Iterable[Line]) -> None:
    for line in lines:
        printed = float(line.text)
        if not line.equation.formula:
            assert printed == rounded(line.exact, line.digits), line
            continue
        answer = by_hand(line.put_in)
        assert rounded(answer, line.digits) == printed, (line.put_in, line.answer)
        nothing = line.equation.conversion and abs(line.equation.inputs["x"].value) < NOTHING
        # A result of zero is printed as zero, however many gallons a cubic meter has.
        assert nothing or printed == rounded(line.exact, line.digits), (line.put_in, line.exact)
        for item in line.inputs:
            exact = line.equation.inputs[item.symbol].value
            assert float(item.text) == pytest.approx(exact, rel=1e-4, abs=NOTHING), line
        exactly = {name: given.value for name, given in line.equation.inputs.items()}
        size = max((abs(value) for value in exactly.values()), default=0.0)
        assert evaluate(line.equation.formula, exactly) == pytest.approx(
            line.exact, rel=1e-7, abs=1e-9 * min(size, 1.0)
        ), line


def value_of(explanation: Explanation, symbol: str, topic: str, of: str | int = "") -> float:
    """Printed result of the step with this symbol, for a unit or for a part's place."""
    found = [
        line
        for step in explanation.steps
        if step.topic == topic and of in ("", step.of, step.part)
        for line in step.lines
        if line.equation.symbol == symbol and not line.equation.conversion
    ]
    assert found, (symbol, topic, of)
    return float(found[-1].text)


def assert_agrees_with_check(explanation: Explanation) -> None:
    result, network = explanation.result, explanation.result.point.network

    def agrees(printed: float, exact: float) -> None:
        assert printed == pytest.approx(exact, rel=1e-3, abs=1e-6)

    for number, station in enumerate(result.point.stations, start=1):
        own = [step for step in explanation.steps if step.part == number and step.lines]
        if station.kind in ("pump", "manifold") or station.flow == 0:
            continue
        heads = [step for step in own if step.row in HEADS]
        last = next(line for line in reversed(heads[-1].lines) if not line.equation.conversion)
        agrees(float(last.text), station.head_loss)
    pump = "part", network.pump_index + 1
    agrees(value_of(explanation, "H_0", *pump), result.pump.shutoff_head)
    agrees(value_of(explanation, "H_pump", *pump), result.pump.head)
    starts = [
        float(line.text)
        for step in explanation.steps
        for line in step.lines
        if line.equation.symbol == "H_start" and not line.equation.conversion
    ]
    agrees(max(starts), result.pump.start_head)
    if result.point.flow > 0:
        agrees(value_of(explanation, "NPSH", "pressures"), result.pump.npsh_available)
        agrees(value_of(explanation, "p_in", "pressures"), result.point.pump_inlet.gauge_pressure)
        outlet = result.point.stations[network.pump_index]
        agrees(value_of(explanation, "p_out", "pressures"), outlet.gauge_pressure)
    if math.isfinite(result.pump.npsh_required) and result.point.flow > 0:
        agrees(value_of(explanation, "NPSH_need", "pressures"), result.pump.npsh_required)
    if math.isfinite(result.pump.power) and not result.point.past_curve:
        agrees(value_of(explanation, "P", *pump), result.pump.power)
    for unit in result.condensers:
        agrees(value_of(explanation, "Q_need", "need", unit.name), unit.needed_flow)
        if unit.flow > 0:
            heat = "heat", unit.name
            agrees(value_of(explanation, "ΔT", *heat), unit.temperature_rise)
            agrees(value_of(explanation, "T_c", *heat), unit.condensing_temperature)


def assert_balances(explanation: Explanation) -> None:
    """On every path the losses equal the head that the pump leaves for it."""
    balance = [step for step in explanation.steps if step.topic == "balance"]
    for way in {step.of for step in balance}:
        steps = [step for step in balance if step.of == way]
        exact = {
            line.equation.symbol: line.exact
            for step in steps
            for line in step.lines
            if not line.equation.conversion
        }
        if "h_lost" in exact:
            assert exact["h_lost"] == pytest.approx(exact["h_left"], abs=1e-6)


@pytest.mark.parametrize(
    "changes",
    [
        [(2, "open", "0 %")],
        [(8, "to", "8 ft"), (8, "length", "20 ft"), (10, "to", "8 ft"), (11, "height", "8 ft")],
        [(9, "loss", "0.01 psi at 240 gal/h"), ("defaults", "bore", "1-1/2 in")],
        [("defaults", "bore", "8 in")],
        [("defaults", "bore", "1/4 in")],
        [(2, "open", "12 %")],
        [(2, "open", "16 %")],
        [(3, "roughness", "0 mm")],
    ],
    ids=["shut", "too high", "past the curve", "wide", "narrow", "laminar", "between", "smooth"],
)
def test_odd_loops_are_explained(changes: list[tuple[int | str, str, str]]) -> None:
    explanation = explained(job_of(*changes))
    assert_every_line_holds(explanation)
    assert_agrees_with_check(explanation)
    assert_balances(explanation)


def test_water_that_runs_backwards_is_explained() -> None:
    """Around a shut valve: its flow as an absolute value, and the balance of its path."""
    explanation = explained(nested(SHUT).job)
    assert_every_line_holds(explanation)
    assert_agrees_with_check(explanation)
    assert_balances(explanation)
    point = explanation.result.point
    back = [number for number, flow in enumerate(point.line_flow) if flow < 0]
    assert len(back) == 2
    rows = [step.row for step in explanation.steps]
    assert rows.count("backwards") == 2
    shut = [s for s in point.stations if s.flow == 0 and s.kind != "manifold"]
    assert rows.count("stands") == len(shut)
    assert "dry way" not in rows
    (round_,) = [s for s in explanation.steps if s.of == "a / out" and s.symbol == "h_lost"]
    (lost,) = [line for line in round_.lines if not line.equation.conversion]
    counted = {int(name.removeprefix("h_")) - 1 for name in lost.equation.inputs}
    assert {i for number in back for i in point.network.lines[number].parts} <= counted


def test_a_branch_without_water_is_told() -> None:
    explanation = explained(nested(SHUT, valve=True).job)
    told = {step.of for step in explanation.steps if step.row == "dry way"}
    assert told == {"a / unit", "a / out"}
    assert_agrees_with_check(explanation)
    assert_balances(explanation)


def test_the_friction_factor_solves_the_colebrook_equation() -> None:
    found = [
        line
        for line in lines_of(explained(job_of()))
        if line.equation.symbol in line.equation.inputs
    ]
    assert found
    for line in found:
        put = {item.symbol: float(item.text) for item in line.inputs}
        rough = put["ε"] / (3.7 * put["D"]) if "ε" in put else 0.0
        left = 1 / math.sqrt(put["f"])
        right = -2 * math.log10(rough + 2.51 / (put["Re"] * math.sqrt(put["f"])))
        assert left == pytest.approx(right, rel=1e-4)
        assert put["f"] == pytest.approx(float(line.text), rel=1e-3)


def test_both_systems_give_the_same() -> None:
    us = explained(job_of())
    si = explained(job_of().model_copy(update={"units": "si"}))
    assert [step.title for step in us.steps] == [step.title for step in si.steps]
    own = [[ln.exact for ln in lines_of(e) if not ln.equation.conversion] for e in (us, si)]
    assert own[0] == pytest.approx(own[1], rel=1e-9)


def test_every_step_rests_on_earlier_ones_and_says_where_from_and_what_for() -> None:
    for step in explained(job_of()).steps:
        assert all(number < step.number for number in step.rests_on)
        assert len(step.meaning) > 20
        assert step.meaning.endswith(".")
        assert step.source or not step.lines


def test_a_part_comes_with_all_that_it_rests_on() -> None:
    explanation = explained(job_of())
    steps = explanation.of_part(8)
    numbers = {step.number for step in steps}
    assert any(step.part == 8 for step in steps)
    assert all(set(step.rests_on) <= numbers for step in steps)
    assert len(steps) < len(explanation.steps) / 2
    assert 11 not in {step.part for step in steps}


@pytest.mark.parametrize("number", [0, -1, 12])
def test_a_part_that_is_not_there_is_told(number: int) -> None:
    with pytest.raises(
        LookupError, match=pattern(SAY, "explain-no-part", part=str(number), last="11")
    ):
        explained(job_of()).of_part(number)


def test_a_part_of_a_branch_goes_by_its_place_in_the_file() -> None:
    """Part 9 is the manifold: whatever comes after its branches is part 10 even so."""
    explanation = explained(
        parse_job(manifold_loop(dict.fromkeys("ab", "9000 BTU/h"), [branch("a"), branch("b")]))
    )
    places = file_numbers(explanation.result.job.part)
    for place in ("9.2.2", 10):
        own = [step for step in explanation.of_part(place) if step.part is not None]
        assert places[(own[-1].part or 0) - 1] == str(place)
        assert own[-1].section.split()[1] == f"{place}:"
    said = pattern(SAY, "explain-no-part", last="11", first="9.1.1", inner="9.2.3")
    with pytest.raises(LookupError, match=said):
        explanation.of_part("9.3.1")


def test_a_formula_that_does_not_give_the_figure_is_refused() -> None:
    two, three = Value(2.0), Value(3.0)
    line = work_out(Equation("x", "a * b", {"a": two, "b": three}), 6.0, "m")
    assert (line.put_in, line.answer) == ("2 × 3", "6.000 m")
    with pytest.raises(ValueError, match=r"x = a \* b does not give 6\.1"):
        work_out(Equation("x", "a * b", {"a": two, "b": three}), 6.1, "m")


def test_inputs_get_the_digits_that_the_result_needs() -> None:
    third = Value(1 / 3)
    line = work_out(Equation("x", "a * 3 - 0.9999", {"a": third}), 1 / 3 * 3 - 0.9999, "")
    assert float(line.text) == pytest.approx(1e-4)
    assert len(line.inputs[0].text) >= 8


@pytest.mark.parametrize(
    "text", ["__import__('os')", "a.b", "f(1)", "[1]", "a if b else c", "'x'", "1 < 2", "x"]
)
def test_only_arithmetic_is_evaluated(text: str) -> None:
    with pytest.raises(ValueError, match="not arithmetic"):
        evaluate(text, {"a": 1.0, "b": 2.0, "c": 3.0})


@pytest.mark.parametrize(
    ("value", "digits", "text"),
    [
        (0.99996, 4, "1.000"),
        (1234567.0, 4, "1235000"),
        (-0.00012345, 3, "-0.000123"),
        (8.5238e-7, 3, "8.52e-7"),
        (3e12, 2, "3.0e12"),
        (1e-17, 4, "0"),
    ],
)
def test_numbers_are_printed_to_their_digits(value: float, digits: int, text: str) -> None:
    assert number_text(value, digits) == text
    assert float(short_text(value, digits)) == float(text)


def test_formulas_are_written_as_by_hand() -> None:
    assert handwritten("a**2 / b**-0.8 - 3 * c") == "a² ÷ b^−0.8 − 3 × c"
    assert substituted("max(a, b) - b**2", {"a": "1e-7", "b": "-2"}) == "max(1e-7, −2) − (−2)²"


def run(*words: str) -> Result:
    return CliRunner().invoke(app, ["explain", *words])


def squeezed(text: str) -> str:
    return "".join(text.split())


@pytest.mark.parametrize("width", [60, 100])
def test_the_command_prints_every_sum(width: int, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("COLUMNS", str(width))
    path = str(EXAMPLES[0].parent / "kittiwake.toml")
    done = run(path, "--level", "3")
    assert done.exit_code == 0
    assert max(len(line.rstrip()) for line in done.output.splitlines()) <= width
    output = squeezed(done.output)
    for step in explained(read_job(path)).steps:
        assert squeezed(step.title) in output
        assert squeezed(step.meaning) in output
        for line in step.lines:
            said = f"{line.put_in} = {line.answer}" if line.put_in else line.answer
            assert squeezed(said) in output


def test_the_command_prints_one_part_in_either_system() -> None:
    path = str(EXAMPLES[0].parent / "kittiwake.toml")
    us, si = run(path, "--part", "4"), run(path, "--part", "4", "--units", "si")
    assert us.exit_code == si.exit_code == 0
    fourth, fifth = (pattern(_SECTIONS, "part", number=number, branch="") for number in ("4", "5"))
    assert fourth.search(us.output)
    assert not fifth.search(us.output)
    assert " psi" in us.output
    assert " psi" not in si.output
    assert run(path, "--part", "40").exit_code == 2
    assert run("nothing-here.toml").exit_code == 2


def random_job(rng: np.random.Generator) -> Job:
    """A loop of random parts, with or without a manifold, in either system of units."""
    units = int(rng.integers(1, 4))
    names = [f"unit {i + 1}" for i in range(units)]
    bore = float(rng.choice([0.015875, 0.01905, 0.0254, 0.03175]))
    suction = [_random_part(rng) for _ in range(int(rng.integers(0, 3)))]
    pump = {"kind": "pump", "curve": str(rng.choice(catalogue()))}
    if rng.random() < 0.3:
        pump |= {"count": 2, "arrangement": str(rng.choice(["parallel", "series"]))}
    parts: list[dict[str, object]] = [
        _random_intake(rng),
        {"kind": "seacock", "open": float(rng.choice([1.0, 1.0, 0.7])), "port": bore * 0.8},
        _hose(rng, -0.3),
        *suction,
        {
            "kind": "strainer",
            "loss": "0.4 psi at 300 gal/h",
            "blocked": float(rng.choice([0, 0.4])),
        },
        pump,
        {"kind": "bleed"},
        _hose(rng, 0.1),
    ]
    if units == 1:
        parts += [_condenser(rng, names[0]), *(_random_part(rng) for _ in range(2))]
        parts += [_hose(rng, 0.2), {"kind": "discharge", "height": 0.2}]
    else:
        ways = [_branch(rng, name) for name in names]
        parts.append(
            {"kind": "manifold", "branch": ways, "angle": float(rng.choice([0.8, math.pi / 2]))}
        )
        if any(way["part"][-1]["kind"] != "discharge" for way in ways):
            parts += [_hose(rng, -0.1), {"kind": "discharge", "height": -0.1}]
    data = {
        "units": str(rng.choice(["us", "si"])),
        "water": {"temperature": float(rng.uniform(0, 40)), "salinity": float(rng.uniform(0, 40))},
        "boat": {"speed": float(rng.choice([0.0, 3.0])), "heel": 0.2, "wave_height": 0.1},
        "defaults": {"bore": bore, "lining": str(rng.choice(["smooth plastic", "ribbed"]))},
        "condenser": [{"name": name, "cooling": float(rng.uniform(1500, 6000))} for name in names],
        "part": parts,
    }
    if rng.random() < 0.3:
        data["fitted"] = {"loss": 1.1, "pump": 0.95, "ua": 0.9}
    return Job.model_validate(data)


def _random_intake(rng: np.random.Generator) -> dict[str, object]:
    facing = str(rng.choice(["forward", "flush", "aft"]))
    return {
        "kind": "intake",
        "height": -0.5,
        "facing": facing,
        "off_centre": 0.3,
        "grate_open": 0.6,
    }


def _hose(rng: np.random.Generator, to: float) -> dict[str, object]:
    turns = [math.pi / 2] * int(rng.integers(0, 3)) + [0.7] * int(rng.integers(0, 2))
    hose: dict[str, object] = {"kind": "hose", "length": float(rng.uniform(1.5, 6)), "to": to}
    return hose | {"sweeps": turns, "barbs": int(rng.integers(0, 5))}


def _condenser(rng: np.random.Generator, name: str) -> dict[str, object]:
    part: dict[str, object] = {"kind": "condenser", "serves": name, "loss": "2.2 psi at 240 gal/h"}
    if rng.random() < 0.5:
        part |= {"tube_bore": 0.014, "scale": 0.0005, "tubes": 2}
        part["loss"] = ["1 psi at 150 gal/h", "2.2 psi at 240 gal/h"]
    return part


def _branch(rng: np.random.Generator, name: str) -> dict[str, object]:
    own = rng.random() < 0.4
    parts = [_hose(rng, 0.3), _condenser(rng, name), _random_part(rng), _hose(rng, 0.2)]
    if own:
        parts.append({"kind": "discharge", "height": 0.2})
    return {"name": name, "part": parts}


def _random_part(rng: np.random.Generator) -> dict[str, object]:
    return [
        {"kind": "elbow", "angle": float(rng.choice([0.5, math.pi / 2, 2.5])), "count": 2},
        {"kind": "tee"},
        {"kind": "check valve"},
        {"kind": "fitting", "k": 1.2},
        {"kind": "fitting", "cv": 8.0, "count": 2},
        {"kind": "fitting", "kv": 7.0},
        {"kind": "fitting", "loss": "0.2 psi at 200 gal/h"},
        {"kind": "seacock", "open": 0.8},
    ][int(rng.integers(0, 8))]


@pytest.mark.parametrize("angle", [45.0, 90.0])
def test_tees_are_explained_between_the_pieces_of_their_relation(angle: float) -> None:
    """Branches set so that the first carries 40.5 % on return, between 0.4 and 0.41."""

    def job(k: float) -> Job:
        ways = [
            {"name": "a", "part": [{"kind": "fitting", "k": k}, unit_part(1), {**HOSE, "to": 0.0}]},
            {"name": "b", "part": [{**HOSE, "to": 0.0}, unit_part(2), {**HOSE, "to": 0.0}]},
        ]
        return job_with(ways, angle=math.radians(angle))

    def share(k: float) -> float:
        point = solve(job(k))
        first, second = (point.line_flow[line] for line in point.network.forks[0].first)
        return float(first / (first + second))

    found = explained(job(float(brentq(lambda k: share(k) - 0.405, 0.01, 100.0, rtol=1e-6))))
    joined = [line for line in lines_of(found) if "K_1" in line.equation.formula]
    assert len(joined) == 1
    low, high = (joined[0].equation.inputs[name].value for name in ("K_1", "K_2"))
    assert min(low, high) < joined[0].exact < max(low, high)
    assert_every_line_holds(found)
    assert_agrees_with_check(found)


@pytest.mark.parametrize("angle", [45.0, 90.0])
@pytest.mark.parametrize(("bore", "header"), [(0.5 * INCH, 0.75 * INCH), (0.01, 0.015)])
def test_tees_of_bores_at_which_their_relation_steps_are_explained(
    bore: float, header: float, angle: float
) -> None:
    """At 2/3, whichever side of it the last digit of a float falls on."""
    ways: list[dict[str, object]] = [
        {
            "name": name,
            "part": [{**HOSE, "to": 0.0, "bore": bore}, unit_part(i), dict(HOSE, to=0.0)],
        }
        for i, name in enumerate("ab", 1)
    ]
    edits = {"part[4].bore": header, "part[4].angle": math.radians(angle)}
    found = explained(job_with(ways).replace(edits))
    assert_every_line_holds(found)
    assert_agrees_with_check(found)


def test_a_sum_of_a_thousand_losses_is_done() -> None:
    heads = {f"h_{number}": 1.0 for number in range(1000)}
    assert evaluate(" + ".join(heads), heads) == 1000
    assert evaluate("a - b - c / d / d", {"a": 9.0, "b": 2.0, "c": 8.0, "d": 2.0}) == 5


def test_what_comes_of_nothing_is_printed_as_nothing() -> None:
    """A circulation of 1e-14 m³/s, which prints as 0, is 0 gal/h too."""
    conversion = Equation("Q", "x * c", {"x": Value(-1.1e-14, "m³/s"), "c": Value(951019.4, "")})
    line = work_out(conversion, -1.1e-14 * 951019.4, "gal/h")
    assert (line.inputs[0].text, line.text) == ("0", "0")
    total = Equation("h", "a + b", {"a": Value(-1.211e-10, "m"), "b": Value(-1.98e-11, "m")})
    assert float(work_out(total, -1.409e-10, "m").text) == pytest.approx(-1.211e-10)


def test_the_band_and_the_half_blocked_flow_are_worked_out() -> None:
    found = explained(read_job(EXAMPLES[0].parent / "kittiwake.toml"))
    (unit,) = found.result.condensers
    section = "edges", unit.name
    assert value_of(found, "Q_low", *section) == pytest.approx(unit.flow_low, rel=1e-3)
    assert value_of(found, "Q_high", *section) == pytest.approx(unit.flow_high, rel=1e-3)
    assert value_of(found, "Q_half", *section) == pytest.approx(unit.flow_half_blocked, rel=1e-3)
    assert value_of(found, "b", *section) == pytest.approx(unit.clean_at, rel=1e-3)


@pytest.mark.parametrize("path", JOBS, ids=lambda path: path.stem)
def test_the_first_page_is_short_and_whole(path: Path) -> None:
    explanation = explained(read_job(path))
    page, result = explanation.page(1), explanation.result
    assert_lines_hold(line for step in page for line in step.lines)
    if all(unit.flow > 0 for unit in result.condensers):
        assert 15 <= len(page) <= 20
    topics = [step.topic for step in page]
    assert {"need", "flow", "part", "balance", "answer"} <= set(topics)
    answer = next(step for step in page if step.topic == "answer")
    shortest = min(result.condensers, key=lambda unit: unit.flow / unit.needed_flow)
    assert answer.of == shortest.name
    assert [step.number for step in page] == list(range(1, len(page) + 1))
    for step in page:
        assert all(number < step.number for number in step.rests_on)


def test_the_first_page_works_out_the_two_largest_losses() -> None:
    explanation = explained(job_of())
    stations = explanation.result.point.stations
    parts = [s for s in stations if s.kind != "pump"]
    largest = sorted(parts, key=lambda station: -station.head_loss)[:2]
    heads = [step for step in explanation.page(1) if step.row in HEADS]
    positions = {stations.index(station) + 1 for station in largest}
    assert {step.part for step in heads} == positions
    (spent,) = [step for step in explanation.page(1) if step.symbol == "h_lost"]
    assert [row[0].split(", ", 1)[1] for row in spent.rows[:2]] == [s.label for s in largest]


def test_level_two_works_out_each_kind_once() -> None:
    explanation = explained(read_job(EXAMPLES[0].parent / "razorbill.toml"))
    page = explanation.page(2)
    assert_lines_hold(line for step in page for line in step.lines)
    assert len(explanation.page(1)) < len(page) < len(explanation.page(3))
    for first, *others in explanation.kinds().values():
        whole = [step for step in explanation.steps if step.part == first and not step.fine]
        assert len([step for step in page if step.part == first]) == len(whole)
        for place in others:
            (only,) = [step for step in page if step.part == place]
            assert only.row in HEADS


def test_fading_leaves_out_what_its_answers_give() -> None:
    explanation = explained(job_of())
    found = faded(explanation)
    first, *middle, last = explanation.kinds()["hose"]
    by_part = {place: [s for s in found.steps if s.part == place] for place in (first, last)}
    assert not any(line.blank for step in by_part[first] for line in step.lines)
    blanks = [ln for s in found.steps if s.part in middle for ln in s.lines if ln.blank]
    assert blanks
    assert all("______" in line.answer for line in blanks)
    # No omitted result is revealed by a later sum of the same part.
    for step in found.steps:
        if step.part in middle and step.lines:
            own = step.lines[-1]
            assert all(i.text == "______" for i in own.inputs if i.symbol == own.equation.symbol)
            for item in own.inputs:
                if item.origin.startswith("step "):
                    source = found.steps[int(item.origin.removeprefix("step ")) - 1]
                    assert (item.text == "______") == (source.part in middle)
    (question,) = by_part[last]
    assert question.title == f"{explanation.head_step(last).title}?"
    assert not question.lines
    answers = " ".join(found.answers)
    for place in (*middle, last):
        (answer, *_) = [
            ln for ln in explanation.head_step(place).lines if ln.equation.symbol == "h"
        ]
        assert f"h = {answer.answer}" in answers


def test_one_part_faded_has_its_own_blanks_and_only_their_answers() -> None:
    explanation = explained(job_of())
    first, *middle, last = explanation.kinds()["hose"]
    for place in (first, middle[0], last):
        found = faded(explanation, file_numbers(explanation.result.job.part)[place - 1])
        own = [step for step in found.steps if step.part == place]
        unworked = [step.number for step in own if not step.lines or step.lines[-1].blank]
        assert own
        assert bool(unworked) == (place != first)
        assert [int(answer.split(".")[0]) for answer in found.answers] == unworked


def test_what_would_change_the_flow_most_is_what_the_solver_gives() -> None:
    job = job_of()
    (step,) = [one for one in explained(job).steps if one.topic == "change"]
    index = next(i for i, part in enumerate(job.part) if part.kind == "condenser")
    part = job.part[index]
    eased = part.model_copy(
        update={"loss": tuple(replace(one, drop=one.drop * HALF) for one in part.loss)}
    )
    parts = (*job.part[:index], eased, *job.part[index + 1 :])
    assert step.lines[0].exact == pytest.approx(
        solve(job.model_copy(update={"part": parts})).flow, rel=2e-3
    )


def test_a_numbered_part_has_no_article_in_the_best_change() -> None:
    job = read_job(EXAMPLES[0].parent / "guillemot.toml")
    (named, *_) = (step for step in explained(job).steps if step.topic == "change")
    label = named.rows[0][0].removesuffix(", loss halved")
    assert label[-1].isdigit()
    assert named.title.endswith(f" {label} halved")
    assert f"the {label}" not in named.title


@pytest.mark.parametrize(
    ("job", "spared"),
    [
        *((read_job(EXAMPLES[0].parent / f"{name}.toml"), 0) for name in ("curlew", "guillemot")),
        (drawn_jobs.long(60), 0),
        (branched(8), 4),
    ],
    ids=["curlew", "guillemot", "long", "branched"],
)
def test_the_changes_that_are_shown_are_those_with_every_one_solved_exactly(
    job: Job, spared: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    """With many branches, some other sizes of hose are not solved exactly."""
    built: list[Job] = []

    def shown() -> list[tuple[tuple[str, ...], ...]]:
        built.clear()
        return [step.rows for step in explained(job).steps if step.row == "best change"]

    def counted(changed: Job) -> Network:
        built.append(changed)
        return build(changed)

    monkeypatch.setattr(best_change, "build", counted)
    ranked, solved = shown(), len(built)
    assert ranked
    for margin in ("_TABLE_ERROR", "_TABLE_ERROR_SIZED"):
        monkeypatch.setattr(best_change, margin, 1e6)
    monkeypatch.setattr(best_change, "_MAX_SIZES_SOLVED", 1_000)
    assert shown() == ranked
    assert len(built) - solved >= spared


def test_no_more_hoses_are_solved_exactly_than_a_large_boat_affords(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Each unit still has its table, of the parts whose loss was halved if of nothing else."""
    job, built = branched(8), []

    def counted(changed: Job) -> Network:
        built.append(changed)
        return build(changed)

    monkeypatch.setattr(best_change, "build", counted)
    monkeypatch.setattr(best_change, "_MAX_PARTS_SOLVED", 3 * len(build(job).parts))
    tables = [step.rows for step in explained(job).steps if step.row == "best change"]
    assert len(built) == 3
    assert len(tables) == 8
    assert all(tables)


def test_the_command_prints_a_level_and_answers_last() -> None:
    path = str(EXAMPLES[0].parent / "kittiwake.toml")
    first, whole, fading = run(path), run(path, "--level", "3"), run(path, "--fade")
    assert first.exit_code == whole.exit_code == fading.exit_code == 0
    assert len(first.output) < len(whole.output) / 2
    assert SAY("explain-more-1") in " ".join(first.output.split())
    steps, answers = fading.output.split(f"\n{SAY('explain-answers')}\n")
    assert "______" in steps
    assert "______" not in answers
