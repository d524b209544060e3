"""The steps of the water's warmth on its way from one unit to the next."""

from dataclasses import dataclass, field

from loop.check import CondenserResult
from loop.margins.heat import goes_round, lines_into, origin
from loop.parts import Condenser
from loop.teach.ledger import Notes
from loop.teach.reckoning import Reckoning
from loop.teach.step import Sum, Value
from loop.units import show


@dataclass
class Arriving:
    """The temperature of the water along its way.

    ``left`` is that of the water that leaves each unit, ``mixed`` that at each joint, as figures
    that earlier steps have shown.
    """

    reckoning: Reckoning
    left: dict[str, Value] = field(default_factory=dict)
    mixed: dict[int, Value] = field(default_factory=dict)

    def at(self, found: CondenserResult) -> Value:
        """Temperature of the water that comes to a unit, with the steps that give it."""
        reckoning = self.reckoning
        if not found.warmed_by:
            return reckoning.water["T_in"]
        warmer = found.inlet_temperature - reckoning.job.water.temperature
        added = show(warmer, "temperature_difference", reckoning.job.units)
        return reckoning.ledger.own_step(
            "Temperature of the water that comes in",
            self._come(found.name),
            found.inlet_temperature,
            "temperature",
            Notes(
                "heat balance along the water's way",
                f"The sea's, warmed by {added} on its way through {' and '.join(found.warmed_by)}:"
                " this unit condenses that much hotter.",
            ),
        )

    def _come(self, name: str) -> Sum:
        """The water that comes to a unit, from the step that tells of it."""
        network = self.reckoning.network
        if goes_round(network, self.reckoning.result.point.line_flow):
            return Sum("T_in")  # found by trial, as no step can come before all that it rests on
        line = network.line_of[network.condenser_part(name)]
        units = self._units(line)
        place = units.index(name)
        came = self.left[units[place - 1]] if place else self._before(line)
        return Sum("T_in", "T_come", {"T_come": came})

    def leaves(self, found: CondenserResult) -> str:
        """What the temperature behind a unit is called."""
        if self._feeds_another(found):
            return "Temperature of the water going on to the next unit"
        return "Temperature of the water going overboard"

    def thermometer(self, found: CondenserResult) -> str:
        """How that temperature is read."""
        if not found.runs_on:
            return "No stream gets this hot: the unit trips first."
        if self._feeds_another(found):
            return "Strap a thermometer to the outlet's metal: the next unit gets water this warm."
        return "Hold a thermometer in the stream."

    def _feeds_another(self, found: CondenserResult) -> bool:
        return any(found.name in unit.warmed_by for unit in self.reckoning.result.condensers)

    def _units(self, number: int) -> list[str]:
        """Names of the units on a line, in the water's order."""
        network = self.reckoning.network
        parts = (network.parts[index] for index in network.lines[number].parts)
        names = [part.serves for part in parts if isinstance(part, Condenser)]
        return names if self.reckoning.result.point.line_flow[number] > 0 else names[::-1]

    def _at_joint(self, joint: int) -> Value:
        """Temperature of the water at a joint, or in the sea."""
        if joint < 0:
            return self.reckoning.water["T_in"]
        if joint not in self.mixed:
            self.mixed[joint] = self._mix(joint)
        return self.mixed[joint]

    def _behind(self, number: int) -> Value:
        """Temperature of the water that a line brings to its end."""
        units = self._units(number)
        return self.left[units[-1]] if units else self._before(number)

    def _before(self, number: int) -> Value:
        """Temperature of the water that a line takes in."""
        network, flow = self.reckoning.network, self.reckoning.result.point.line_flow
        return self._at_joint(origin(network, flow, number))

    def _mix(self, joint: int) -> Value:
        reckoning = self.reckoning
        lines = lines_into(reckoning.network, reckoning.result.point.line_flow, joint)
        came = [self._behind(line) for line in lines]
        if all(one == came[0] for one in came):
            return came[0]
        flows = [reckoning.sizes[line] for line in lines]
        names = range(1, len(lines) + 1)
        carried = " + ".join(f"Q_{name} * T_{name}" for name in names)
        whole = " + ".join(f"Q_{name}" for name in names)
        inputs = {f"Q_{name}": flow for name, flow in zip(names, flows, strict=True)}
        inputs |= {f"T_{name}": warmth for name, warmth in zip(names, came, strict=True)}
        return reckoning.ledger.own_step(
            "Temperature where waters meet",
            Sum("T_mix", f"({carried}) / ({whole})", inputs),
            sum(q.value * t.value for q, t in zip(flows, came, strict=True))
            / sum(q.value for q in flows),
            "temperature",
            Notes("heat balance", "Each stream counts by its flow."),
        )
