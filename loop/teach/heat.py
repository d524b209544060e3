"""Steps on heat: the water that reaches each unit, its warming, the condensing temperature."""

from collections.abc import Mapping
from dataclasses import dataclass, field

from loop.check import CondenserResult
from loop.job import Unit
from loop.margins.heat import FILM_EXPONENT, TRIPS, WATER_SHARE, conductance, rated_conductance
from loop.margins.warming import feeding_lines, fouling_of, recirculates, source_joint
from loop.parts import Condenser
from loop.teach.calculation import Calculation
from loop.teach.step import Inputs, Value
from loop.words.teaching.steps import PHRASE
from loop.words.template import listed

# Temperature rise that counts as zero [K].
_ZERO_RISE = 1e-9


@dataclass
class WaterTemperature:
    """Temperature of the water along its path.

    ``leaving`` : of the water leaving each unit, ``at_joints`` : at each joint, as figures from
    earlier steps.
    """

    calc: Calculation
    leaving: dict[str, Value] = field(default_factory=dict)
    at_joints: dict[int, Value] = field(default_factory=dict)

    def entering(self, unit: CondenserResult) -> Value:
        """Temperature of the water entering a unit, with the steps that give it."""
        calc = self.calc
        added = unit.inlet_temperature - calc.job.water.temperature
        if not unit.warmed_by and added < _ZERO_RISE:
            return calc.water["T_in"]
        source = self._source_temperature(unit.name)
        return calc.step(
            "inlet",
            {} if source is None else {"T_come": source},
            unit.inlet_temperature,
            formula="" if source is None else None,
            facts={
                "added": added,
                # The unit itself where only its own water recirculates.
                "units": listed(unit.warmed_by or (unit.name,)),
            },
            repeat=True,
        )

    def write_outlet(self, unit: CondenserResult, equation: dict[str, Value]) -> None:
        """Writes the temperature of the water leaving a unit."""
        feeds_another = any(unit.name in other.warmed_by for other in self.calc.result.condensers)
        outlet = self.calc.step(
            "outlet",
            equation,
            unit.inlet_temperature + unit.temperature_rise,
            claim="trips" if not unit.runs_on else "next" if feeds_another else "overboard",
            facts={"going": PHRASE("to-next-unit" if feeds_another else "overboard")},
            repeat=True,
        )
        tripped = Value(TRIPS, "°C", PHRASE("trips"))
        self.leaving[unit.name] = outlet if outlet.value <= TRIPS else tripped

    def _source_temperature(self, name: str) -> Value | None:
        """Temperature of the water entering a unit; None in a recirculation, solved iteratively."""
        network = self.calc.network
        if recirculates(network, self.calc.result.point.line_flow):
            return None
        line = network.unit_line(name)
        units = self._units_on(line)
        place = units.index(name)
        return self.leaving[units[place - 1]] if place else self._line_inlet(line)

    def _units_on(self, number: int) -> list[str]:
        """Names of the units on a line, in flow order."""
        network = self.calc.network
        parts = (network.parts[index] for index in network.lines[number].parts)
        names = [part.serves for part in parts if isinstance(part, Condenser)]
        return names if self.calc.result.point.line_flow[number] > 0 else names[::-1]

    def _joint_temperature(self, joint: int) -> Value:
        """Temperature of the water at a joint, or in the sea."""
        if joint < 0:
            return self.calc.water["T_in"]
        if joint not in self.at_joints:
            self.at_joints[joint] = self._mix(joint)
        return self.at_joints[joint]

    def _line_outlet(self, number: int) -> Value:
        """Temperature of the water leaving a line."""
        units = self._units_on(number)
        return self.leaving[units[-1]] if units else self._line_inlet(number)

    def _line_inlet(self, number: int) -> Value:
        """Temperature of the water entering a line."""
        network, flow = self.calc.network, self.calc.result.point.line_flow
        return self._joint_temperature(source_joint(network, flow, number))

    def _mix(self, joint: int) -> Value:
        calc = self.calc
        lines = feeding_lines(calc.network, calc.result.point.line_flow, joint)
        temperatures = [self._line_outlet(line) for line in lines]
        if all(one == temperatures[0] for one in temperatures):
            return temperatures[0]
        flows = [calc.magnitudes[line] for line in lines]
        names = range(1, len(lines) + 1)
        carried = " + ".join(f"Q_{name} * T_{name}" for name in names)
        whole = " + ".join(f"Q_{name}" for name in names)
        inputs = {f"Q_{name}": flow for name, flow in zip(names, flows, strict=True)}
        inputs |= {
            f"T_{name}": temperature for name, temperature in zip(names, temperatures, strict=True)
        }
        return calc.step("mixed", inputs, formula=f"({carried}) / ({whole})", repeat=True)


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
