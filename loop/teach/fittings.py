"""The steps of everything that is not a hose, a pump or a manifold."""

import math

import fluids
from fluids.filters import square_edge_grill

from loop.parts import (
    Bleed,
    CheckValve,
    Discharge,
    Elbow,
    Fitting,
    Intake,
    Seacock,
    Tee,
    VentedLoop,
)
from loop.parts.intake import FACE_OVER_BORE
from loop.parts.seacock import added_coefficient, handle_angle
from loop.parts.tee import RUN
from loop.parts.vented_loop import RETURN_BEND
from loop.teach.ledger import Notes
from loop.teach.losses import CRANE, coefficient_head, crane_factor, velocity_step
from loop.teach.reckoning import Reckoning
from loop.teach.step import Sum, Value

_BLEVINS = "Blevins (1984), as fluids.filters.square_edge_grill"


def intake_steps(reckoning: Reckoning, index: int, intake: Intake) -> Value:
    """Entrance and grate."""
    ledger = reckoning.ledger
    bore = ledger.given("D", intake.inner_bore, "bore")
    speed = velocity_step(ledger, reckoning.flow(index), bore)
    edge = Value(float(fluids.entrance_sharp()), "", "table: sharp-edged entrance")
    inputs = {"K_e": edge}
    if intake.grate_open < 1:
        with ledger.in_detail():
            inputs |= _grate(reckoning, intake, bore)
    total = ledger.step(
        "K of the intake",
        Sum("K", "K_e + K_g * (A / A_g)**2" if len(inputs) > 1 else "K_e", inputs),
        intake.loss_coefficient(reckoning.flow(index).value, reckoning.network.water),
        "",
        Notes(
            "Rennels & Hudson (2012), as in fluids", "A bigger grate face slows the water in it."
        ),
    )
    meaning = "What it costs to draw the sea in; weed on the grate multiplies it."
    return coefficient_head(reckoning, index, total, speed, meaning)


def _grate(reckoning: Reckoning, intake: Intake, bore: Value) -> dict[str, Value]:
    ledger = reckoning.ledger
    share = Value(intake.grate_open, "", "the job, or half by common practice")
    grate = ledger.step(
        "K of the grate, on the speed in front of it",
        Sum("K_g", "(0.5 * (1 - a) + (1 - a**2)) / a**2", {"a": share}),
        float(square_edge_grill(alpha=intake.grate_open)),
        "",
        Notes(_BLEVINS, "The less of the grate is open, the faster the water goes through it."),
    )
    area = ledger.step(
        "Area of the bore",
        Sum("A", "π / 4 * D**2", {"D": bore}),
        math.pi / 4 * intake.inner_bore**2,
        "area",
        Notes("circle", "Speed goes with area, not with diameter."),
    )
    if intake.grate_area is not None:
        return {"K_g": grate, "A": area, "A_g": ledger.given("A_g", intake.grate_area, "area")}
    face = ledger.step(
        "Area of the grate's face",
        Sum("A_g", f"{FACE_OVER_BORE:g} * A", {"A": area}),
        intake.grate_face,
        "area",
        Notes("common practice, where the job gives none", "Measure yours and put it in the job."),
    )
    return {"K_g": grate, "A": area, "A_g": face}


def seacock_steps(reckoning: Reckoning, index: int, valve: Seacock) -> Value:
    """Ball valve: Crane's 3 fT, its reduced port, and Weisbach's table for a turned handle."""
    ledger = reckoning.ledger
    bore = ledger.given("D", valve.inner_bore, "bore")
    speed = velocity_step(ledger, reckoning.flow(index), bore)
    with ledger.in_detail():
        factor = crane_factor(ledger, bore)
    port = min(valve.port or valve.inner_bore, valve.inner_bore)
    inputs, formula = {"f_T": factor}, "3 * f_T"
    if port < valve.inner_bore:
        inputs["β"] = ledger.step(
            "Port over bore",
            Sum("β", "d / D", {"d": ledger.given("d", port, "bore"), "D": bore}),
            port / valve.inner_bore,
            "",
            Notes("definition", "A full-port valve costs next to nothing; a reduced one does not."),
        )
        formula = "(3 * f_T + 0.5 * (1 - β**2) + (1 - β**2)**2) / β**4"
    angle = handle_angle(valve.open)
    if angle > 0:
        inputs["K_t"] = Value(
            added_coefficient(angle), "", f"Weisbach's table, handle {angle:.3g}° from open"
        )
        formula += " + K_t / β**4" if "β" in inputs else " + K_t"
    total = ledger.step(
        "K of the ball valve",
        Sum("K", formula, inputs),
        valve.loss_coefficient(reckoning.flow(index).value, reckoning.network.water),
        "",
        Notes(
            f"{CRANE}: ball valve, 3 f_T",
            "With the handle along the line it costs little; 40° from open, many times that.",
        ),
    )
    return coefficient_head(
        reckoning,
        index,
        total,
        speed,
        "Fully open and full bore it costs next to nothing; part shut it rules the loop.",
    )


def crane_steps(reckoning: Reckoning, index: int, part: Tee | Bleed | CheckValve | Elbow) -> Value:
    """Fittings whose K Crane gives as so many fT."""
    ledger = reckoning.ledger
    bore = ledger.given("D", part.inner_bore, "bore")
    speed = velocity_step(ledger, reckoning.flow(index), bore)
    with ledger.in_detail():
        factor = crane_factor(ledger, bore)
    formula, inputs, meaning = _crane_formula(part)
    total = ledger.step(
        f"K of the {part.kind}",
        Sum("K", formula, {"f_T": factor, **inputs}),
        part.loss_coefficient(reckoning.flow(index).value, reckoning.network.water),
        "",
        Notes(f"{CRANE}: {part.kind}", meaning),
    )
    return coefficient_head(
        reckoning, index, total, speed, "Small alone; count how many there are."
    )


def _crane_formula(
    part: Tee | Bleed | CheckValve | Elbow,
) -> tuple[str, dict[str, Value], str]:
    if isinstance(part, CheckValve):
        return "100 * f_T", {}, "As much as five tees: fit one only where it is needed."
    if not isinstance(part, Elbow):
        return (
            f"{RUN:g} * f_T",
            {},
            "Straight through; several times what an open full-port valve costs.",
        )
    angle = Value(math.degrees(part.angle), "°", "the job")
    inputs = {"N": Value(part.count, "", "the job"), "α": angle}
    meaning = "Crane's table: 16 f_T at 45°, 30 at 90°, 50 at 180°; straight lines between."
    if angle.value <= 90:
        return "N * f_T * (16 + 14 * (α - 45) / 45)", inputs, meaning
    return "N * f_T * (30 + 20 * (α - 90) / 90)", inputs, meaning


def vented_loop_steps(reckoning: Reckoning, index: int, part: VentedLoop) -> Value:
    """A siphon break: a close return bend, unless the job gives its K."""
    ledger = reckoning.ledger
    bore = ledger.given("D", part.inner_bore, "bore")
    speed = velocity_step(ledger, reckoning.flow(index), bore)
    meaning = "It breaks the siphon: what the water falls behind it is not given back."
    if part.k is not None:
        return coefficient_head(reckoning, index, Value(part.k, "", "the job"), speed, meaning)
    with ledger.in_detail():
        factor = crane_factor(ledger, bore)
    total = ledger.step(
        "K of the vented loop",
        Sum("K", f"{RETURN_BEND:g} * f_T", {"f_T": factor}),
        float(part.loss_coefficient(reckoning.flow(index).value, reckoning.network.water)),
        "",
        Notes(f"{CRANE}: return bend of close pattern", "Water turns all the way round in it."),
    )
    return coefficient_head(reckoning, index, total, speed, meaning)


def discharge_steps(reckoning: Reckoning, index: int, part: Discharge) -> Value:
    """The whole velocity head is lost."""
    ledger = reckoning.ledger
    bore = ledger.given("D", part.inner_bore, "bore")
    speed = velocity_step(ledger, reckoning.flow(index), bore)
    exit_ = Value(float(fluids.exit_normal()), "", "any textbook: the jet keeps its speed")
    return coefficient_head(
        reckoning, index, exit_, speed, "The stream over the side carries this head away."
    )


def fitting_steps(reckoning: Reckoning, index: int, part: Fitting) -> Value:
    """A fitting with a known K, Cv or Kv."""
    ledger = reckoning.ledger
    bore = ledger.given("D", part.inner_bore, "bore")
    speed = velocity_step(ledger, reckoning.flow(index), bore)
    meaning = "What the maker of the fitting says it costs."
    if part.k is not None:
        return coefficient_head(reckoning, index, Value(part.k, "", "the job"), speed, meaning)
    if part.cv is not None:
        formula, exact = "1.6e9 * D**4 / (C_v / 1.15609923)**2", fluids.Cv_to_K(part.cv, part.bore)
        inputs = {"D": bore, "C_v": Value(part.cv, "gal/min at 1 psi", "the job")}
    else:
        formula, exact = "1.6e9 * D**4 / K_v**2", fluids.Kv_to_K(part.kv, part.bore)
        inputs = {"D": bore, "K_v": Value(part.kv or 0.0, "m³/h at 1 bar", "the job")}
    coefficient = ledger.step(
        "K from the flow coefficient",
        Sum("K", formula, inputs),
        float(exact),
        "",
        Notes("IEC 60534-2-1, as in fluids", "A flow coefficient is the flow that one psi drives."),
    )
    return coefficient_head(reckoning, index, coefficient, speed, meaning)
