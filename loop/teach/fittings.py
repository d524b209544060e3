"""Steps of every part except hoses, pumps and manifolds."""

import math

import fluids

from loop.margins.speed import TUBE_MAX, TUBE_MIN
from loop.parts import (
    Bleed,
    CheckValve,
    Condenser,
    Discharge,
    Elbow,
    Fitting,
    Intake,
    Part,
    Seacock,
    Strainer,
    Tee,
    VentedLoop,
)
from loop.parts.condenser import ONE_POINT_EXPONENT
from loop.parts.friction import velocity
from loop.parts.intake import FACE_OVER_BORE
from loop.parts.rated import exponent_of
from loop.parts.seacock import added_coefficient, handle_angle
from loop.parts.tee import RUN
from loop.parts.vented_loop import RETURN_BEND
from loop.teach.calculation import Calculation
from loop.teach.losses import (
    coefficient_head,
    crane_factor,
    part_coefficient,
    part_velocity,
    rated_head,
)
from loop.teach.step import Inputs, Value
from loop.words.teaching.steps import PHRASE


def fitting_steps(calc: Calculation, index: int, part: Part) -> Value:
    """A part's loss: by its rating where a datasheet gives one, else by its K."""
    match part:
        case Condenser():
            return _condenser(calc, index, part)
        case Strainer(loss=rating) | Fitting(loss=rating) if rating is not None:
            return rated_head(calc, index, rating, 2.0, PHRASE("quadratic"))
    speed = part_velocity(calc, index)
    return coefficient_head(calc, index, _coefficient(calc, index, part), speed)


def _coefficient(calc: Calculation, index: int, part: Part) -> Value | float:
    """K of a part, based on the velocity in its bore."""
    match part:
        case Intake():
            return _intake(calc, index, part)
        case Seacock():
            return _seacock(calc, index, part)
        case Discharge():
            return Value(float(fluids.exit_normal()), "", PHRASE("jet"))
        case Strainer(k=known) | Fitting(k=known) | VentedLoop(k=known) if known is not None:
            return known
        case Fitting():
            return _flow_coefficient(calc, part)
        case Tee() | Bleed() | CheckValve() | Elbow() | VentedLoop():
            return _crane(calc, index, part)
    flow = calc.result.point.stations[index].flow
    return Value(
        float(part.loss_coefficient(abs(flow), calc.network.water)), "", PHRASE("own-relation")
    )


def _condenser(calc: Calculation, index: int, part: Condenser) -> Value:
    """The water passage: its loss, and the velocity in its tubes where their bore is known."""
    exponent: Value | float = ONE_POINT_EXPONENT
    if len(part.loss) == 2:
        low, high = sorted(part.loss, key=lambda rating: rating.flow)
        points = {"Δp_2": high.drop, "Δp_1": low.drop, "Q_2": high.flow, "Q_1": low.flow}
        exponent = calc.step("exponent", points, exponent_of(*part.loss))
    head = rated_head(calc, index, part.loss[0], exponent, PHRASE("smooth-tube"))
    if part.tube_bore is not None:
        _tube_speed(calc, index, part, part.tube_bore)
    return head


def _tube_speed(calc: Calculation, index: int, part: Condenser, bore: float) -> None:
    flow = calc.flow(index)
    speed = velocity(flow.value / part.tubes, part.clear_bore or bore)
    inputs: Inputs = {"Q": flow, "d": bore, "N": part.tubes, "t": part.scale}
    formula = None
    if not part.scale:
        formula = "4 * Q / (N * π * d**2)"
        del inputs["t"]
    calc.step(
        "tube speed",
        inputs,
        speed,
        formula=formula,
        claim="fast" if speed > TUBE_MAX else "slow" if speed < TUBE_MIN else "right",
        facts={"least": TUBE_MIN, "most": TUBE_MAX},
    )


def _intake(calc: Calculation, index: int, intake: Intake) -> Value:
    """Entrance and grate."""
    inputs: Inputs = {"K_e": float(fluids.entrance_sharp())}
    formula = None if intake.grate_open < 1 else "K_e"
    if intake.grate_open < 1:
        with calc.in_detail():
            inputs["K_g"] = calc.step("grate", {"a": intake.grate_open})
            inputs["A"] = calc.step("bore area", {"D": intake.inner_bore})
            face = {"A": inputs["A"]}
            inputs["A_g"] = intake.grate_area or calc.step(
                "grate area", face, intake.grate_face, facts={"times": FACE_OVER_BORE}
            )
    return calc.step("intake", inputs, part_coefficient(calc, index), formula=formula)


def _seacock(calc: Calculation, index: int, valve: Seacock) -> Value:
    """Ball valve: Crane's 3 fT, its reduced port, and Weisbach's table for a turned handle."""
    inputs: Inputs = {"f_T": crane_factor(calc, valve.inner_bore)}
    formula, turned, angle = "3 * f_T", "K_t", handle_angle(valve.open)
    port = valve.clear_port
    if port < valve.inner_bore:
        inputs["β"] = calc.step("port", {"d": port, "D": valve.inner_bore})
        formula, turned = "(3 * f_T + 0.5 * (1 - β**2) + (1 - β**2)**2) / β**4", "K_t / β**4"
    if angle > 0:
        inputs["K_t"] = added_coefficient(angle)
        formula = f"{formula} + {turned}"
    exact, facts = part_coefficient(calc, index), {"angle": f"{angle:.3g}"}
    return calc.step("seacock", inputs, exact, formula=formula, facts=facts)


def _crane(
    calc: Calculation, index: int, part: Tee | Bleed | CheckValve | Elbow | VentedLoop
) -> Value:
    """Fittings whose K Crane gives as a multiple of fT."""
    inputs: Inputs = {"f_T": crane_factor(calc, part.inner_bore)}
    formula = None
    row = "run of a tee" if isinstance(part, Tee | Bleed) else part.kind
    if isinstance(part, Elbow):
        angle = math.degrees(part.angle)
        inputs |= {"N": part.count, "α": angle}
        if angle > 90:
            formula = "N * f_T * (30 + 20 * (α - 90) / 90)"
    facts = {"kind": part.kind, "run": RUN, "turn": RETURN_BEND}
    return calc.step(row, inputs, part_coefficient(calc, index), formula=formula, facts=facts)


def _flow_coefficient(calc: Calculation, part: Fitting) -> Value:
    """K of a fitting from its Cv or Kv."""
    inputs: Inputs = {"D": part.inner_bore}
    if part.cv is not None:
        formula, exact = "1.6e9 * D**4 / (C_v / 1.15609923)**2", fluids.Cv_to_K(part.cv, part.bore)
        inputs["C_v"] = part.cv
    else:
        formula, exact = "1.6e9 * D**4 / K_v**2", fluids.Kv_to_K(part.kv, part.bore)
        inputs["K_v"] = part.kv or 0.0
    return calc.step("flow coefficient", inputs, float(exact), formula=formula)
