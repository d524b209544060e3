"""The steps of parts whose loss a datasheet states: strainer, condenser, a rated fitting."""

from loop.margins.speed import TUBE_LEAST, TUBE_MOST
from loop.parts import Condenser, Fitting, Strainer
from loop.parts.condenser import ONE_POINT_EXPONENT
from loop.parts.friction import velocity
from loop.parts.rated import exponent_of
from loop.teach.ledger import Notes
from loop.teach.losses import coefficient_head, rated_head, velocity_step
from loop.teach.reckoning import Reckoning
from loop.teach.step import Sum, Value

_SQUARE = Value(2.0, "", "quadratic, as any strainer or fitting")


def strainer_steps(reckoning: Reckoning, index: int, part: Strainer) -> Value:
    """A basket, by its rated loss or its K."""
    meaning = "Clean the basket and this drops; nothing else in the loop changes so much by itself."
    if part.loss is not None:
        return rated_head(reckoning, index, part.loss, _SQUARE, meaning)
    bore = reckoning.ledger.given("D", part.inner_bore, "bore")
    speed = velocity_step(reckoning.ledger, reckoning.flow(index), bore)
    known = Value(part.k or 0.0, "", "the job")
    return coefficient_head(reckoning, index, known, speed, meaning)


def rated_fitting_steps(reckoning: Reckoning, index: int, part: Fitting) -> Value:
    """A fitting by its rated loss."""
    assert part.loss is not None
    meaning = "What the maker of the fitting says it costs, at this loop's flow."
    return rated_head(reckoning, index, part.loss, _SQUARE, meaning)


def condenser_steps(reckoning: Reckoning, index: int, part: Condenser) -> Value:
    """The water passage: its loss, and the speed in its tubes where their bore is known."""
    meaning = "Often the largest single loss: narrow passages carry heat better, and cost head."
    exponent = (
        _exponent(reckoning, part)
        if len(part.loss) == 2
        else Value(ONE_POINT_EXPONENT, "", "turbulent flow in a smooth tube")
    )
    head = rated_head(reckoning, index, part.loss[0], exponent, meaning)
    if part.tube_bore is not None:
        _tube_speed(reckoning, index, part, part.tube_bore)
    return head


def _exponent(reckoning: Reckoning, part: Condenser) -> Value:
    ledger = reckoning.ledger
    low, high = sorted(part.loss, key=lambda rating: rating.flow)
    inputs = {
        "Δp_2": ledger.given("Δp_2", high.drop, "pressure"),
        "Δp_1": ledger.given("Δp_1", low.drop, "pressure"),
        "Q_2": ledger.given("Q_2", high.flow, "flow"),
        "Q_1": ledger.given("Q_1", low.flow, "flow"),
    }
    return ledger.step(
        "Exponent through the two rated points",
        Sum("n", "ln(Δp_2 / Δp_1) / ln(Q_2 / Q_1)", inputs),
        exponent_of(*part.loss),
        "",
        Notes(
            "power law through two points",
            "Near 2, twice the flow costs four times the head; near 1.8, three and a half times.",
        ),
    )


def _tube_speed(reckoning: Reckoning, index: int, part: Condenser, bore: float) -> None:
    ledger, flow = reckoning.ledger, reckoning.flow(index)
    speed = velocity(flow.value / part.tubes, part.clear_bore or bore)
    inputs = {"Q": flow, "d": ledger.given("d", bore, "bore")}
    inputs["N"] = Value(part.tubes, "", "the job: tubes side by side")
    formula = "4 * Q / (N * π * d**2)"
    if part.scale:
        inputs["t"] = Value(part.scale, "m", "the job: scale")
        formula = "4 * Q / (N * π * (d - 2 * t)**2)"
    if speed > TUBE_MOST:
        meaning = "Too fast for copper-nickel: the water wears off the film that protects the tube."
    elif speed < TUBE_LEAST:
        meaning = "Slow: silt and growth can settle in the tube."
    else:
        meaning = "Fast enough to carry silt, slow enough to spare the copper-nickel."
    ledger.step(
        "Speed in the condenser's tube",
        Sum("V_t", formula, inputs),
        speed,
        "velocity",
        Notes(
            f"limits {TUBE_LEAST:g} to {TUBE_MOST:g} m/s: Copper Development Association", meaning
        ),
    )
