"""Any other fitting in the line, by the loss that its manufacturer states."""

from typing import Annotated, ClassVar, Literal

import fluids
from pydantic import Field, model_validator

from loop.parts.base import Part
from loop.parts.friction import Numbers, velocity_head
from loop.parts.rated import FlowCoefficient, LossCoefficient, exactly_one, rated_head_loss
from loop.seawater import Water
from loop.units.fields import WHOLE_NUMBER
from loop.units.stated import Rating


class Fitting(Part):
    """A fitting with a known K, Cv (US gal/min at 1 psi), Kv (m³/h at 1 bar) or rated loss.

    ``fluids.Cv_to_K`` and ``Kv_to_K`` convert a flow coefficient to a K on the bore.
    """

    with_hose: ClassVar[bool] = False

    kind: Literal["fitting"] = "fitting"
    k: LossCoefficient | None = None
    cv: FlowCoefficient | None = None
    kv: FlowCoefficient | None = None
    loss: Rating | None = None
    count: Annotated[int, Field(ge=1, le=50), WHOLE_NUMBER] = 1

    @model_validator(mode="after")
    def _check(self) -> "Fitting":
        exactly_one(k=self.k, cv=self.cv, kv=self.kv, loss=self.loss)
        return self

    def _head_loss(self, flow: Numbers, water: Water) -> Numbers:
        """Head loss [m] at `flow` [m³/s] above 0."""
        if self.loss is not None:
            return self.count * rated_head_loss(self.loss, flow, water)
        bore = self.inner_bore
        if self.cv is not None:
            coefficient = fluids.Cv_to_K(Cv=self.cv, D=bore)
        elif self.kv is not None:
            coefficient = fluids.Kv_to_K(Kv=self.kv, D=bore)
        else:
            coefficient = self.k or 0.0
        return self.count * float(coefficient) * velocity_head(flow, bore)
