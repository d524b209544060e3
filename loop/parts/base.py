"""What all kinds of part have in common."""

from typing import Any, ClassVar, Self

import numpy as np
from pydantic import (
    BaseModel,
    ConfigDict,
    SerializerFunctionWrapHandler,
    model_serializer,
    model_validator,
)

from loop.parts.friction import Numbers, velocity_head
from loop.parts.guessed import Guessed, check_guessed
from loop.plain_text import Label
from loop.seawater import Water
from loop.units.fields import Bore
from loop.wrong import wrong


class Part(BaseModel):
    """A component that the water flows through.

    Each kind of part is a subclass in its own file: its fields, with their limits, and
    `loss_coefficient`, or `_head_loss` if the loss is not a multiple of the velocity head. A kind
    without an entry in a table elsewhere is drawn as a fitting, bought by its name and bore, and
    explained by its K.
    """

    model_config = ConfigDict(frozen=True, extra="forbid", defer_build=True)

    kind: str
    label: Label | None = None
    bore: Bore | None = None
    guessed: Guessed = ()

    one_way: ClassVar[bool] = False
    # Bought along with the hose, so that its size follows the hose's bore; not a hole in the hull,
    # nor a part selected on its own.
    with_hose: ClassVar[bool] = True

    @model_validator(mode="after")
    def _guesses(self) -> Self:
        check_guessed(self, self.guessed)
        return self

    @model_serializer(mode="wrap")
    def _with_kind(self, handler: SerializerFunctionWrapHandler) -> dict[str, Any]:
        """Keep `kind`, which identifies the part, even where defaults are omitted."""
        return {"kind": self.kind, **handler(self)}

    @property
    def inner_bore(self) -> float:
        """Bore that the water flows through [m]; ValueError if neither part nor job gives one."""
        if self.bore is None:
            raise ValueError(wrong("bore-none", kind=self.kind))
        return self.bore

    @property
    def shut(self) -> bool:
        """Whether nothing can flow through the part as it stands."""
        return False

    def loss_coefficient(self, flow: Numbers, water: Water) -> Numbers | float:
        """K on the part's own bore: head loss over velocity head, at `flow` [m³/s] above 0.

        A single number if independent of flow; otherwise of the flow's shape.
        """
        raise NotImplementedError

    def head_loss(self, flow: Numbers, water: Water) -> Numbers:
        """Head loss [m] at `flow` [m³/s], a float or an array: K V²/2g.

        Zero at zero flow; negative for negative flow, which runs the other way.
        """
        if not isinstance(flow, np.ndarray):
            if flow == 0:
                return 0.0
            return self._head_loss(flow, water) if flow > 0 else -self._head_loss(-flow, water)
        if (flow > 0).all():
            return self._head_loss(flow, water)
        amount = np.where(flow == 0, 1.0, np.abs(flow))
        return np.asarray(np.sign(flow) * self._head_loss(amount, water))

    def _head_loss(self, flow: Numbers, water: Water) -> Numbers:
        """Head loss [m] at `flow` [m³/s] above 0."""
        return self.loss_coefficient(flow, water) * velocity_head(flow, self.inner_bore)
