"""The steps of a manifold: how the flow splits, and what each tee of its headers costs."""

import math
from collections.abc import Sequence

import numpy as np

from loop.hydraulics import Fork
from loop.hydraulics.headers import JOINED, Tee
from loop.hydraulics.running_lines import TRICKLE
from loop.parts.friction import velocity_head
from loop.teach.ledger import Ledger, Notes
from loop.teach.losses import CRANE, velocity_step
from loop.teach.reckoning import Reckoning, gravity
from loop.teach.step import Sum, Value

_MEANING = {
    "b": "In velocity heads of the whole flow in the header.",
    "r": "In velocity heads of the whole flow in the header; straight on costs little.",
}
_SPEEDING = "Below zero: the faster stream pulls the slower one along."


def manifold_steps(reckoning: Reckoning, fork: Fork) -> None:
    """Every tee on the way out, and on the way back where branches rejoin.

    Leaves in ``reckoning.tees`` the head lost before each branch's first part, under the line that
    leaves, and after its last part, under the bitwise inverse of the line that comes back.
    """
    for i, head in enumerate(_header(reckoning, fork, range(len(fork.first)), fork.first, False)):
        reckoning.tees[fork.first[i]] = head
    back, lines = fork.rejoining
    if back:
        returning = _header(reckoning, fork, back, lines, True)
        for line, head in zip(lines, returning, strict=True):
            reckoning.tees[~line] = head


def _header(
    reckoning: Reckoning, fork: Fork, which: Sequence[int], lines: Sequence[int], converging: bool
) -> list[Value]:
    """Head lost between the joint and each branch along one header."""
    ledger = reckoning.ledger
    way = "comes back" if converging else "leaves"
    run: dict[str, Value] = {}
    found = []
    for place in range(len(lines) - 1):
        name = fork.names[which[place]]
        bores = fork.back_bores if converging else fork.bores
        angle = float(np.degrees(fork.angle))
        tee = Tee(fork.header_bore, bores[which[place]], angle, converging)
        beyond = [reckoning.flows[other] for other in lines[place:]]
        if sum(flow.value for flow in beyond) <= TRICKLE:
            found.append(_along(ledger, name, way, run))
            continue
        branch, on = _one_tee(reckoning, tee, beyond, f"where branch “{name}” {way}")
        found.append(_along(ledger, name, way, {**run, "h_b": branch}))
        run[f"h_r{place + 1}"] = on
    found.append(_along(ledger, fork.names[which[-1]], way, run))
    return found


def _along(ledger: Ledger, name: str, way: str, heads: dict[str, Value]) -> Value:
    """Head lost along the header to (or from) one branch: the runs passed, then its own tee."""
    if len(heads) < 2:
        return next(iter(heads.values()), Value(0.0, "m", "no tee on the way"))
    return ledger.step(
        f"Head lost in the tees where branch “{name}” {way}",
        Sum("h_tee", " + ".join(heads), heads),
        sum(head.value for head in heads.values()),
        "head",
        Notes("losses in a row add up", "The farther along the header, the more tees to pass."),
    )


def _one_tee(reckoning: Reckoning, tee: Tee, beyond: list[Value], way: str) -> tuple[Value, Value]:
    """Head lost into (or out of) the branch, and along the run, at one tee."""
    ledger = reckoning.ledger
    flows = {f"Q_{i + 1}": flow for i, flow in enumerate(beyond)}
    combined = ledger.step(
        f"Combined flow at the tee {way}",
        Sum("Q_c", " + ".join(flows), flows),
        sum(flow.value for flow in beyond),
        "flow",
        Notes("no water is lost", "What comes to a tee leaves it."),
    )
    share = min(max(beyond[0].value / combined.value, 0.0), 1.0)
    split = ledger.step(
        "Share that the branch takes",
        Sum("s", "Q_1 / Q_c", {"Q_1": beyond[0], "Q_c": combined})
        if share == beyond[0].value / combined.value
        else Sum("s"),
        share,
        "",
        Notes("definition; held between 0 and 1", "A tee's loss depends on who gets how much."),
    )
    header = ledger.given("D", tee.header, "bore")
    speed = velocity_step(ledger, combined, header, "Velocity in the header", "V_c")
    ratio = ledger.step(
        "Area of the branch over area of the header",
        Sum("b", "(d / D)**2", {"d": ledger.given("d", tee.branch, "bore"), "D": header}),
        (tee.branch / tee.header) ** 2,
        "",
        Notes("definition", "The narrower the branch, the faster the water in it."),
    )
    into, along = tee.coefficients(share)
    heads = []
    for ending, what, exact in zip(("b", "r"), ("turns", "runs on"), (into, along), strict=True):
        formula, inputs = (_branch if ending == "b" else _run)(tee, split, ratio)
        coefficient = ledger.step(
            f"K for the water that {what} at the tee {way}",
            Sum(f"K_{ending}", formula, inputs),
            exact,
            "",
            Notes(f"{CRANE}, tees and wyes", _SPEEDING if exact < 0 else _MEANING[ending]),
        )
        symbols = {f"K_{ending}": coefficient, "V_c": speed, "g": gravity()}
        heads.append(
            ledger.step(
                f"Head lost by the water that {what}",
                Sum(f"h_{ending}", f"K_{ending} * V_c**2 / (2 * g)", symbols),
                exact * velocity_head(combined.value, tee.header),
                "head",
                Notes("K velocity heads of the header", "A manifold's tees count as fittings do."),
            )
        )
    return heads[0], heads[1]


def _branch(tee: Tee, split: Value, ratio: Value) -> tuple[str, dict[str, Value]]:
    """Crane's formula for the branch, with the constants for this angle, area ratio and split."""
    if 0 < split.value - tee.gap < JOINED:
        return _between(tee, split)
    symbols = {"s": split, "b": ratio}
    share, area = split.value, ratio.value
    if tee.converging:
        side = float(np.interp(tee.angle, (30.0, 45.0, 60.0, 90.0), (1.74, 1.41, 1.0, 0.0)))
        front = "0.55" if share > 0.4 else "0.9 * (1 - s)"
        if area <= 0.35:
            front = "1"
        formula = f"{front} * (1 + (s / b)**2 - 2 * (1 - s)**2"
        if side == 0:
            return f"{formula})", symbols
        symbols["F"] = Value(side, "", f"table for {tee.angle:.4g}°")
        return f"{formula} - F * s**2 / b)", symbols
    slim = tee.branch / tee.header <= 2 / 3
    if (tee.angle < 60 or slim) and not math.isclose(tee.angle, 90.0):
        cosine = Value(math.cos(math.radians(tee.angle)), "", f"cosine of {tee.angle:.4g}°")
        inner = "1 + (s / b)**2 - 2 * (s / b) * c"
        symbols["c"] = cosine
    else:
        inner = "1 + (s / b)**2" if slim else "1 + 0.3 * (s / b)**2"
    return f"{_front(tee, share, area)} * ({inner})", symbols


def _between(tee: Tee, split: Value) -> tuple[str, dict[str, Value]]:
    """The straight line that joins the two pieces of Crane's formula, which miss each other."""
    ends = {
        f"K_{number}": Value(tee.coefficients(at)[0], "", f"the formula's, at a share of {at:.4g}")
        for number, at in enumerate((tee.gap, tee.gap + JOINED), 1)
    }
    formula = f"K_1 + (K_2 - K_1) * (s - {tee.gap:g}) / {JOINED:g}"
    return formula, {**ends, "s": split}


def _front(tee: Tee, share: float, area: float) -> str:
    """Crane's factor G of a diverging branch."""
    if tee.angle >= 75:
        return "1" if area <= 2 / 3 else "(1 + 0.3 * s**2)"
    if area <= 0.35:
        return "(1.1 - 0.7 * s)" if share <= 0.4 else "0.85"
    return "(1 - 0.6 * s)" if share <= 0.6 else "0.6"


def _run(tee: Tee, split: Value, ratio: Value) -> tuple[str, dict[str, Value]]:
    """Crane's formula for the run."""
    if tee.converging:
        if tee.angle >= 75:
            return "1.55 * s - s**2", {"s": split}
        side = float(np.interp(tee.angle, (30.0, 45.0, 60.0), (1.74, 1.41, 1.0)))
        inputs = {"s": split, "b": ratio, "F": Value(side, "", f"table for {tee.angle:.4g}°")}
        return "1 - (1 - s)**2 - F * s**2 / b", inputs
    if ratio.value <= 0.4:
        return "0.4 * s**2", {"s": split}
    front = "2" if split.value <= 0.5 else "0.3"
    return f"{front} * (2 * s - 1) * s**2", {"s": split}
