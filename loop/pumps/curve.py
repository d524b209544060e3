"""A pump as stated in its file, with its curves at the rated supply."""

import math
from functools import cached_property
from typing import Annotated, Any, Literal

import numpy as np
from pydantic import BaseModel, ConfigDict, Field, ValidationInfo, field_validator

from loop.curve import Array, MonotoneCurve, Numbers
from loop.plain_text import OneLine
from loop.pumps.nameplate import Points
from loop.pumps.points import Curve
from loop.units.fields import Bore, Frequency, Rise, Voltage
from loop.wrong import refused

# Density over water's of what turns in a casing that primes itself, half air and half water:
# engineering estimate.
_AERATED = 0.5


class PumpCurve(BaseModel):
    """A pump as its file describes it, at its rated supply.

    ``supply_range`` is the voltage range and ``frequencies`` the frequencies that its manufacturer
    states, if any; ``priming_lift`` is the height above the water from which a self-priming pump
    primes [m], by its maker. Methods take flow [m³/s], scalar or array, at rated speed, and return
    NaN outside the points. Heads are in meters of the pumped water, power in watts.
    """

    model_config = ConfigDict(frozen=True, extra="forbid", defer_build=True)
    name: OneLine
    note: OneLine = ""
    drive: Literal["ac", "dc"]
    rated_supply: Voltage
    rated_frequency: Annotated[Frequency | None, Field(validate_default=True)] = None
    supply_range: tuple[Voltage, Voltage] | None = None
    frequencies: Annotated[tuple[Frequency, ...], Field(max_length=4)] = ()
    self_priming: bool = False
    priming_lift: Rise | None = None
    port: Bore
    curve: Curve

    # Field by field, so that a mistake elsewhere in the file hides none of these.
    @field_validator("rated_frequency", "frequencies", "supply_range", "priming_lift")
    @classmethod
    def _check(cls, value: Any, info: ValidationInfo) -> Any:
        if info.field_name == "priming_lift":
            if value is not None and not info.data.get("self_priming", True):
                raise refused("pump", "pump-lift")
            return value
        drive, rated = info.data.get("drive"), info.data.get("rated_supply")
        if info.field_name == "supply_range":
            if value and rated is not None and not value[0] <= rated <= value[1]:
                raise refused("pump", "pump-supply")
        elif drive == "ac" and value is None:
            raise refused("pump", "pump-ac")
        elif drive == "dc" and value:
            raise refused("pump", "pump-dc")
        return value

    @property
    def nameplate(self) -> bool:
        """Whether the curve is an estimate from a nameplate, not a measured one."""
        return self.curve.nameplate is not None

    @cached_property
    def points(self) -> Points:
        """Points of the curve in SI units."""
        return self.curve.points()

    @cached_property
    def head_curve(self) -> MonotoneCurve:
        """Head [m] against flow [m³/s]."""
        return MonotoneCurve(self.points.flow, self.points.head)

    @cached_property
    def power_curve(self) -> MonotoneCurve | None:
        """Electrical power [W] against flow [m³/s]; None if unknown."""
        return self._row(self.points.power)

    @property
    def shutoff_head(self) -> float:
        """Head at zero flow [m]."""
        return float(self.head_curve.y[0])

    @property
    def held_head(self) -> float:
        """Head [m of water] at zero flow while a pump that primes itself still draws air."""
        return _AERATED * self.shutoff_head

    @property
    def last_flow(self) -> float:
        """Flow at the last point [m³/s]."""
        return float(self.head_curve.x[-1])

    @property
    def strength(self) -> float:
        """Size by which pumps are ordered: last flow times shut-off head [m⁴/s]."""
        return self.last_flow * self.shutoff_head

    def head(self, flow: Numbers) -> Numbers:
        """Head [m] at `flow`."""
        return _at(self.head_curve, flow)

    def power(self, flow: Numbers) -> Numbers:
        """Electrical power [W] at `flow`; NaN if the file states none."""
        return _at(self.power_curve, flow)

    def npsh_required(self, flow: Numbers) -> Numbers:
        """Required net positive suction head [m] at `flow`; NaN if the file states none."""
        return _at(self._npsh_curve, flow)

    @cached_property
    def _npsh_curve(self) -> MonotoneCurve | None:
        return self._row(self.points.npsh_required)

    def _row(self, values: Array | None) -> MonotoneCurve | None:
        return None if values is None else MonotoneCurve(self.points.flow, values)


def _at(curve: MonotoneCurve | None, flow: Numbers) -> Numbers:
    """Float for a float, array for an array."""
    if not isinstance(flow, np.ndarray):
        return math.nan if curve is None else float(curve(flow))
    return np.full(flow.shape, np.nan) if curve is None else curve(flow)
