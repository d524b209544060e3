"""The tables of a job that sizing, energy and service visits read: all optional."""

from typing import Annotated

from pydantic import BaseModel, ConfigDict, Field

from loop.units import Bore, Quantity, Rating, Ratio, Share, Temperature, Voltage

# Bores of the hose that the trade sells (common practice), in inches.
TRADE_BORES = tuple(inches * 0.0254 for inches in (0.5, 0.625, 0.75, 1.0, 1.25, 1.5, 2.0))

Money = Annotated[float, Field(ge=0, le=1e7, allow_inf_nan=False)]
Factor = Annotated[float, Field(gt=0, le=20, allow_inf_nan=False)]
Charge = Annotated[float, Quantity("charge", 0.0, 1e6, above=True)]
Current = Annotated[float, Quantity("current", 0.0, 1e4, above=True)]
ScaleThickness = Annotated[float, Quantity("length", 0.0, 0.01)]


class Table(BaseModel):
    """A table of the job file: frozen, and closed to unknown keys."""

    model_config = ConfigDict(frozen=True, extra="forbid")


class StrainerChoice(Table):
    """A strainer that sizing may choose: its name and rated loss."""

    name: str = Field(min_length=1, max_length=60)
    loss: Rating


class Price(Table):
    """What things cost, in one currency: hose a metre by bore text, pumps and strainers by name."""

    hose_per_metre: dict[str, Money] = {}
    pump: dict[str, Money] = {}
    strainer: dict[str, Money] = {}


class Sizing(Table):
    """What sizing may choose from, and the worst service that the choice must stand."""

    bores: tuple[Bore, ...] = Field(default=TRADE_BORES, min_length=1, max_length=50)
    suction_bores: tuple[Bore, ...] | None = None
    pressure_bores: tuple[Bore, ...] | None = None
    barb_bores: tuple[Bore, ...] | None = None
    seacock_bores: tuple[Bore, ...] | None = None
    pumps: tuple[str, ...] | None = None
    strainers: tuple[StrainerChoice, ...] = ()
    service_blocked: Share = 0.5
    service_scale: ScaleThickness = 0.0
    warmest_sea: Temperature | None = None
    lowest_supply: Voltage | None = None
    confidence: Ratio = 0.9
    price: Price = Price()


class Supply(Table):
    """Where the power comes from: a bank of batteries, and what the unit draws at its stages."""

    battery: Charge
    batteries: int = Field(default=1, ge=1, le=200)
    voltage: Voltage
    usable: Ratio = 0.85
    draw: tuple[Current, ...] = Field(default=(), max_length=10)
    inverter_efficiency: Ratio = 0.9


class Visit(Table):
    """Readings taken on one date, as text with units; judged by `loop.diagnose`."""

    date: str = Field(pattern=r"^\d{4}-\d{2}-\d{2}$")
    note: str = ""
    readings: dict[str, str] = {}


class Fitted(Table):
    """Factors fitted to readings of this boat when clean: 1 until a baseline was taken.

    ``loss`` multiplies every loss; ``pump`` the pump's speed; ``ua`` the condensers' UA.
    """

    loss: Factor = 1.0
    pump: Factor = 1.0
    ua: Factor = 1.0
