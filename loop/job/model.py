"""A job: the water, the boat, the units to cool, and the parts in flow order.

The same classes serve the TOML file, the Python API and the JSON Schema.
"""

from collections.abc import Mapping
from typing import Annotated, Any, Literal, Self

from pydantic import Field, ValidationInfo, model_validator
from pydantic_core import PydanticCustomError

from loop.job.defaults import Defaults, usable_defaults, with_defaults
from loop.job.electrical import (
    EVAPORATING,
    Draws,
    Evaporating,
    PowerLine,
    Stage,
    check_draws,
    power_line,
)
from loop.job.layout import layout_problems
from loop.job.neighbor_bores import with_bores
from loop.job.service import Fitted, Sizing, Supply, Visit
from loop.job.table import MarkedTable, Table
from loop.parts import AnyPart, Intake, Pump
from loop.plain_text import OneLine
from loop.seawater import Water, freezing_point
from loop.units import System, check_system, parse
from loop.units.fields import (
    PLAIN_NUMBER,
    Angle,
    Cooling,
    Flow,
    Limit,
    Power,
    Quantity,
    Rise,
    SeaTemperature,
    Speed,
)
from loop.wrong import refused

# One refrigeration ton: 12,000 BTU/h (definition).
TON = parse("12000 BTU/h", "power")
# Common practice: 180 US gal/h of seawater per ton (150 to 250 in use), and a condenser that
# rejects 1.25 times the cooling, the compressor's heat included.
FLOW_PER_TON = parse("180 gal/h", "flow")
HEAT_REJECTION = 1.25
# Common practice: condensing minus leaving water temperature at the required flow.
APPROACH = parse("10 degF", "temperature_difference")

# Range of units sold for boats, with a margin on both sides (common practice): outside it, the unit
# of measure is wrong.
FlowPerTon = Annotated[
    float,
    Quantity(
        "flow",
        FLOW_PER_TON / 3,
        FLOW_PER_TON / 180 * 400,
        suggested=("gal/h", "gal/min", "L/min", "L/h", "m^3/h"),
    ),
]


# Thermometer error allowed below the freezing point of liquid water [K].
_ICE = 0.1

Salinity = Annotated[float, Field(ge=0, le=42, allow_inf_nan=False), PLAIN_NUMBER]
# A compressor that moves ten times its own power, and one that moves a third more than its power:
# no air conditioner is better, or worse (engineering estimates).
HeatRejection = Annotated[float, Field(ge=1.1, le=1.75, allow_inf_nan=False), PLAIN_NUMBER]
# Boat condensers approach within a few degrees; one above 30 °F is scaled (engineering estimates).
Approach = Annotated[
    float,
    Quantity(
        "temperature_difference",
        parse("2 degF", "temperature_difference"),
        parse("30 degF", "temperature_difference"),
    ),
]


class Sea(MarkedTable):
    """Water at the intake: temperature [°C] and practical salinity [-], 0 for fresh water."""

    temperature: SeaTemperature
    salinity: Salinity = 35.0

    @model_validator(mode="after")
    def _liquid(self) -> Self:
        ice = freezing_point(self.salinity)
        if self.temperature < ice - _ICE:
            fahrenheit, celsius = f"{ice * 1.8 + 32:.1f}", f"{round(ice, 1) + 0.0:.1f}"
            raise refused("water", "freezes", fahrenheit=fahrenheit, celsius=celsius)
        return self

    @property
    def properties(self) -> Water:
        """Density, viscosity and other properties at this temperature and salinity."""
        return Water(temperature=self.temperature, salinity=self.salinity)


class Boat(Table):
    """Worst attitude of the boat: heel, trim, speed, waves, and rise when lightly loaded."""

    heel: Angle = 0.0
    trim: Angle = 0.0
    speed: Speed = 0.0
    wave_height: Rise = 0.0
    light_rise: Rise = 0.0


class Unit(MarkedTable):
    """An air-conditioning unit that the loop cools.

    ``electrical`` is its draw at full stage, its fan of ``fan`` watts included, at one or two
    condensing temperatures; ``stage`` are its lower stages. ``drive`` says whether it runs on DC or
    on AC, through the inverter when the boat is on its batteries.
    """

    name: OneLine = Field(min_length=1, max_length=60)
    cooling: Cooling
    flow_per_ton: FlowPerTon = FLOW_PER_TON
    flow_needed: Flow | None = None
    heat_rejection: HeatRejection = HEAT_REJECTION
    approach: Approach = APPROACH
    condensing_watch: Limit | None = None
    condensing_stop: Limit | None = None
    electrical: Draws | None = None
    evaporating: Evaporating = EVAPORATING
    fan: Power | None = None
    drive: Literal["ac", "dc"] = "ac"
    stage: tuple[Stage, ...] = Field(default=(), max_length=8)

    @property
    def needed_flow(self) -> float:
        """Required flow of the condenser [m³/s]: the manufacturer's, or tons × flow per ton."""
        if self.flow_needed is not None:
            return self.flow_needed
        return self.cooling / TON * self.flow_per_ton

    @property
    def rejected_heat(self) -> float:
        """Design heat of the condenser [W], and the heat it rejects if no draw is stated."""
        return self.cooling * self.heat_rejection

    @property
    def power_line(self) -> PowerLine | None:
        """Electrical power by condensing temperature; None if no draw is stated."""
        if self.electrical is None:
            return None
        return power_line(self.electrical, self.evaporating, self.fan or 0.0)

    def at_stage(self, name: str) -> Self:
        """The unit at its stage of this name; unchanged, at full stage, if it has none."""
        for stage in self.stage:
            if stage.name == name:
                # The same condenser, designed for the heat of the full stage.
                factor = self.rejected_heat / stage.cooling
                changes = {"cooling": stage.cooling, "electrical": stage.electrical}
                fixed = {"flow_needed": self.needed_flow, "heat_rejection": factor}
                return self.model_copy(update={**changes, **fixed})
        return self

    @model_validator(mode="after")
    def _check(self) -> Self:
        if (
            self.condensing_watch is not None
            and self.condensing_stop is not None
            and self.condensing_stop <= self.condensing_watch
        ):
            raise refused("condenser", "stop-over-watch")
        if self.stage and self.electrical is None:
            raise refused("condenser", "stage-electrical")
        for stage in self.stage:
            if stage.cooling > self.cooling:
                raise refused("condenser", "stage-cooling")
            power_line(stage.electrical, self.evaporating, self.fan or 0.0)
        if self.electrical is not None:
            power_line(self.electrical, self.evaporating, self.fan or 0.0)
            check_draws(self.electrical, self.cooling)
        return self


class Job(Table):
    """A validated seawater loop: values as SI floats, and a layout that can be solved.

    Raises ``pydantic.ValidationError`` with every mistake; `loop.read_job` turns it into one line
    per mistake.
    """

    title: OneLine = Field(default="Untitled loop", max_length=200)
    units: Literal["us", "si"] = "us"
    water: Sea
    boat: Boat = Boat.model_construct()
    defaults: Defaults = Defaults.model_construct()
    condenser: tuple[Unit, ...] = Field(min_length=1, max_length=1000)
    part: tuple[AnyPart, ...] = Field(min_length=2, max_length=2000)
    sizing: Sizing = Sizing.model_construct()
    supply: Supply | None = None
    visit: tuple[Visit, ...] = Field(default=(), max_length=1000)
    fitted: Fitted = Fitted.model_construct()

    @model_validator(mode="before")
    @classmethod
    def _spread_defaults(cls, data: Any, info: ValidationInfo) -> Any:
        if not isinstance(data, dict):
            return data
        if not isinstance(data.get("part"), list | tuple):
            return data
        defaults = usable_defaults(data.get("defaults"), info.context)
        parts = [with_defaults(part, defaults) for part in data["part"]]
        return {**data, "part": with_bores(parts)}

    @model_validator(mode="after")
    def _check(self) -> Self:
        problems = layout_problems(self.part, [unit.name for unit in self.condenser])
        if problems:
            lines = "\n".join(f"{where}: {why}" for where, why in problems)
            raise PydanticCustomError("layout", "{lines}", {"lines": lines})
        return self

    @property
    def needed_flow(self) -> float:
        """Required flow of all units together [m³/s]."""
        return sum(unit.needed_flow for unit in self.condenser)

    @property
    def intake(self) -> Intake:
        """The intake."""
        return next(part for part in self.part if isinstance(part, Intake))

    @property
    def pump(self) -> Pump:
        """The pump, or the group of equal pumps."""
        return next(part for part in self.part if isinstance(part, Pump))

    @property
    def pump_index(self) -> int:
        """Index of the pump among the parts of the main line."""
        return next(i for i, part in enumerate(self.part) if isinstance(part, Pump))

    def replace(self, changes: Mapping[str, Any]) -> "Job":
        """This job with the values at these addresses changed, checked like a file.

        Addresses count from 1, as ``part[9].branch[2].part[1].bore``; a part's label works in place
        of ``part[n]``, and ``pump`` is the pump's curve. Values are text with units, ``pint``
        quantities, or bare numbers in SI, with temperatures in °C rather than kelvin, angles in
        radians, shares from 0 to 1; None restores a key's default. Raises JobError with every
        mistake. ``loop.write_job`` saves the resulting job.

        >>> job.replace({"part[8].length": "12 ft", "pump": "demo-ac-500"})  # doctest: +SKIP
        """
        from loop.job.edit import replace

        return replace(self, changes)

    def to_toml(self, units: Literal["us", "si"] | None = None) -> str:
        """Text of a job file of this job, in its own units or those of `units`.

        ``loop.parse_toml`` and, from a file, ``loop.read_job`` read it back to the same job;
        ``loop.write_job(job, path)`` writes the file.
        """
        from loop.job.as_toml import to_toml

        return to_toml(self, units)

    def _repr_html_(self) -> str:
        from html import escape  # no command needs it

        return f"<pre>{escape(self.to_toml())}</pre>"  # a notebook shows the text of its file

    def at_speed(self, speed: float | str) -> "Job":
        """The job at a boat speed through the water [m/s, or text with a unit]; 0 at the dock.

        Raises ``pydantic.ValidationError`` for an impossible speed.
        """
        given = {name: getattr(self.boat, name) for name in self.boat.model_fields_set}
        boat = Boat.model_validate({**given, "speed": speed})
        return self.model_copy(update={"boat": boat})

    def shown_in(self, units: System | None) -> "Job":
        """The job with results shown in these units; in its own for None.

        Raises UnitError for units other than "us" and "si".
        """
        check_system(units)
        return self if units is None else self.model_copy(update={"units": units})

    def unit(self, name: str) -> Unit:
        """The air-conditioning unit of this name; raises KeyError if there is none."""
        for unit in self.condenser:
            if unit.name == name:
                return unit
        raise KeyError(name)
