"""Losses stated in a datasheet: a K, a flow coefficient, or a pressure drop at one flow."""

import math
from typing import Annotated

from pydantic import Field

from loop.parts.friction import GRAVITY, Numbers
from loop.seawater import Water
from loop.units.fields import PLAIN_NUMBER
from loop.units.stated import Rating
from loop.wrong import refused

# Plain numbers: a loss coefficient, and the flow coefficients Cv and Kv.
LossCoefficient = Annotated[float, Field(ge=0, le=1e4, allow_inf_nan=False), PLAIN_NUMBER]
FlowCoefficient = Annotated[float, Field(gt=0, le=1e4, allow_inf_nan=False), PLAIN_NUMBER]


def rated_head_loss(rating: Rating, flow: Numbers, water: Water, exponent: float = 2.0) -> Numbers:
    """Head loss [m] at `flow` [m³/s] from a pressure drop rated at one flow.

    The drop is applied as stated to the loop's own water: a datasheet measured with fresh water
    reads about 2.6 % lower than with seawater, far less than the uncertainty of any rated loss.

    >>> water = Water(temperature=20.0, salinity=0.0)
    >>> round(rated_head_loss(Rating(9790.0, 0.001), 0.002, water), 2)
    4.0
    """
    rated_head = rating.drop / (water.density * GRAVITY)
    lost: Numbers = rated_head * (flow / rating.flow) ** exponent
    return lost


def exponent_of(first: Rating, second: Rating) -> float:
    """Exponent of flow through two rated points; pydantic error if outside 1 to 2.2."""
    low, high = sorted((first, second), key=lambda rating: rating.flow)
    if not (high.flow > low.flow and high.drop > low.drop):
        raise refused("loss", "losses-rise")
    # Unit conversion may turn an exponent of exactly 1 into slightly less.
    exponent = round(math.log(high.drop / low.drop) / math.log(high.flow / low.flow), 9)
    if not 1.0 <= exponent <= 2.2:
        raise refused("loss", "losses-power", exponent=f"{exponent:.2f}")
    return exponent


def exactly_one(**given: object) -> None:
    """Raise a pydantic error unless exactly one of the named values is given."""
    names = list(given)
    count = sum(value is not None for value in given.values())
    if count != 1:
        row = "exactly-one" if count else "exactly-one-none"
        raise refused("loss", row, names=", ".join(names), count=count)
