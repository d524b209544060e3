"""The steps of a hose: friction, sweeps, barbs, and the head they take together."""

import math
from collections import Counter

import fluids

from loop.parts import Hose
from loop.parts.hose import BARB_LENGTH, BARB_OVER_HOSE, BEND_BORES
from loop.teach.ledger import Ledger, Notes
from loop.teach.losses import coefficient_head, friction_steps, velocity_step
from loop.teach.reckoning import Reckoning
from loop.teach.step import Sum, Value

_RENNELS = "Rennels & Hudson, Pipe Flow (2012), as in the package fluids"


def hose_steps(reckoning: Reckoning, index: int, hose: Hose) -> Value:
    """Every step from the hose's bore to its head lost."""
    ledger = reckoning.ledger
    flow, bore = reckoning.flow(index), ledger.given("D", hose.inner_bore, "bore")
    speed = velocity_step(ledger, flow, bore)
    origin = "the job" if hose.roughness is not None else f"table: {hose.lining or 'smooth rubber'}"
    rough = Value(hose.roughness_height, "m", origin)
    factor = friction_steps(reckoning, flow, bore, speed, rough)
    length = ledger.given("L", hose.length, "length")
    pieces = {
        "K_f": ledger.step(
            "K of the hose's friction",
            Sum("K_f", "f * L / D", {"f": factor, "L": length, "D": bore}),
            factor.value * hose.length / bore.value,
            "",
            Notes(
                "Darcy-Weisbach", "K counts losses in velocity heads; friction grows with length."
            ),
        )
    }
    for number, (turn, count) in enumerate(Counter(hose.sweeps).items(), start=1):
        sweep = _sweep(ledger, hose, turn, factor)
        name = "K_s" if number == 1 else f"K_s{number}"
        pieces[name] = sweep if count == 1 else _times(ledger, name, sweep, count)
    if hose.barbs:
        pieces["K_b"] = _barbs(reckoning, index, hose, bore)
    total = ledger.step(
        "K of the hose, all together",
        Sum("K", " + ".join(pieces), pieces),
        hose.loss_coefficient(flow.value, reckoning.network.water),
        "",
        Notes("losses in a row add up", _who_weighs_most(pieces)),
    )
    return coefficient_head(
        reckoning, index, total, speed, "It grows with about the square of the flow."
    )


def _who_weighs_most(pieces: dict[str, Value]) -> str:
    if "K_b" in pieces and pieces["K_b"].value > pieces["K_f"].value:
        return "The barbed ends cost more than the length: fewer or full-bore ends save most."
    return "The length costs most: a shorter run saves most, or a wider bore if it holds no air."


def _times(ledger: Ledger, name: str, one: Value, count: int) -> Value:
    many = Value(count, "", "the job")
    return ledger.step(
        "K of all such sweeps",
        Sum(name, "N * K_1", {"N": many, "K_1": one}),
        count * one.value,
        "",
        Notes("losses in a row add up", "Each sweep costs as much again."),
    )


def _sweep(ledger: Ledger, hose: Hose, turn: float, factor: Value) -> Value:
    bore = hose.inner_bore
    angle = ledger.given("α", turn, "angle")
    if hose.bend_radius:
        radius = Value(max(hose.bend_radius / bore, 1.0), "", "the job: bend radius over bore")
    else:
        radius = Value(BEND_BORES, "", "common practice: bend radius over bore")
    exact = fluids.bend_rounded(
        Di=bore, angle=math.degrees(turn), fd=factor.value, bend_diameters=radius.value
    )
    formula = (
        "f * α * r + (0.1 + 2.4 * f) * sin(α / 2) + 6.6 * f * (sqrt(sin(α / 2)) + sin(α / 2)) /"
        " r**(4 * α / π)"
    )
    return ledger.step(
        "K of a sweep",
        Sum("K_s", formula, {"f": factor, "α": angle, "r": radius}),
        float(exact),
        "",
        Notes(_RENNELS, "A wide sweep costs little; a tight one as much as an elbow."),
    )


def _barbs(reckoning: Reckoning, index: int, hose: Hose, bore: Value) -> Value:
    ledger = reckoning.ledger
    with ledger.in_detail():
        one = _one_barb(reckoning, index, hose, bore)
    inputs = {"N": Value(hose.barbs, "", "the job"), **one}
    on_barb = one["K_in"].value + one["K_out"].value + BARB_LENGTH * one["f"].value
    return ledger.step(
        "K of the barbed ends, on the hose's speed",
        Sum("K_b", f"N * (K_in + K_out + {BARB_LENGTH:g} * f) / β**4", inputs),
        hose.barbs * on_barb / one["β"].value ** 4,
        "",
        Notes(
            f"a barb is {BARB_LENGTH:g} bores long (common practice); K moves with the bore's 4th"
            " power",
            "At 0.8 of the hose's bore a barb costs about one velocity head: count the ends.",
        ),
    )


def _one_barb(reckoning: Reckoning, index: int, hose: Hose, bore: Value) -> dict[str, Value]:
    """What one barb costs on its own speed, and its bore over the hose's."""
    ledger, flow = reckoning.ledger, reckoning.flow(index)
    barb = _barb_bore(ledger, hose, bore)
    ratio = hose.barb / hose.inner_bore
    beta = ledger.step(
        "Barb's bore over hose's bore",
        Sum("β", "d / D", {"d": barb, "D": bore}),
        ratio,
        "",
        Notes("definition", "All the water goes through every barb, however wide the hose is."),
    )
    swell = ledger.step(
        "How much the jet narrows past the edge",
        Sum("λ", "1 + 0.622 * (1 - 0.215 * β**2 - 0.785 * β**5)", {"β": beta}),
        1 + 0.622 * (1 - 0.215 * ratio**2 - 0.785 * ratio**5),
        "",
        Notes(_RENNELS, "Water overshoots a sharp edge, so the jet is narrower than the hole."),
    )
    enter = ledger.step(
        "K of going into the barb",
        Sum("K_in", "0.0696 * (1 - β**5) * λ**2 + (λ - 1)**2", {"β": beta, "λ": swell}),
        float(fluids.contraction_sharp(Di1=hose.inner_bore, Di2=hose.barb)),
        "",
        Notes(_RENNELS, "In velocity heads of the water in the barb."),
    )
    leave = ledger.step(
        "K of coming out of the barb",
        Sum("K_out", "(1 - β**2)**2", {"β": beta}),
        float(fluids.diffuser_sharp(Di1=hose.barb, Di2=hose.inner_bore)),
        "",
        Notes("Borda-Carnot, any textbook", "Coming out, the jet's extra speed is lost."),
    )
    quick = velocity_step(ledger, flow, barb, "Velocity in the barb")
    factor = friction_steps(reckoning, flow, barb, quick, Value(0.0, "m", "a barb is smooth"))
    return {"K_in": enter, "K_out": leave, "f": factor, "β": beta}


def _barb_bore(ledger: Ledger, hose: Hose, bore: Value) -> Value:
    if hose.barb_bore:
        return ledger.given("d", hose.barb_bore, "bore")
    return ledger.step(
        "Bore of the barbs",
        Sum("d", f"{BARB_OVER_HOSE} * D", {"D": bore}),
        hose.barb,
        "bore",
        Notes(
            "common practice, where the job gives none",
            "Measure a barb: it is the narrowest place of the hose.",
        ),
    )
