"""Steps shared by parts: velocity, friction factor, head loss from a coefficient or a rating."""

import fluids

from loop.hydraulics.bore_steps import BoreStep, bore_steps
from loop.parts import Part, Strainer
from loop.parts.friction import LAMINAR, TURBULENT, friction_factor, reynolds
from loop.parts.scale import BORE_EXPONENT
from loop.teach.calculation import Calculation, gravity
from loop.teach.step import Inputs, Value
from loop.units.stated import Rating
from loop.words.teaching.steps import PHRASE, STEPS
from loop.words.template import Fact, Facts

_SMOOTH = "ε / (3.7 * D) + "


def velocity_step(calc: Calculation, flow: Value, bore: Value | float, where: str = "") -> Value:
    """V = 4Q/πD²; `where` is the suffix of its row of words."""
    return calc.step(f"velocity{where}", {"Q": flow, "D": bore})


def friction_steps(
    calc: Calculation, flow: Value, bore: Value | float, speed: Value, rough: tuple[float, str]
) -> Value:
    """Reynolds number, then Darcy friction factor; `rough` : wall roughness [m] and its source."""
    diameter = bore.value if isinstance(bore, Value) else bore
    number = reynolds(flow.value, diameter, calc.network.water)
    claim = "laminar" if number <= LAMINAR else "between" if number < TURBULENT else "turbulent"
    with calc.in_detail():
        inputs = {"V": speed, "D": bore, "ν": calc.water["ν"]}
        re = calc.step("reynolds", inputs, number, claim=claim)
    factor = friction_factor(number, rough[0] / diameter)
    if claim == "laminar":
        return calc.step("laminar factor", {"Re": re}, factor)
    if claim == "turbulent":
        return _colebrook(calc, re, bore, rough)
    high = _colebrook(calc, TURBULENT, bore, rough)
    edges: Facts = {"laminar": LAMINAR, "turbulent": TURBULENT}
    share = calc.step("factor share", {"Re": re}, facts=edges)
    return calc.step("factor between", {"s": share, "f_t": high}, factor, facts=edges)


def _colebrook(
    calc: Calculation, re: Value | float, bore: Value | float, rough: tuple[float, str]
) -> Value:
    diameter = bore.value if isinstance(bore, Value) else bore
    number, at = (
        (re.value, "") if isinstance(re, Value) else (re, PHRASE("at-reynolds", reynolds=re))
    )
    factor = friction_factor(number, rough[0] / diameter)
    inputs: Inputs = {"ε": rough[0], "D": bore, "Re": re, "f": factor}
    facts, formula = {"at": at, "lining": rough[1]}, STEPS["factor"].parsed[2]
    if rough[0] == 0:
        formula, inputs = formula.replace(_SMOOTH, ""), {"Re": re, "f": factor}
    return calc.step("factor", inputs, factor, formula=formula, facts=facts)


def crane_factor(calc: Calculation, bore: float) -> Value:
    """Crane's fully turbulent friction factor, a table value."""
    facts = {"mm": f"{bore * 1000:.4g}"}
    with calc.in_detail():
        return calc.step("crane factor", {}, float(fluids.ft_Crane(bore)), facts=facts)


def part_velocity(calc: Calculation, index: int) -> Value:
    """Velocity in a part's bore."""
    return velocity_step(calc, calc.flow(index), calc.network.parts[index].inner_bore)


def part_coefficient(calc: Calculation, index: int) -> float:
    """The part's K at this flow, as the program uses it."""
    part = calc.network.parts[index]
    return float(part.loss_coefficient(calc.flow(index).value, calc.network.water))


def coefficient_head(
    calc: Calculation, index: int, coefficient: Value | float, speed: Value
) -> Value:
    """h = K V²/2g, times the loop's fitted factor where it has one."""
    inputs = {"K": coefficient, "V": speed, "g": gravity()}
    return _head(calc, index, "head", calc.network.parts[index].kind, inputs, {})


def rated_head(
    calc: Calculation, index: int, rating: Rating, exponent: Value | float, origin: str
) -> Value:
    """Head at the rated flow, from the datasheet's pressure drop; then at this flow."""
    part = calc.network.parts[index]
    rated = calc.step("rated", {"Δp_r": rating.drop, "ρ": calc.water["ρ"], "g": gravity()})
    inputs = {"h_r": rated, "Q": calc.flow(index), "n": exponent, "Q_r": rating.flow}
    losses = [abs(station.head_loss) for station in calc.result.point.stations]
    most = part.kind == "condenser" and losses[index] >= max(losses)
    claim = f"{part.kind} most" if most else part.kind
    return _head(calc, index, "rated head", claim, inputs, {"exponent": origin})


def _head(
    calc: Calculation,
    index: int,
    row: str,
    claim: str,
    inputs: Inputs,
    facts: dict[str, Fact],
) -> Value:
    """The part's head loss at this flow, with the factors on its plain loss."""
    part, fitted = calc.network.parts[index], calc.job.fitted.loss
    exact = fitted * part.head_loss(calc.flow(index).value, calc.network.water)
    words = STEPS[row]
    formula, factors = _with_factors(part, words.parsed[2])
    if claim not in words.says:
        claim = "other"  # no sentence for this kind of part
    if fitted != 1:
        formula = f"F * {formula}"
        factors |= {"F": Value(fitted, "", PHRASE("fitted"))}
    return calc.step(
        row, {**inputs, **factors}, exact, formula=formula, claim=claim, facts=facts, repeat=True
    )


def _with_factors(part: Part, formula: str) -> tuple[str, dict[str, Value]]:
    """A part's own factors: its count, blockage of the basket, thickness of scale."""
    count = getattr(part, "count", 1)
    scale, tube = getattr(part, "scale", 0.0), getattr(part, "tube_bore", None)
    if part.kind == "fitting" and count > 1:
        return f"N * {formula}", {"N": Value(count, "", PHRASE("job"))}
    if isinstance(part, Strainer) and part.blocked:
        return f"{formula} * (s / (1 - b)**2 + 1 - s)", {
            "b": Value(part.blocked, "", PHRASE("blocked")),
            "s": Value(part.basket_share, "", PHRASE("basket")),
        }
    if scale and tube:
        return f"{formula} * (d / (d - 2 * t))**e", {
            "d": Value(tube, "m", PHRASE("job")),
            "t": Value(scale, "m", PHRASE("scale")),
            "e": Value(BORE_EXPONENT, "", PHRASE("smooth-tube")),
        }
    return formula, {}


def with_bore_steps(calc: Calculation, index: int, plain_head: Value) -> Value:
    """A part's head loss including the steps of bore charged to it."""
    network = calc.network
    all_steps = bore_steps(network.parts, network.lines, network.forks)
    steps = [step for step in all_steps if step.bearer == index]
    if not steps:
        return plain_head
    heads = {"h": plain_head}
    for number, step in enumerate(steps, start=1):
        heads["h_s" if number == 1 else f"h_s{number}"] = _step_head(calc, index, step)
    return calc.step("with steps", heads, formula=" + ".join(heads), repeat=True)


def _step_head(calc: Calculation, index: int, step: BoreStep) -> Value:
    """Head loss of one step of bore."""
    large = max(step.bore, step.to)
    with calc.in_detail():
        beta = calc.step("step ratio", {"d": step.small, "D": large}, repeat=True)
        if step.to < step.bore:
            jet = calc.step("jet", {"β": beta})
            coefficient = calc.step("into the step", {"β": beta, "λ": jet}, step.coefficient)
        else:
            coefficient = calc.step("out of the step", {"β": beta}, step.coefficient)
        speed = velocity_step(calc, calc.flow(index), step.small, " in the step")
    inputs: Inputs = {"K": coefficient, "V": speed, "g": gravity()}
    formula, fitted = STEPS["step head"].parsed[2], calc.job.fitted.loss
    flow = calc.flow(index).value
    if step.fittings:
        formula = f"({formula} - h_f)"
        inputs = {**inputs, "h_f": Value(step.stated * flow**2, "m", PHRASE("stated"))}
    if fitted != 1:
        formula = f"F * {formula}"
        inputs = {**inputs, "F": Value(fitted, "", PHRASE("fitted"))}
    exact = fitted * step.resistance * flow**2
    return calc.step("step head", inputs, exact, formula=formula, repeat=True)
