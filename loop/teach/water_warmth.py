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
_NONE = 1e-9


@dataclass
class WaterWarmth:
    """Temperature of the water along its path.

    ``left`` : of the water leaving each unit, ``mixed`` : at each joint, as figures from earlier
    steps.
    """

    calc: Calculation
    left: dict[str, Value] = field(default_factory=dict)
    mixed: dict[int, Value] = field(default_factory=dict)

    def at(self, found: CondenserResult) -> Value:
        """Temperature of the water entering a unit, with the steps that give it."""
        calc = self.calc
        added = found.inlet_temperature - calc.job.water.temperature
        if not found.warmed_by and added < _NONE:
            return calc.water["T_in"]
        came = self._came(found.name)
        return calc.step(
            "inlet",
            {} if came is None else {"T_come": came},
            found.inlet_temperature,
            formula="" if came is None else None,
            facts={
                "added": added,
                # The unit itself where only its own water recirculates.
                "units": listed(found.warmed_by or (found.name,)),
            },
            again=True,
        )

    def leaves(self, found: CondenserResult, sum_: dict[str, Value]) -> None:
        """Writes the temperature of the water leaving a unit."""
        feeds = any(found.name in unit.warmed_by for unit in self.calc.result.condensers)
        outlet = self.calc.step(
            "outlet",
            sum_,
            found.inlet_temperature + found.temperature_rise,
            claim="trips" if not found.runs_on else "next" if feeds else "overboard",
            facts={"going": PHRASE("to-next-unit" if feeds else "overboard")},
            again=True,
        )
        tripped = Value(TRIPS, "°C", PHRASE("trips"))
        self.left[found.name] = outlet if outlet.value <= TRIPS else tripped

    def _came(self, name: str) -> Value | None:
        """Temperature of the water entering a unit; None in a recirculation, solved iteratively."""
        network = self.calc.network
        if recirculates(network, self.calc.result.point.line_flow):
            return None
        line = network.unit_line(name)
        units = self._units(line)
        place = units.index(name)
        return self.left[units[place - 1]] if place else self._before(line)

    def _units(self, number: int) -> list[str]:
        """Names of the units on a line, in flow order."""
        network = self.calc.network
        parts = (network.parts[index] for index in network.lines[number].parts)
        names = [part.serves for part in parts if isinstance(part, Condenser)]
        return names if self.calc.result.point.line_flow[number] > 0 else names[::-1]

    def _at_joint(self, joint: int) -> Value:
        """Temperature of the water at a joint, or in the sea."""
        if joint < 0:
            return self.calc.water["T_in"]
        if joint not in self.mixed:
            self.mixed[joint] = self._mix(joint)
        return self.mixed[joint]

    def _behind(self, number: int) -> Value:
        """Temperature of the water leaving a line."""
        units = self._units(number)
        return self.left[units[-1]] if units else self._before(number)

    def _before(self, number: int) -> Value:
        """Temperature of the water entering a line."""
        network, flow = self.calc.network, self.calc.result.point.line_flow
        return self._at_joint(source_joint(network, flow, number))

    def _mix(self, joint: int) -> Value:
        calc = self.calc
        lines = feeding_lines(calc.network, calc.result.point.line_flow, joint)
        came = [self._behind(line) for line in lines]
        if all(one == came[0] for one in came):
            return came[0]
        flows = [calc.sizes[line] for line in lines]
        names = range(1, len(lines) + 1)
        carried = " + ".join(f"Q_{name} * T_{name}" for name in names)
        whole = " + ".join(f"Q_{name}" for name in names)
        inputs = {f"Q_{name}": flow for name, flow in zip(names, flows, strict=True)}
        inputs |= {f"T_{name}": warmth for name, warmth in zip(names, came, strict=True)}
        return calc.step("mixed", inputs, formula=f"({carried}) / ({whole})", again=True)
