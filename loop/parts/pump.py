"""Pump as installed in the loop; its curve comes from `loop.pumps`."""

from typing import Annotated, Any, ClassVar, Literal

from pydantic import BeforeValidator, Field, PlainSerializer, WithJsonSchema, model_validator

from loop.parts.base import Part
from loop.parts.friction import Numbers
from loop.pumps import PumpCurve, in_catalogue, pump_by_reference
from loop.pumps.supply import PowerSupply
from loop.seawater import Water
from loop.units.fields import WHOLE_NUMBER, Frequency, Offset, Voltage
from loop.wrong import refused


def _reference(curve: PumpCurve) -> str | dict[str, Any]:
    """Name of a catalogue pump; any other pump in full."""
    if in_catalogue(curve):
        return curve.name
    return curve.model_dump(mode="json", exclude_defaults=True)


CurveReference = Annotated[
    PumpCurve,
    BeforeValidator(pump_by_reference),
    PlainSerializer(_reference),
    WithJsonSchema({"type": "string", "description": "a pump's name, or a path to a pump file"}),
]


# Range of relative speed in which the affinity laws are used: engineering estimate.
SLOWEST, FASTEST = 0.3, 1.7


class Pump(Part):
    """A centrifugal pump, or several identical pumps in parallel or in series.

    Speed follows the supply: voltage for a permanent-magnet DC motor (a first approximation),
    frequency for an AC motor. On a supply far from its rating a pump stalls or burns out, and no
    speed is right: the speed is limited to the range of the affinity laws, and `loop.pumps.supply`
    reports the fault.
    """

    with_hose: ClassVar[bool] = False

    kind: Literal["pump"] = "pump"
    curve: CurveReference
    supply: Voltage | None = None
    frequency: Frequency | None = None
    count: Annotated[int, Field(ge=1, le=8), WHOLE_NUMBER] = 1
    arrangement: Literal["parallel", "series"] = "parallel"
    off_centre: Offset | None = None
    fore_aft: Offset | None = None

    @model_validator(mode="after")
    def _check(self) -> "Pump":
        if self.frequency is not None and self.curve.drive == "dc":
            raise refused("pump", "dc-frequency", pump=self.curve.name)
        return self

    @property
    def inner_bore(self) -> float:
        """Bore of the pump's port [m]."""
        return self.bore or self.curve.port

    @property
    def speed(self) -> float:
        """Speed relative to rated speed, limited to ``SLOWEST`` to ``FASTEST``."""
        if self.curve.drive == "dc":
            speed = self.voltage / self.curve.rated_supply
        else:
            rated: Any = self.curve.rated_frequency
            speed = float((self.frequency or rated) / rated)
        return min(max(speed, SLOWEST), FASTEST)

    @property
    def voltage(self) -> float:
        """Voltage at the pump [V]: as stated in the job, otherwise the pump's rating."""
        return self.supply or self.curve.rated_supply

    @property
    def power_supply(self) -> PowerSupply:
        """Supply of the pump; its rating unless the job states otherwise."""
        curve = self.curve
        return PowerSupply(curve.drive, self.voltage, self.frequency or curve.rated_frequency)

    @property
    def called(self) -> str:
        """Name of the pump or group: ``2 × demo-ac-350 side by side``."""
        return (
            self.curve.name if self.count == 1 else f"{self.count} × {self.curve.name} {self._how}"
        )

    @property
    def some(self) -> str:
        """``a pump``, or ``2 pumps side by side`` for a group like this one."""
        return "a pump" if self.count == 1 else f"{self.count} pumps {self._how}"

    @property
    def _how(self) -> str:
        return "side by side" if self.arrangement == "parallel" else "in line"

    @property
    def in_parallel(self) -> int:
        """Number of pumps that share the flow."""
        return self.count if self.arrangement == "parallel" else 1

    @property
    def in_series(self) -> int:
        """Number of pumps whose heads add."""
        return self.count if self.arrangement == "series" else 1

    def _head_loss(self, flow: Numbers, water: Water) -> Numbers:
        """Zero: the curve is measured from port to port."""
        return 0.0 * flow
