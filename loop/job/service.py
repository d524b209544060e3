"""Optional tables of a job, read by sizing, energy and service visits."""

from collections.abc import Mapping
from typing import Annotated, Any

from pydantic import (
    AfterValidator,
    BeforeValidator,
    Field,
    field_serializer,
    field_validator,
)
from pydantic_core import PydanticCustomError

from loop.job.day import Day, DayOrNone
from loop.job.table import Table
from loop.parts.condenser import ScaleThickness
from loop.parts.pump import CurveReference
from loop.parts.step import narrower
from loop.plain_text import OneLine
from loop.pumps import catalogue_name
from loop.pumps.supply import read_supply
from loop.units import UnitError, parse
from loop.units.fields import (
    PLAIN_NUMBER,
    WHOLE_NUMBER,
    Bore,
    Quantity,
    SeaTemperature,
    Share,
    Voltage,
)
from loop.units.stated import Rating


def _valid_supply(text: str) -> str:
    """Validate a supply as on a nameplate, such as "115 V 60 Hz" or "12 V DC"."""
    try:
        read_supply(text)
    except UnitError as error:
        raise PydanticCustomError("quantity", "{why}", {"why": str(error)}) from None
    return text


# Bores of hose sold by the trade (common practice), in inches.
TRADE_BORES = tuple(
    parse(f"{inches} in", "length") for inches in (0.5, 0.625, 0.75, 1.0, 1.25, 1.5, 2.0)
)


# Those of a large boat's main.
_LARGE_BORES = tuple(parse(f"{inches} in", "length") for inches in (2.5, 3.0))


def bores_above(bore: float, large: bool = False) -> tuple[float, ...]:
    """Trade bores that are at least a size larger than a bore [m]; with a `large` boat's."""
    every = (*TRADE_BORES, *_LARGE_BORES) if large else TRADE_BORES
    return tuple(one for one in every if narrower(bore, one))


Money = Annotated[float, Field(ge=0, le=1e7, allow_inf_nan=False), PLAIN_NUMBER]
# A loop at 20 times its design, or 1/20 of it, is no longer that loop (engineering estimate).
MIN_FACTOR, MAX_FACTOR = 0.05, 20.0
Factor = Annotated[float, Field(ge=MIN_FACTOR, le=MAX_FACTOR, allow_inf_nan=False), PLAIN_NUMBER]
Spread = Annotated[float, Field(gt=0, le=2, allow_inf_nan=False), PLAIN_NUMBER]
Correlation = Annotated[float, Field(ge=-1, le=1, allow_inf_nan=False), PLAIN_NUMBER]
Charge = Annotated[float, Quantity("charge", 0.0, 1e6, above=True)]
Current = Annotated[float, Quantity("current", 0.0, 1e4, above=True)]
Confidence = Annotated[float, Quantity("ratio", 0.5, 0.999)]
Efficiency = Annotated[float, Quantity("ratio", 0.05, 1.0)]
SupplyText = Annotated[str, AfterValidator(_valid_supply)]
Bores = Annotated[tuple[Bore, ...], Field(min_length=1, max_length=50)]


class StrainerChoice(Table):
    """A strainer that sizing may choose: its name and rated loss."""

    name: OneLine = Field(min_length=1, max_length=60)
    loss: Rating


class Price(Table):
    """Prices in one currency: a meter of hose by its bore, pumps and strainers by name.

    An option that needs an item without a price here has no price.
    """

    hose_per_metre: dict[Bore, Money] = Field(default={})
    pump: dict[str, Money] = Field(default={})
    strainer: dict[str, Money] = Field(default={})

    @field_validator("pump")
    @classmethod
    def _catalogue_names(cls, prices: dict[str, float]) -> dict[str, float]:
        return {catalogue_name(name): price for name, price in prices.items()}

    @field_serializer("hose_per_metre", when_used="json")
    def _bores_as_text(self, prices: dict[float, float]) -> dict[str, float]:
        """JSON keys are text, and a bore as text has its unit."""
        return {f"{bore!r} m": price for bore, price in prices.items()}


class Sizing(Table):
    """Choices available to sizing, and the worst service in which the choice must work.

    ``bores`` applies to suction and pressure side if their lists are omitted, and
    ``pressure_bores`` to the branches. ``barb_bores``, ``seacock_bores`` and ``strainers`` are
    choices only if given; without ``pumps``, the choices are the catalogue pumps that run on the
    boat's supply, or on one of its ``supplies``. An option passes if its check passes, with dirty
    parts cleaned and part-shut ones opened, and with the ``service_blocked`` and ``service_scale``
    that it must tolerate; in addition, every condenser must get its flow with the probability
    ``confidence``.
    """

    bores: Bores = TRADE_BORES
    suction_bores: Bores | None = None
    pressure_bores: Bores | None = None
    branch_bores: Bores | None = None
    barb_bores: Bores | None = None
    seacock_bores: Bores | None = None
    pumps: tuple[CurveReference, ...] | None = Field(default=None, min_length=1, max_length=500)
    supplies: tuple[SupplyText, ...] = Field(default=(), max_length=8)
    strainers: tuple[StrainerChoice, ...] = Field(default=(), max_length=50)
    service_blocked: Share = 0.5
    service_scale: ScaleThickness = 0.0
    warmest_sea: SeaTemperature | None = None
    lowest_supply: Voltage | None = None
    confidence: Confidence = 0.9
    price: Price = Price.model_construct()


class Supply(Table):
    """The battery bank that powers the loop, and the current drawn from it.

    ``draw`` is the total current of the bank at each of the unit's stages, including the pump in
    the job: what the battery monitor reads. ``inverter_efficiency`` applies to what runs on AC: an
    AC pump, and AC units whose draw is stated in watts.
    """

    battery: Charge
    batteries: Annotated[int, Field(ge=1, le=200), WHOLE_NUMBER] = 1
    voltage: Voltage
    usable: Efficiency = 0.85
    draw: tuple[Current, ...] = Field(default=(), max_length=10)
    inverter_efficiency: Efficiency = 0.9


def _of_each_unit(given: Any) -> Any:
    """Readings with those of single units as ``"flow.saloon"``, from tables such as in a file."""
    if not isinstance(given, Mapping):
        return given
    flat: dict[Any, Any] = {}
    for key, value in given.items():
        units = value.items() if isinstance(value, Mapping) else ()
        flat |= {f"{key}.{unit}": one for unit, one in units} if units else {key: value}
    return flat


_TEXT = {"type": "string"}
_Readings = Annotated[
    dict[str, str],
    BeforeValidator(_of_each_unit),
    Field(
        json_schema_extra={
            "additionalProperties": {
                "anyOf": [_TEXT, {"type": "object", "additionalProperties": _TEXT}]
            }
        }
    ),
]


class Visit(Table):
    """Readings taken on one date, as text with units; `loop.diagnose` interprets them.

    ``readings`` are of the loop as it was left; if something was ``done`` (each item as
    "clean-basket: dirty"), ``before`` are those of the loop as it was found. ``under_way`` are
    readings with the boat at speed. ``said`` is what the customer said, ``was`` the actual fault,
    "" if unknown.
    """

    date: Day
    note: OneLine = ""
    said: tuple[OneLine, ...] = ()
    was: OneLine = ""
    done: tuple[OneLine, ...] = ()
    readings: _Readings = Field(default={})
    before: _Readings = Field(default={})
    under_way: _Readings = Field(default={})


class Fitted(Table):
    """Factors fitted to readings of this boat when clean; 1 until a baseline is taken.

    ``loss`` multiplies every loss, ``pump`` the pump's speed, ``ua`` the condensers' UA. ``spread``
    is the standard deviation of the logarithm of each, in that order, and ``correlation`` that of
    loss with pump, loss with UA and pump with UA; ``date`` is that of the baseline.
    """

    loss: Factor = 1.0
    pump: Factor = 1.0
    ua: Factor = 1.0
    spread: tuple[Spread, Spread, Spread] | None = None
    correlation: tuple[Correlation, Correlation, Correlation] = (0.0, 0.0, 0.0)
    date: DayOrNone = ""
