"""Steps on heat: how much the water warms, and at what temperature the unit condenses."""

from collections.abc import Mapping

from loop.check import CondenserResult
from loop.job import Unit
from loop.margins.heat import FILM_EXPONENT, TRIPS, WATER_SHARE, conductance, rated_conductance
from loop.margins.warming import fouling_of
from loop.teach.calculation import Calculation
from loop.teach.step import Inputs, Value
from loop.teach.water_temperature import WaterTemperature


def heat_steps(calc: Calculation, needs: Mapping[str, tuple[Value, Value]]) -> None:
    """Rise, outlet temperature, NTU and condensing temperature of each unit.

    `needs` : needed flow and rejected heat of each. A unit comes after those that warm its water,
    unless water circulates between them.
    """
    temperatures = WaterTemperature(calc)
    waiting = list(calc.result.condensers)
    while waiting:
        names = {other.name for other in waiting}
        ready = (other for other in waiting if not names.intersection(other.warmed_by))
        unit_result = next(ready, waiting[0])
        waiting.remove(unit_result)
        calc.begin_section("heat", unit_result.name)
        if unit_result.flow == 0:
            calc.remark("dry unit")
        else:
            _unit_steps(calc, unit_result, temperatures, needs[unit_result.name])


def _unit_steps(
    calc: Calculation,
    result: CondenserResult,
    temperatures: WaterTemperature,
    need: tuple[Value, Value],
) -> None:
    unit, (needed, heat) = calc.job.unit(result.name), need
    flow = calc.flow(calc.network.condenser_part(unit.name))
    inlet = temperatures.entering(result)
    stream = _stream(calc, flow, "stream")
    given_off = _given_off(calc, unit, result, heat)
    rise = calc.step("rise", {"q": given_off, "w": stream}, result.temperature_rise, repeat=True)
    temperatures.write_outlet(result, {"T_in": inlet, "ΔT": rise})
    rated = _rated_conductance(calc, unit, needed, heat)
    units = _transfer_units(calc, unit, flow, (needed, rated, stream))
    calc.step(
        "condensing",
        {"T_in": inlet, "ΔT": rise, "NTU": units},
        result.condensing_temperature,
        claim="runs" if result.runs_on else "trips",
        facts={"limit": TRIPS},
        repeat=True,
    )


def _given_off(calc: Calculation, unit: Unit, result: CondenserResult, rated_heat: Value) -> Value:
    """Heat rejected to the water: the unit's cooling plus its power, where that is stated."""
    line = unit.power_line
    if line is None or not result.runs_on:
        return rated_heat
    power = line.power(result.condensing_temperature)
    return calc.step("given off", {"q_cool": unit.cooling, "P": power}, repeat=True)


def _stream(calc: Calculation, flow: Value, row: str) -> Value:
    water = calc.network.water
    inputs = {"ρ": calc.water["ρ"], "Q": flow, "c_p": calc.water["c_p"]}
    return calc.step(row, inputs, water.density * flow.value * water.heat_capacity)


def _rated_conductance(calc: Calculation, unit: Unit, needed: Value, heat: Value) -> Value:
    """UA at the needed flow, from the approach there."""
    fitted = calc.job.fitted.ua
    stream = _stream(calc, needed, "needed stream")
    rise = calc.step("needed rise", {"q": heat, "w_r": stream})
    number = calc.step("needed ntu", {"ΔT_r": rise, "a": unit.approach})
    inputs: Inputs = {"NTU_r": number, "w_r": stream}
    formula = None
    if fitted != 1:
        inputs["F"], formula = fitted, "NTU_r * w_r * F"
    exact = rated_conductance(unit, calc.network.water) * fitted
    return calc.step("rated ua", inputs, exact, formula=formula)


def _transfer_units(
    calc: Calculation, unit: Unit, flow: Value, rated: tuple[Value, Value, Value]
) -> Value:
    """NTU at this flow."""
    needed, rated_ua, stream = rated
    scale = float(fouling_of(calc.network)[calc.job.condenser.index(unit)])
    exact = float(conductance(unit, flow.value, calc.network.water, calc.job.fitted.ua, scale))
    inputs: Inputs = {"UA_r": rated_ua, "v": WATER_SHARE, "Q": flow}
    inputs |= {"Q_need": needed, "m": FILM_EXPONENT}
    formula = None
    if scale:
        inputs["s"], formula = scale, "UA_r / (v * (Q / Q_need)**(-m) + 1 - v + s)"
    power = {"power": FILM_EXPONENT}
    passed = calc.step("ua", inputs, exact, formula=formula, facts=power)
    return calc.step("ntu", {"UA": passed, "w": stream})
