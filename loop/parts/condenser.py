"""Water side of a condenser."""

from typing import Annotated, Any, ClassVar, Literal

from pydantic import BeforeValidator, Field, model_validator

from loop.parts.base import Part
from loop.parts.friction import Numbers
from loop.parts.rated import exponent_of, rated_head_loss
from loop.parts.scale import insulation, narrowing
from loop.plain_text import OneLine
from loop.seawater import Water
from loop.units.fields import WHOLE_NUMBER, Bore, Quantity
from loop.units.stated import Rating
from loop.wrong import refused

# Turbulent flow in a smooth tube: f ~ Re^−0.2 (Blasius-type law, any fluid-mechanics textbook).
ONE_POINT_EXPONENT = 1.8


def _as_tuple(value: Any) -> Any:
    return (value,) if isinstance(value, str | Rating) else value


_TwoAtMost = Annotated[tuple[Rating, ...], Field(min_length=1, max_length=2)]
Ratings = Annotated[
    _TwoAtMost, BeforeValidator(_as_tuple, json_schema_input_type=Rating | _TwoAtMost)
]
ScaleThickness = Annotated[float, Quantity("length", 0.0, 0.01)]


class Condenser(Part):
    """The water side of an air-conditioning unit's condenser.

    The loss is rated at one flow, with exponent 1.8 unless two points are given. Scale of thickness
    t narrows a tube of known bore D, which multiplies the loss by (D/(D−2t))^4.8, and insulates it
    (`loop.parts.scale`).
    """

    with_hose: ClassVar[bool] = False

    kind: Literal["condenser"] = "condenser"
    serves: OneLine = Field(min_length=1, max_length=60)
    loss: Ratings
    tube_bore: Bore | None = None
    tubes: Annotated[int, Field(ge=1, le=1000), WHOLE_NUMBER] = 1
    scale: ScaleThickness = 0.0

    @model_validator(mode="after")
    def _check(self) -> "Condenser":
        if len(self.loss) == 2:
            exponent_of(*self.loss)
        if self.scale > 0 and self.tube_bore is None:
            raise refused("condenser", "scale-tube")
        if self.tube_bore is not None and self.scale > 0.45 * self.tube_bore:
            raise refused("condenser", "scale-closed")
        return self

    def _head_loss(self, flow: Numbers, water: Water) -> Numbers:
        """Head loss [m] at `flow` [m³/s] above 0."""
        exponent = exponent_of(*self.loss) if len(self.loss) == 2 else ONE_POINT_EXPONENT
        clean = rated_head_loss(self.loss[0], flow, water, exponent)
        if self.tube_bore is None:
            return clean
        return clean * narrowing(2 * self.scale / self.tube_bore)

    @property
    def clear_bore(self) -> float | None:
        """Bore of a tube inside its scale [m]; None if the job states no tube bore."""
        return None if self.tube_bore is None else self.tube_bore - 2 * self.scale

    @property
    def fouling(self) -> float:
        """Thermal resistance of its scale, as a share of the clean condenser's."""
        return insulation(self.scale)
