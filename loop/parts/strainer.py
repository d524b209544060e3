"""Strainer, whose basket blocks in use."""

from typing import Annotated, ClassVar, Literal

from pydantic import model_validator

from loop.parts.base import Part
from loop.parts.friction import Numbers, velocity_head
from loop.parts.rated import LossCoefficient, exactly_one, rated_head_loss
from loop.seawater import Water
from loop.units.fields import Quantity, Share
from loop.units.stated import Rating

# The basket's share of a clean strainer's loss, the rest being the housing's and ports':
# engineering estimate.
BASKET_SHARE = 0.7
# With a smaller share, a blocked basket would have no effect: engineering estimate.
BasketShare = Annotated[float, Quantity("ratio", 0.2, 1.0)]


def blocked_loss(basket_share: float, blocked: Numbers) -> Numbers:
    """Loss of a strainer with share `blocked` (0 to below 1) of its basket blocked, over clean.

    The same flow passes the open rest of the basket: its share of the loss × 1/(1 − b)².

    >>> blocked_loss(1.0, 0.5), round(blocked_loss(0.7, 0.5), 6)
    (4.0, 3.1)
    """
    return basket_share / (1 - blocked) ** 2 + 1 - basket_share


class Strainer(Part):
    """A basket strainer; its loss is quadratic through one rated point, or a K on the bore.

    With a share b of the basket blocked, the velocity through the rest rises by 1/(1−b), and the
    basket's loss with its square; the housing's loss is unchanged. ``basket_share`` is the basket's
    share of the clean loss.
    """

    with_hose: ClassVar[bool] = False

    kind: Literal["strainer"] = "strainer"
    loss: Rating | None = None
    k: LossCoefficient | None = None
    blocked: Share = 0.0
    basket_share: BasketShare = BASKET_SHARE

    @model_validator(mode="after")
    def _check(self) -> "Strainer":
        exactly_one(loss=self.loss, k=self.k)
        return self

    def _head_loss(self, flow: Numbers, water: Water) -> Numbers:
        """Head loss [m] at `flow` [m³/s] above 0."""
        if self.loss is not None:
            clean = rated_head_loss(self.loss, flow, water)
        else:
            clean = (self.k or 0.0) * velocity_head(flow, self.inner_bore)
        return clean * blocked_loss(self.basket_share, self.blocked)

    def blocked_factor(self, blocked: Numbers) -> Numbers:
        """Loss with this share of the basket blocked, over the loss in the job."""
        present = blocked_loss(self.basket_share, self.blocked)
        return blocked_loss(self.basket_share, blocked) / present
