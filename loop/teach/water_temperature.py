"""Steps on the water's temperature on its way from one unit to the next."""

from dataclasses import dataclass, field

from loop.check import CondenserResult
from loop.margins.heat import TRIPS
from loop.margins.warming import feeding_lines, recirculates, source_joint
from loop.parts import Condenser
from loop.teach.calculation import Calculation
from loop.teach.step import Value
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
