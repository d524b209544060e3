"""The condenser's water side."""

import math
from typing import Annotated, Any, Literal

from pydantic import BeforeValidator, Field, model_validator
from pydantic_core import PydanticCustomError

from loop.parts.base import Part
from loop.parts.friction import Numbers
from loop.parts.rated import exponent_of, rated_head_loss
from loop.seawater import Water
from loop.units import WHOLE_NUMBER, Bore, Quantity, Rating

# Turbulent flow in a smooth tube: f ~ Re^−0.2 (Blasius-type law, any fluid-mechanics textbook).
_ONE_POINT_EXPONENT = 1.8
# Loss against bore at one flow under the same law: V² f/D ~ D^(−4 −1 +0.2).
_BORE_EXPONENT = 4.8


def _as_tuple(value: Any) -> Any:
    return (value,) if isinstance(value, str | Rating) else value


_TwoAtMost = Annotated[tuple[Rating, ...], Field(min_length=1, max_length=2)]
Ratings = Annotated[
    _TwoAtMost, BeforeValidator(_as_tuple, json_schema_input_type=Rating | _TwoAtMost)
]
ScaleThickness = Annotated[float, Quantity("length", 0.0, 0.01)]


class Condenser(Part):
    """The water passage of one air-conditioning unit.

    Loss rated at one flow, with exponent 1.8 unless two points are given; scale of thickness t
    narrows a tube of known bore D and multiplies it by (D/(D−2t))^4.8.
    """

    kind: Literal["condenser"] = "condenser"
    serves: str = Field(min_length=1, max_length=60)
    loss: Ratings
    tube_bore: Bore | None = None
    tubes: Annotated[int, Field(ge=1, le=1000), WHOLE_NUMBER] = 1
    scale: ScaleThickness = 0.0

    @model_validator(mode="after")
    def _check(self) -> "Condenser":
        if len(self.loss) == 2:
            exponent_of(*self.loss)
        if self.scale > 0 and self.tube_bore is None:
            raise PydanticCustomError("condenser", "scale: needs tube_bore to be reckoned", {})
        if self.tube_bore is not None and self.scale > 0.45 * self.tube_bore:
            raise PydanticCustomError("condenser", "scale: the tube would be closed", {})
        return self

    def head_loss(self, flow: Numbers, water: Water) -> Numbers:
        """Head lost [m] at `flow` [m³/s]."""
        exponent = exponent_of(*self.loss) if len(self.loss) == 2 else _ONE_POINT_EXPONENT
        clean = rated_head_loss(self.loss[0], flow, water, exponent)
        if self.tube_bore is None:
            return clean
        narrowed = self.tube_bore / (self.tube_bore - 2 * self.scale)
        return clean * math.pow(narrowed, _BORE_EXPONENT)
