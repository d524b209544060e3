"""Electrical power of an air-conditioning unit, by its condensing temperature."""

from typing import Annotated, Any, ClassVar

from pydantic import BeforeValidator, Field, WithJsonSchema

from loop.job.table import Table
from loop.records import dataclass
from loop.units import UnitError, parse
from loop.units.definitions import Kind
from loop.units.fields import Cooling, Quantity
from loop.units.stated import Stated
from loop.wrong import refused, wrong

# Condensing temperature [°C] below which the compressor's power falls no further: its expansion
# valve needs a pressure difference (engineering estimate).
MIN_CONDENSING = 20.0
# Least rated condensing temperature above the evaporating temperature [K].
_MIN_LIFT = 5.0
# Range of a unit's draw over its cooling, its fan included (engineering estimates).
_MIN_DRAW, _MAX_DRAW = 0.08, 1.0


@dataclass(frozen=True)
class Draw(Stated):
    """Electrical power [W] at one condensing temperature [°C], from a datasheet or a meter."""

    LIKE: ClassVar[str] = 'a power at a condensing temperature, such as "620 W at 100 degF"'
    KINDS: ClassVar[tuple[Kind, Kind]] = ("power", "temperature")
    power: float
    condensing: float

    @classmethod
    def read(cls, text: str) -> "Draw":
        """Draw from ``"620 W at 100 degF"``; raises UnitError if the text has another form.

        >>> Draw.read("600 W at 40 degC")
        Draw(power=600.0, condensing=40.0)
        """
        power_text, condensing_text = cls.halves(text)
        power, condensing = parse(power_text, "power"), parse(condensing_text, "temperature")
        if not (0 < power <= 1e5 and 0 <= condensing <= 90):
            raise UnitError(wrong("draw-limits", text=text[:40]))
        return cls(power, condensing)

    def as_text(self) -> str:
        """Text that parses back to the same numbers."""
        return f"{self.power!r} W at {self.condensing!r} degC"


def _as_list(value: Any) -> Any:
    return (value,) if isinstance(value, str | Draw) else value


_ONE = {"type": "string", "description": Draw.LIKE}
Draws = Annotated[
    tuple[Draw, ...],
    Field(min_length=1, max_length=2),
    BeforeValidator(_as_list),
    WithJsonSchema(
        {"anyOf": [_ONE, {"type": "array", "items": _ONE, "minItems": 1, "maxItems": 2}]}
    ),
]
Evaporating = Annotated[float, Quantity("temperature", -30.0, 30.0)]
# Common practice: an air conditioner's evaporator works near 45 °F.
EVAPORATING = parse("45 degF", "temperature")


@dataclass(frozen=True)
class PowerLine:
    """A unit's electrical power [W], linear in its condensing temperature [°C].

    ``at_zero`` [W] at 0 °C, ``slope`` [W/K]; constant below `MIN_CONDENSING`.
    """

    at_zero: float
    slope: float

    def power(self, condensing: float) -> float:
        """Power [W] at a condensing temperature [°C]."""
        return self.at_zero + self.slope * max(condensing, MIN_CONDENSING)


def power_line(draws: tuple[Draw, ...], evaporating: float, fan: float) -> PowerLine:
    """The line of a unit's power, its fan included.

    Through both points if two are stated. Through one, the compressor's power is proportional to
    condensing minus evaporating temperature, P(T_c) = P_r (T_c − T_e)/(T_r − T_e): constant
    second-law efficiency (engineering estimate; within a fifth of a vapor-compression cycle).

    Raises a pydantic error for impossible points.
    """
    if len(draws) == 2:
        low, high = sorted(draws, key=lambda draw: draw.condensing)
        if not (high.condensing > low.condensing and high.power > low.power):
            raise refused("condenser", "draws-rise")
        slope = (high.power - low.power) / (high.condensing - low.condensing)
        line = PowerLine(low.power - slope * low.condensing, slope)
        if line.power(MIN_CONDENSING) <= 0:
            raise refused("condenser", "draws-fall")
        return line
    (rated,) = draws
    if rated.condensing < evaporating + _MIN_LIFT:
        raise refused("condenser", "draw-condensing")
    if not fan < rated.power:
        raise refused("condenser", "fan")
    slope = (rated.power - fan) / (rated.condensing - evaporating)
    return PowerLine(fan - slope * evaporating, slope)


def check_draws(draws: tuple[Draw, ...], cooling: float) -> None:
    """Raise a pydantic error for a draw that no unit of this cooling [W] has."""
    low_limit, high_limit = (share * cooling for share in (_MIN_DRAW, _MAX_DRAW))
    for draw in draws:
        if not low_limit <= draw.power <= high_limit:
            given, low, high = f"{draw.power:g}", f"{low_limit:.0f}", f"{high_limit:.0f}"
            raise refused("condenser", "draw-for-cooling", given=given, least=low, most=high)


class Stage(Table):
    """A lower stage of a variable-speed unit: its cooling and its electrical draw."""

    name: str = Field(min_length=1, max_length=40)
    cooling: Cooling
    electrical: Draws
