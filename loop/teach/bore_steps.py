"""Steps of bore that are charged to a part: K of each, and its head loss."""

from loop.hydraulics.bore_steps import BoreStep, bore_steps
from loop.teach.calculation import Calculation, gravity
from loop.teach.losses import velocity_step
from loop.teach.step import Inputs, Value
from loop.words.teaching.steps import PHRASE, STEPS


def with_bore_steps(calc: Calculation, index: int, plain_head: Value) -> Value:
    """A part's head loss including the steps of bore charged to it."""
    network = calc.network
    all_steps = bore_steps(network.parts, network.lines, network.forks)
    steps = [step for step in all_steps if step.bearer == index]
    if not steps:
        return plain_head
    heads = {"h": plain_head}
    for number, step in enumerate(steps, start=1):
        heads["h_s" if number == 1 else f"h_s{number}"] = _head(calc, index, step)
    return calc.step("with steps", heads, formula=" + ".join(heads), repeat=True)


def _head(calc: Calculation, index: int, step: BoreStep) -> Value:
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
