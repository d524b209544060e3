"""Steps on the water, on what each unit needs, and on the flows from the solver."""

from loop.hydraulics.network import SEA_IN
from loop.job.model import TON
from loop.teach.calculation import Calculation
from loop.teach.step import Inputs, Value
from loop.words.teaching.steps import PHRASE


def water_steps(calc: Calculation) -> None:
    """The properties of the water, stored in ``calc.water`` by symbol."""
    calc.begin_section("water")
    water, found = calc.network.water, calc.water
    found["T_in"] = Value(water.temperature, "°C", PHRASE("job"))
    at: Inputs = {"T_in": found["T_in"], "S": water.salinity}
    found["ρ"] = calc.step("density", at, water.density)
    found["c_p"] = calc.step("heat capacity", at, water.heat_capacity)
    found["μ"] = calc.step("viscosity", at, water.viscosity)
    shares: Inputs = {"μ": found["μ"], "ρ": found["ρ"]}
    found["ν"] = calc.step("kinematic", shares, water.kinematic_viscosity)
    found["p_v"] = calc.step("vapor", at, water.vapor_pressure)


def need_steps(calc: Calculation) -> dict[str, tuple[Value, Value]]:
    """Needed flow and rejected heat of each unit."""
    return {unit.name: _unit_need(calc, number) for number, unit in enumerate(calc.job.condenser)}


def _unit_need(calc: Calculation, number: int) -> tuple[Value, Value]:
    unit = calc.job.condenser[number]
    calc.begin_section("need", unit.name)
    if unit.flow_needed is not None:
        needed = calc.step("stated need", {}, unit.needed_flow, repeat=True)
    else:
        tons = calc.step("tons", {"q_cool": unit.cooling}, facts={"ton": f"{TON:.7g}"})
        per_ton: Inputs = {"N_ton": tons, "Q_ton": unit.flow_per_ton}
        needed = calc.step("need", per_ton, unit.needed_flow, repeat=True)
    rejected: Inputs = {"q_cool": unit.cooling, "r": unit.heat_rejection}
    return needed, calc.step("heat", rejected, unit.rejected_heat, repeat=True)


def flow_steps(calc: Calculation) -> None:
    """The solved flow of every line, and how branches share what the pump delivers."""
    calc.begin_section("flow")
    for number, line in enumerate(calc.network.lines):
        where = {
            "line": PHRASE("line-branch" if line.branch else "line-main", branch=line.branch),
            **calc.primed,
        }
        calc.of, exact = line.branch, float(calc.result.point.line_flow[number])
        row = "flow" if line.start == SEA_IN else "line flow"
        flow = calc.step(row, {}, exact, facts=where, repeat=True)
        calc.flows[number] = calc.magnitudes[number] = flow
        if flow.value < 0:
            calc.magnitudes[number] = calc.step("backwards", {"Q": flow}, facts=where, repeat=True)
