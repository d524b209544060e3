"""Steps of a manifold: how the flow splits, and the head loss at each tee of its headers."""

import math

import numpy as np

from loop.hydraulics import Fork
from loop.hydraulics.headers import BLEND_WIDTH, Header, Tee
from loop.hydraulics.manifolds import return_header, supply_header
from loop.hydraulics.running_lines import TRICKLE
from loop.parts.friction import velocity_head
from loop.teach.arithmetic import number_text
from loop.teach.calculation import ZERO_HEAD, Calculation, gravity
from loop.teach.losses import velocity_step
from loop.teach.step import DIGITS, Inputs, Value
from loop.words.teaching.steps import PHRASE
from loop.words.template import Fact


def manifold_steps(calc: Calculation, fork: Fork) -> None:
    """Every tee of the supply header, and of the return header where branches rejoin.

    Stores in ``calc.tees`` the head lost before each branch's first part, under the leaving line,
    and after its last part, under the bitwise inverse of the returning line.
    """
    calc.tees.update(
        _header(calc, supply_header(fork), dict(zip(fork.first, fork.names, strict=True)))
    )
    back, lines = fork.rejoining
    if back:
        named = {line: fork.names[branch] for line, branch in zip(lines, back, strict=True)}
        found = _header(calc, return_header(fork), named)
        calc.tees.update({~line: head for line, head in found.items()})


def _header(calc: Calculation, header: Header, name_of: dict[int, str]) -> dict[int, Value]:
    """Head lost between the joint and each branch along one header, by the branch's line."""
    run: dict[str, Value] = {}
    found = {}
    *turning, last = name_of
    for place, (line, tee) in enumerate(zip(turning, header.tees, strict=True)):
        where = _where(name_of[line], header.converging)
        beyond = [calc.flows[other] for other in list(name_of)[place:]]
        if sum(flow.value for flow in beyond) <= TRICKLE:
            found[line] = _head_along(calc, where, run)
            continue
        branch, run_head = _one_tee(calc, tee, beyond, where)
        found[line] = _head_along(calc, where, {**run, "h_b": branch})
        run[f"h_r{place + 1}"] = run_head
    found[last] = _head_along(calc, _where(name_of[last], header.converging), run)
    return found


def _where(name: str, converging: bool) -> str:
    return PHRASE("comes-back" if converging else "leaves", branch=name)


def _head_along(calc: Calculation, where: str, heads: dict[str, Value]) -> Value:
    """Head lost along the header to (or from) one branch: the runs passed, then its own tee."""
    if len(heads) < 2:
        return next(iter(heads.values()), ZERO_HEAD)
    return calc.step("tees", heads, formula=" + ".join(heads), facts={"where": where})


def _one_tee(calc: Calculation, tee: Tee, beyond: list[Value], where: str) -> tuple[Value, Value]:
    """Head lost into (or out of) the branch, and along the run, at one tee."""
    flows = {f"Q_{i + 1}": flow for i, flow in enumerate(beyond)}
    facts: dict[str, Fact] = {"where": where, "angle": f"{tee.angle:.4g}"}
    combined = calc.step("combined", flows, formula=" + ".join(flows), facts=facts)
    exact = beyond[0].value / combined.value
    share = min(max(exact, 0.0), 1.0)
    given = {"Q_1": beyond[0], "Q_c": combined} if share == exact else {}
    split = calc.step("share", given, share, formula=None if given else "")
    speed = velocity_step(calc, combined, tee.header, " in the header")
    ratio = calc.step("area ratio", {"d": tee.branch, "D": tee.header})
    heads = []
    for letter, coefficient in zip("br", tee.coefficients(share), strict=True):
        formula, inputs = (_branch if letter == "b" else _run)(tee, split, ratio)
        ends = {"low": f"{tee.gap:.4g}", "high": f"{tee.gap + BLEND_WIDTH:.4g}"}
        found = calc.step(
            f"tee K_{letter}",
            inputs,
            coefficient,
            formula=formula,
            claim="gains" if number_text(coefficient, DIGITS).startswith("-") else "loses",
            facts={**facts, **ends},
        )
        symbols = {f"K_{letter}": found, "V_c": speed, "g": gravity()}
        head = coefficient * velocity_head(combined.value, tee.header)
        heads.append(calc.step(f"tee h_{letter}", symbols, head))
    return heads[0], heads[1]


def _branch(tee: Tee, split: Value, ratio: Value) -> tuple[str, Inputs]:
    """Crane's formula for the branch, with the constants for this angle, area ratio and split."""
    if 0 < split.value - tee.gap < BLEND_WIDTH:
        return _across_gap(tee, split)
    symbols: Inputs = {"s": split, "b": ratio}
    share, area = split.value, ratio.value
    if tee.converging:
        side = float(np.interp(tee.angle, (30.0, 45.0, 60.0, 90.0), (1.74, 1.41, 1.0, 0.0)))
        front = "0.55" if share > 0.4 else "0.9 * (1 - s)"
        if area <= 0.35:
            front = "1"
        formula = f"{front} * (1 + (s / b)**2 - 2 * (1 - s)**2"
        if side == 0:
            return f"{formula})", symbols
        symbols["F"] = side
        return f"{formula} - F * s**2 / b)", symbols
    slim = tee.branch / tee.header <= 2 / 3
    if (tee.angle < 60 or slim) and not math.isclose(tee.angle, 90.0):
        inner = "1 + (s / b)**2 - 2 * (s / b) * c"
        symbols["c"] = math.cos(math.radians(tee.angle))
    else:
        inner = "1 + (s / b)**2" if slim else "1 + 0.3 * (s / b)**2"
    return f"{_crane_g(tee, share, area)} * ({inner})", symbols


def _across_gap(tee: Tee, split: Value) -> tuple[str, Inputs]:
    """The straight line across the gap between the two pieces of Crane's formula."""
    low, high = (tee.coefficients(at)[0] for at in (tee.gap, tee.gap + BLEND_WIDTH))
    formula = f"K_1 + (K_2 - K_1) * (s - {tee.gap:g}) / {BLEND_WIDTH:g}"
    return formula, {"K_1": low, "K_2": high, "s": split}


def _crane_g(tee: Tee, share: float, area: float) -> str:
    """Crane's factor G of a diverging branch."""
    if tee.angle >= 75:
        return "1" if area <= 2 / 3 else "(1 + 0.3 * s**2)"
    if area <= 0.35:
        return "(1.1 - 0.7 * s)" if share <= 0.4 else "0.85"
    return "(1 - 0.6 * s)" if share <= 0.6 else "0.6"


def _run(tee: Tee, split: Value, ratio: Value) -> tuple[str, Inputs]:
    """Crane's formula for the run."""
    if tee.converging:
        if tee.angle >= 75:
            return "1.55 * s - s**2", {"s": split}
        side = float(np.interp(tee.angle, (30.0, 45.0, 60.0), (1.74, 1.41, 1.0)))
        return "1 - (1 - s)**2 - F * s**2 / b", {"s": split, "b": ratio, "F": side}
    if ratio.value <= 0.4:
        return "0.4 * s**2", {"s": split}
    front = "2" if split.value <= 0.5 else "0.3"
    return f"{front} * (2 * s - 1) * s**2", {"s": split}
