"""The worked explanation: every printed line recomputed from its own printed inputs."""

import ast
import math
import re
from pathlib import Path

import numpy as np
import pytest

from loop.job import Job, read_job
from loop.pumps import catalogue
from loop.teach.arithmetic import evaluate
from loop.teach.explain import Explanation, explain
from loop.teach.step import Line

EXAMPLES = sorted((Path(__file__).parent.parent / "examples").glob("*.toml"))
JOBS = [path for path in EXAMPLES if "[[part]]" in path.read_text(encoding="utf-8")]


def by_hand(text: str) -> float:
    """What a calculator gives for a printed sum: an own reading of the print, not the program's."""
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


def rounded(value: float, digits: int) -> float:
    return float(f"{value:.{digits - 1}e}")


def lines_of(explanation: Explanation) -> list[Line]:
    return [line for step in explanation.steps for line in step.lines]


def assert_every_line_holds(explanation: Explanation) -> None:
    for line in lines_of(explanation):
        printed = float(line.text)
        if not line.sum_.formula:
            assert printed == rounded(line.exact, line.digits), line
            continue
        answer = by_hand(line.put_in)
        assert rounded(answer, line.digits) == printed, (line.put_in, line.answer)
        assert printed == rounded(line.exact, line.digits), (line.put_in, line.exact)
        for item in line.inputs:
            exact = line.sum_.inputs[item.symbol].value
            assert float(item.text) == pytest.approx(exact, rel=1e-4, abs=1e-12), line
        exactly = {name: given.value for name, given in line.sum_.inputs.items()}
        size = max((abs(value) for value in exactly.values()), default=0.0)
        assert evaluate(line.sum_.formula, exactly) == pytest.approx(
            line.exact, rel=1e-7, abs=1e-9 * min(size, 1.0)
        ), line


def value_of(explanation: Explanation, symbol: str, section: str) -> float:
    """Printed result of the step with this symbol in the section of this name."""
    found = [
        line
        for step in explanation.steps
        if step.section.startswith(section)
        for line in step.lines
        if line.sum_.symbol == symbol and not line.sum_.conversion
    ]
    assert found, (symbol, section)
    return float(found[-1].text)


def assert_agrees_with_check(explanation: Explanation) -> None:
    result, network = explanation.result, explanation.result.point.network

    def agrees(printed: float, exact: float) -> None:
        assert printed == pytest.approx(exact, rel=1e-3, abs=1e-6)

    for number, station in enumerate(result.point.stations, start=1):
        own = [step for step in explanation.steps if step.part == number and step.lines]
        if station.kind in ("pump", "manifold") or station.flow <= 0:
            continue
        heads = [step for step in own if step.title.startswith("Head lost")]
        last = next(line for line in reversed(heads[-1].lines) if not line.sum_.conversion)
        agrees(float(last.text), station.head_loss)
    pump = f"Part {network.pump_index + 1}:"
    agrees(value_of(explanation, "H_0", pump), result.pump.shutoff_head)
    agrees(value_of(explanation, "H_pump", pump), result.pump.head)
    starts = [
        float(line.text)
        for step in explanation.steps
        for line in step.lines
        if line.sum_.symbol == "H_start" and not line.sum_.conversion
    ]
    agrees(max(starts), result.pump.start_head)
    if result.point.flow > 0:
        agrees(value_of(explanation, "NPSH", "Pressures"), result.pump.npsh_available)
        agrees(value_of(explanation, "p_in", "Pressures"), result.point.pump_inlet.gauge_pressure)
        outlet = result.point.stations[network.pump_index]
        agrees(value_of(explanation, "p_out", "Pressures"), outlet.gauge_pressure)
    if math.isfinite(result.pump.npsh_required) and result.point.flow > 0:
        agrees(value_of(explanation, "NPSH_need", "Pressures"), result.pump.npsh_required)
    if math.isfinite(result.pump.power) and not result.point.past_curve:
        agrees(value_of(explanation, "P", pump), result.pump.power)
    for unit in result.condensers:
        agrees(value_of(explanation, "Q_need", f"What the {unit.name} unit"), unit.needed_flow)
        if unit.flow > 0:
            heat = f"Heat at the {unit.name} unit"
            agrees(value_of(explanation, "ΔT", heat), unit.temperature_rise)
            agrees(value_of(explanation, "T_c", heat), unit.condensing_temperature)


def assert_balances(explanation: Explanation) -> None:
    """On every way, what is lost is what the pump leaves for it."""
    for section in {s.section for s in explanation.steps if s.section.startswith("The balance")}:
        steps = [step for step in explanation.steps if step.section == section]
        heads = {line.sum_.symbol: line.exact for step in steps for line in step.lines}
        exact = {
            line.sum_.symbol: line.exact
            for step in steps
            for line in step.lines
            if not line.sum_.conversion
        }
        if "h_lost" in heads:
            assert exact["h_lost"] == pytest.approx(exact["h_left"], abs=1e-6)


@pytest.mark.parametrize("path", JOBS, ids=lambda path: path.stem)
def test_every_example_is_explained(path: Path) -> None:
    explanation = explain(read_job(path))
    assert_every_line_holds(explanation)
    assert_agrees_with_check(explanation)
    assert_balances(explanation)


@pytest.mark.parametrize("seed", range(25))
def test_random_jobs_are_explained(seed: int) -> None:
    explanation = explain(random_job(np.random.default_rng(seed)))
    assert_every_line_holds(explanation)
    assert_agrees_with_check(explanation)
    assert_balances(explanation)


@pytest.mark.extended
@pytest.mark.parametrize("seed", range(1000, 1500))
def test_many_random_jobs_are_explained(seed: int) -> None:
    test_random_jobs_are_explained(seed)


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
