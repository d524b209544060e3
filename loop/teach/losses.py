"""The steps that parts share: velocity, friction factor, head from a coefficient or a rating."""

import math

import fluids

from loop.parts import Part, Strainer
from loop.parts.friction import LAMINAR, TURBULENT, friction_factor, reynolds, velocity
from loop.parts.rated import rated_head_loss
from loop.parts.scale import BORE_EXPONENT
from loop.teach.ledger import Ledger, Notes
from loop.teach.reckoning import Reckoning, gravity
from loop.teach.step import Sum, Value
from loop.units import Rating

CRANE = "Crane TP-410"
_COLEBROOK = "(1 / (2 * log10(ε / (3.7 * D) + 2.51 / (Re * sqrt(f)))))**2"


def velocity_step(
    ledger: Ledger, flow: Value, bore: Value, title: str = "Velocity", symbol: str = "V"
) -> Value:
    """V = 4Q/πD²."""
    return ledger.step(
        title,
        Sum(symbol, "4 * Q / (π * D**2)", {"Q": flow, "D": bore}),
        velocity(flow.value, bore.value),
        "velocity",
        Notes(
            "flow over the area of the bore",
            "At one flow, a bore 1.4 times as wide halves the speed: area goes with the bore's"
            " square.",
        ),
    )


def friction_steps(
    reckoning: Reckoning, flow: Value, bore: Value, speed: Value, roughness: Value
) -> Value:
    """Reynolds number, then the Darcy friction factor."""
    water = reckoning.network.water
    number = reynolds(flow.value, bore.value, water)
    symbols = {"V": speed, "D": bore, "ν": reckoning.water["ν"]}
    meaning = (
        "Below about 2000 the water slides in layers; above 3000 or so it is turbulent."
        if number < TURBULENT
        else "Above 3000 the flow is turbulent, as it is in nearly every loop."
    )
    with reckoning.ledger.in_detail():
        re = reckoning.ledger.step(
            "Reynolds number",
            Sum("Re", "V * D / ν", symbols),
            number,
            "",
            Notes("definition", meaning),
        )
    return _factor(reckoning.ledger, re, bore, roughness)


def _factor(ledger: Ledger, re: Value, bore: Value, roughness: Value) -> Value:
    factor = friction_factor(re.value, roughness.value / bore.value)
    if re.value <= LAMINAR:
        return ledger.step(
            "Friction factor, laminar",
            Sum("f", "64 / Re", {"Re": re}),
            factor,
            "",
            Notes("Hagen-Poiseuille", "In so slow a flow the wall's roughness does not matter."),
        )
    if re.value >= TURBULENT:
        return _colebrook(ledger, re, bore, roughness, "Friction factor")
    edge = Value(TURBULENT, "", "where turbulence is taken as established")
    high = _colebrook(ledger, edge, bore, roughness, f"Friction factor at Re {TURBULENT:g}")
    share = math.log(re.value / LAMINAR) / math.log(TURBULENT / LAMINAR)
    part = ledger.step(
        "How far between laminar and turbulent",
        Sum("s", f"ln(Re / {LAMINAR:g}) / ln({TURBULENT:g} / {LAMINAR:g})", {"Re": re}),
        share,
        "",
        Notes(
            "straight line in logarithms",
            "Between the two laws the flow may do either; the program joins them.",
        ),
    )
    return ledger.step(
        "Friction factor between the two laws",
        Sum("f", f"(64 / {LAMINAR:g})**(1 - s) * f_t**s", {"s": part, "f_t": high}),
        factor,
        "",
        Notes(
            "straight line in logarithms", "An estimate: the flow may change between two states."
        ),
    )


def _colebrook(ledger: Ledger, re: Value, bore: Value, roughness: Value, title: str) -> Value:
    factor = friction_factor(re.value, roughness.value / bore.value)
    itself = Value(factor, "", "the answer itself, put in to be checked")
    inputs = {"ε": roughness, "D": bore, "Re": re, "f": itself}
    formula = _COLEBROOK
    if roughness.value == 0:
        formula = formula.replace("ε / (3.7 * D) + ", "")
        inputs = {"Re": re, "f": itself}
    return ledger.step(
        title,
        Sum("f", formula, inputs, implicit=True),
        factor,
        "",
        Notes(
            "Colebrook (1939), solved by Clamond's method in the package fluids",
            "f is on both sides: start from 0.03, put each answer in again, stop when it stays.",
        ),
    )


def crane_factor(ledger: Ledger, bore: Value) -> Value:
    """Crane's friction factor in full turbulence, a table value."""
    return ledger.step(
        "Crane's friction factor for this size of fitting",
        Sum("f_T"),
        float(fluids.ft_Crane(bore.value)),
        "",
        Notes(
            f"{CRANE} table, as fitted by fluids.ft_Crane, bore {bore.value * 1000:.4g} mm",
            "Crane measures a fitting's loss in lengths of pipe; this turns them into a K.",
        ),
    )


def coefficient_head(
    reckoning: Reckoning, index: int, coefficient: Value, speed: Value, meaning: str
) -> Value:
    """h = K V²/2g, times the loop's fitted factor where it has one."""
    return _head(
        reckoning,
        index,
        "K * V**2 / (2 * g)",
        {"K": coefficient, "V": speed, "g": gravity()},
        Notes("K velocity heads (Darcy-Weisbach form)", meaning),
    )


def rated_head(
    reckoning: Reckoning, index: int, rating: Rating, exponent: Value, meaning: str
) -> Value:
    """Head at the rated flow, from the datasheet's pressure drop; then at this flow."""
    ledger, water = reckoning.ledger, reckoning.network.water
    drop = ledger.given("Δp_r", rating.drop, "pressure")
    head = ledger.step(
        "Rated loss as a head",
        Sum("h_r", "Δp_r / (ρ * g)", {"Δp_r": drop, "ρ": reckoning.water["ρ"], "g": gravity()}),
        rated_head_loss(rating, rating.flow, water),
        "head",
        Notes(
            "p = ρ g h",
            "A gauge shows pressure, a pump's curve head: this turns one into the other.",
        ),
    )
    inputs = {"h_r": head, "Q": reckoning.flow(index), "n": exponent}
    inputs["Q_r"] = ledger.given("Q_r", rating.flow, "flow")
    notes = Notes("datasheet, moved to this flow by the power law", meaning)
    return _head(reckoning, index, "h_r * (Q / Q_r)**n", inputs, notes)


def _head(
    reckoning: Reckoning, index: int, formula: str, inputs: dict[str, Value], notes: Notes
) -> Value:
    """The part's head at this flow, with the factors that multiply its plain loss."""
    part, flow = reckoning.network.parts[index], reckoning.flow(index)
    fitted = reckoning.job.fitted.loss
    exact = fitted * part.head_loss(flow.value, reckoning.network.water)
    formula, inputs = _multiplied(part, formula, inputs)
    if fitted != 1:
        formula = f"F * {formula}"
        inputs = {**inputs, "F": Value(fitted, "", "fitted to this boat's own readings")}
    return reckoning.ledger.own_step("Head lost", Sum("h", formula, inputs), exact, "head", notes)


def _multiplied(part: Part, formula: str, inputs: dict[str, Value]) -> tuple[str, dict[str, Value]]:
    """A part's own factors: how many there are, how blocked the basket, how thick the scale."""
    count = getattr(part, "count", 1)
    scale, tube = getattr(part, "scale", 0.0), getattr(part, "tube_bore", None)
    if part.kind == "fitting" and count > 1:
        return f"N * {formula}", {**inputs, "N": Value(count, "", "the job")}
    if isinstance(part, Strainer) and part.blocked:
        share = Value(part.blocked, "", "the job: share of the basket blocked")
        part_of = Value(part.basket_share, "", "the basket's share of the clean loss")
        return f"{formula} * (s / (1 - b)**2 + 1 - s)", {**inputs, "b": share, "s": part_of}
    if scale and tube:
        walls = {
            "d": Value(tube, "m", "the job"),
            "t": Value(scale, "m", "the job: scale"),
            "e": Value(BORE_EXPONENT, "", "turbulent flow in a smooth tube"),
        }
        return f"{formula} * (d / (d - 2 * t))**e", {**inputs, **walls}
    return formula, inputs
