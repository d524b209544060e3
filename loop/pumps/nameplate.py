"""Typical curve of a small centrifugal pump of which only the nameplate is known.

Nothing here was measured on the pump: a curve of this kind is marked, and has a wider band.
"""

from typing import Annotated, Any

import numpy as np
from pydantic import (
    BaseModel,
    ConfigDict,
    GetJsonSchemaHandler,
    ValidationInfo,
    model_validator,
)
from pydantic_core import CoreSchema, PydanticCustomError

from loop.curve import Array
from loop.records import dataclass
from loop.units import UnitError, parse
from loop.units.fields import Flow, Power, Quantity
from loop.wrong import refused, wrong

# Head falls with the square of flow, H = H0 (1 − (Q/Q0)²): the textbook form of a centrifugal
# pump's curve (Çengel & Cimbala, Fluid Mechanics, pump-matching exercise).
EXPONENT = 2.0
# Best efficiency, hydraulic over electrical power: small pumps with their motors reach about 10 to
# 40 % (common practice). The low end, so that estimates from the power are not too high
# (engineering estimate).
EFFICIENCY = 0.12
# Power at zero flow over power at the maximum flow: engineering estimate.
IDLE_SHARE = 0.65
# Highest head of a nameplate [m], and specific weight of fresh water [N/m³] for a head given as a
# pressure: manufacturers test with fresh water, 1000 kg/m³.
MAX_HEAD = 200.0
FRESH_WATER = 1000.0 * 9.80665
# Evenly spaced points of the curve: with this many, cubics follow the parabola within 0.1 %.
_POINTS = 13


def head_of(text: str) -> float:
    """Head [m] from text in feet or meters, or in a unit of pressure (of fresh water).

    Raises UnitError for any other text.

    >>> f"{head_of('4.3 psi'):.2f} {head_of('10 ft'):.2f}"
    '3.02 3.05'
    """
    try:
        return parse(text, "length")
    except UnitError as error:
        try:
            return parse(text, "pressure") / FRESH_WATER
        except UnitError:
            problem = str(error).partition(";")[0]
            raise UnitError(wrong("plate-units", problem=problem)) from None


class _Head(Quantity):
    """A head as text in feet or meters, or in a unit of pressure."""

    def _read(self, value: Any, info: ValidationInfo) -> float:
        if isinstance(value, str):
            try:
                value = f"{head_of(value)!r} m"
            except UnitError as error:
                raise PydanticCustomError("quantity", "{why}", {"why": str(error)}) from None
        return super()._read(value, info)

    def __get_pydantic_json_schema__(
        self, schema: CoreSchema, handler: GetJsonSchemaHandler
    ) -> dict[str, Any]:
        offers = "ft, m; or as a pressure of fresh water: psi, bar, kPa"
        return {"type": "string", "description": f"head with its unit ({offers})"}


NameplateHead = Annotated[float, _Head("length", 0.0, MAX_HEAD, above=True)]


class Nameplate(BaseModel):
    """Nameplate values: flow at no head [m³/s], shut-off head [m], and power [W].

    Flow or head may be omitted if the power is given; it is then estimated from the power.
    """

    model_config = ConfigDict(frozen=True, extra="forbid", defer_build=True)
    flow: Flow | None = None
    head: NameplateHead | None = None
    power: Power | None = None

    @model_validator(mode="after")
    def _check(self) -> "Nameplate":
        known = [value is not None for value in (self.flow, self.head, self.power)]
        if sum(known) < 2:
            raise refused("pump", "plate-needs")
        return self

    @property
    def estimated(self) -> str:
        """Which of flow and head is estimated from the power: "flow", "head" or "" for neither."""
        return "flow" if self.flow is None else "head" if self.head is None else ""

    def points(self) -> "Points":
        """Points of a curve of the typical shape through the nameplate's values.

        If flow or head is missing, the product of maximum flow and shut-off head follows from the
        power: hydraulic power is greatest, 0.385 ρ g H0 Q0, at Q/Q0 = 1/√3, where it is
        `EFFICIENCY` times the electrical power.
        """
        share = (1 / (1 + EXPONENT)) ** (1 / EXPONENT)
        power_factor = FRESH_WATER * share * (1 - share**EXPONENT)
        product = EFFICIENCY * (self.power or 0.0) / power_factor
        flow = self.flow or product / (self.head or 1.0)
        head = self.head or product / flow
        fraction = np.linspace(0.0, 1.0, _POINTS)
        power = None
        if self.power is not None:
            power = self.power * (IDLE_SHARE + (1 - IDLE_SHARE) * fraction)
        return Points(flow * fraction, head * (1 - fraction**EXPONENT), power, None)


@dataclass(frozen=True, eq=False)
class Points:
    """A curve's points in SI, shape (n,) each: flow [m³/s], head [m], power [W], NPSH [m].

    Power and required NPSH are None if unknown.
    """

    flow: Array
    head: Array
    power: Array | None
    npsh_required: Array | None
