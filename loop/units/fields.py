"""Field types for pydantic models: text with a unit, or an SI float, checked against limits."""

import math
import sys
from collections.abc import Iterator
from typing import Annotated, Any, Literal, get_args

from pydantic import (
    BeforeValidator,
    GetCoreSchemaHandler,
    GetJsonSchemaHandler,
    ValidationInfo,
)
from pydantic.fields import FieldInfo
from pydantic_core import CoreSchema, PydanticCustomError, PydanticKnownError, core_schema

from loop.records import dataclass
from loop.units.definitions import KINDS, Kind
from loop.units.number import UnitError, number_and_unit, rounded_si
from loop.units.pint_quantity import si_number
from loop.units.spelling import is_horsepower, plain
from loop.units.text import factors, parse, unit_of
from loop.wrong import refused, wrong

_FEET = ("ft", "foot", "feet")
# Digits shown of a wrong number.
_DIGITS = 30


@dataclass(frozen=True)
class Quantity:
    """Marks a pydantic field as text with a unit (or an SI float, from Python).

    `low` and `high` are the SI limits; `low` itself is refused if `above` is true. In a file
    (validation context ``{"text": True}``) a bare number is an error that names the units that fit.
    A quantity object of the units library is accepted too. `suggested` are the units to suggest,
    with the same number, for a text out of range. Above `feet_limit` a text in feet is refused:
    nobody states a bore in feet, and the sign for inches has lost a stroke. Horsepower is refused
    if `hp` is false: for cooling, it is the size of the compressor. `example` is the unit
    of the example in errors, if not the first that fits.
    """

    kind: Kind
    low: float = -math.inf
    high: float = math.inf
    above: bool = False
    suggested: tuple[str, ...] = ()
    feet_limit: float = math.inf
    example: str = ""
    hp: bool = True

    def __get_pydantic_core_schema__(
        self, source: Any, handler: GetCoreSchemaHandler
    ) -> CoreSchema:
        return core_schema.with_info_plain_validator_function(self._read)

    def __get_pydantic_json_schema__(
        self, schema: CoreSchema, handler: GetJsonSchemaHandler
    ) -> dict[str, Any]:
        offers = KINDS[self.kind][1]
        return {
            "type": "string",
            "description": f"{self.kind.replace('_', ' ')} with its unit ({offers})",
        }

    def _read(self, value: Any, info: ValidationInfo) -> float:
        in_file = bool(info.context and info.context.get("text"))
        value = plain_value(value)
        if not self.hp and isinstance(value, str) and is_horsepower(unit_of(value)):
            raise refused("quantity", "cooling-in-hp", given=value)
        if isinstance(value, str) or hasattr(value, "magnitude"):
            try:
                reader = parse if isinstance(value, str) else si_number
                number = reader(value, self.kind)
            except UnitError as error:
                why = f"{error}{self._unit_meant(value)}"
                raise PydanticCustomError("quantity", "{why}", {"why": why}) from None
        elif isinstance(value, bool) or not isinstance(value, int | float):
            offers = KINDS[self.kind][1]
            raise PydanticCustomError(
                "not_text",
                wrong("not-a-text", given="{given}", offers=offers),
                {"given": repr(value)[:60], "offers": offers},
            )
        elif in_file and abs(value) < math.inf:
            offers = KINDS[self.kind][1]
            given, percents = _truncated(value), self._percents(value)
            like = f"{percents or given} {self.example or offers.split(',')[0]}"
            raise refused("quantity", "needs-unit", given=given, like=like, offers=offers)
        else:
            # An integer may be too large for a float; it is out of any range here.
            number = rounded_si(value) if abs(value) <= sys.float_info.max else math.inf
        for limit in (self.low, self.high):
            # 99.9 % of 1 is slightly above 0.999 in floats.
            if math.isclose(number, limit, rel_tol=1e-12):
                number = limit
        if (
            not self.low <= number <= self.high
            or (self.above and number <= self.low)
            or not math.isfinite(number)
        ):
            raise self._out_of_range(value)
        if number > self.feet_limit and isinstance(value, str):
            self._refuse_feet(value)
        return number

    def _refuse_feet(self, text: str) -> None:
        unit = unit_of(text)
        if unit and plain(unit, "length") in _FEET:
            offer = f"{text.strip().removesuffix(unit).rstrip(' -')} in"
            inches = _four_digits(parse(text, "length") / factors("in", "length")[0])
            raise refused("quantity", "bore-in-feet", given=text, inches=inches, offer=offer)

    def _unit_meant(self, value: Any) -> str:
        """Suggest the missing or truncated unit, if only one gives a number in range.

        For lengths, a fraction is taken as inches.
        """
        try:
            number, unit = number_and_unit(value) if isinstance(value, str) else (math.nan, "?")
        except UnitError:
            return ""
        if unit not in ("", "°"):
            return ""
        units = KINDS[self.kind][1].split(", ")
        if self.kind == "length":
            units = ["in"] if "/" in value else []
        digits = value.strip().removesuffix("°").strip()
        if percents := self._percents(number):
            digits, number = percents, float(percents)
        fits = [
            one for one in units if self.low <= parse(f"{number!r} {one}", self.kind) <= self.high
        ]
        return wrong("meant", offer=f"{digits} {fits[0]}") if len(fits) == 1 else ""

    def _percents(self, number: float) -> str:
        """The percentage meant by a number between 0 and 1 for a share; "" for any other."""
        return f"{100 * number:.6g}" if self.kind == "ratio" and 0 < number < 1 else ""

    def _out_of_range(self, value: Any) -> PydanticCustomError:
        if isinstance(value, str):
            limits, meant = self._range(unit_of(value)), self._instead(value)
            return refused("quantity", "out-of-range", given=value, limits=limits, meant=meant)
        if not isinstance(value, int | float):
            given, limits = str(value)[:_DIGITS], self._range("")
            return refused("quantity", "out-of-range", given=given, limits=limits, meant="")
        share = self.kind == "ratio"
        return refused(
            "quantity",
            "bare-out-of-range",
            given=_truncated(value),
            what=wrong("bare-share" if share else "bare-in", unit=KINDS[self.kind][2]),
            limits=self._limits(1.0, 0.0, ""),
            meant=self._with_unit(value),
        )

    def _with_unit(self, number: float) -> str:
        """The same number with the first of the matching units that puts it in range."""
        units = [*KINDS[self.kind][1].split(", "), *(["K"] if self.kind == "temperature" else [])]
        offers = (f"{_truncated(number)} {unit}" for unit in units)
        fitting = (offer for offer in offers if self.low <= parse(offer, self.kind) <= self.high)
        if not math.isfinite(number):
            return ""
        return next((wrong("or-with-unit", offer=offer) for offer in fitting), "")

    def _instead(self, text: str) -> str:
        """Suggest a correction of a text out of range: thousands, or another unit."""
        number, unit = number_and_unit(text)
        thousands = self.suggested and number == int(number) and 0 < number < 100
        offers = [f"{number:.0f}000 {unit}"] if thousands else []
        offers += [f"{number:.6g} {other}" for other in self.suggested]
        fitting = (offer for offer in offers if self.low <= parse(offer, self.kind) <= self.high)
        return next((wrong("meant", offer=offer) for offer in fitting), "")

    def _range(self, unit: str) -> str:
        """The limits in the user's unit, or in the first that fits."""
        unit = unit or KINDS[self.kind][1].split(",")[0]
        return self._limits(*factors(unit, self.kind), unit)

    def _limits(self, scale: float, offset: float, unit: str) -> str:
        low, high = ((limit - offset) / scale for limit in (self.low, self.high))
        row = "limit-above" if self.above else "limit-least"
        if math.isfinite(self.high):
            row = "limit-above-most" if self.above else "limit-least-most"
        return wrong(row, low=_four_digits(low), high=_four_digits(high), unit=unit).rstrip()


def hints(field: FieldInfo) -> Iterator[Any]:
    """All types and markers in a field's annotation, from the outside in."""
    queue = [*field.metadata, field.annotation]
    while queue:
        yield (hint := queue.pop(0))
        queue[:0] = (*get_args(hint), *getattr(hint, "__metadata__", ()))


def plain_value(value: Any) -> Any:
    """The number in a zero-dimensional array, as numerical code returns it; all else unchanged.

    >>> import numpy
    >>> plain_value(numpy.array(3.6)), plain_value("3.6 m")
    (3.6, '3.6 m')
    """
    alone = getattr(value, "shape", None) == () and not hasattr(value, "magnitude")
    return value.item() if alone else value


def _four_digits(number: float) -> str:
    """A limit as a person would write it, to four digits.

    >>> _four_digits(200000.00000000003), _four_digits(1 / 3), _four_digits(0.999 / 0.01)
    ('200000', '0.3333', '99.9')
    """
    return f"{float(f'{number:.4g}'):.15g}"


def _truncated(number: float) -> str:
    """A number as text, truncated to a readable number of digits."""
    text = repr(number)
    return text if len(text) <= _DIGITS else f"{text[:_DIGITS]}…"


Length = Annotated[float, Quantity("length", 0.0, 200.0, above=True, example="ft")]
Along = Annotated[float, Quantity("length", 0.0, 200.0, example="ft")]
# The widest hose that the trade sells for boats is 2 in (common practice).
Bore = Annotated[float, Quantity("length", 0.002, 0.5, feet_limit=0.0508)]
Roughness = Annotated[float, Quantity("length", 0.0, 0.005)]
Height = Annotated[float, Quantity("length", -30.0, 30.0)]
Offset = Annotated[float, Quantity("length", -60.0, 60.0)]
Rise = Annotated[float, Quantity("length", 0.0, 10.0)]
Area = Annotated[float, Quantity("area", 0.0, 1.0, above=True)]
Flow = Annotated[float, Quantity("flow", 0.0, 1.0, above=True)]
# The warmest sea that boats lie in: shallow bays have reached 38 degC (from memory).
SeaTemperature = Annotated[float, Quantity("temperature", -2.0, 40.0)]
Limit = Annotated[float, Quantity("temperature", 0.0, 120.0)]
Angle = Annotated[float, Quantity("angle", -math.pi / 2, math.pi / 2)]
Turn = Annotated[float, Quantity("angle", 0.0, math.pi + 1e-9, above=True)]
Speed = Annotated[float, Quantity("speed", 0.0, 30.0)]
Power = Annotated[float, Quantity("power", 0.0, 1e6, above=True)]
# Range of units sold for boats, with a margin on both sides (common practice): outside it, the unit
# of measure is wrong.
_COOLING = tuple(parse(f"{limit} BTU/h", "power") for limit in (1000, 200_000))
Cooling = Annotated[float, Quantity("power", *_COOLING, suggested=("BTU/h", "kW", "ton"), hp=False)]
Ratio = Annotated[float, Quantity("ratio", 0.0, 1.0)]
Share = Annotated[float, Quantity("ratio", 0.0, 0.999)]
Open = Annotated[float, Quantity("ratio", 0.0, 1.0, above=True)]
Voltage = Annotated[float, Quantity("voltage", 0.0, 1000.0, above=True)]
Frequency = Annotated[float, Quantity("frequency", 0.0, 500.0, above=True)]


def _no_text_or_bool(kind: Literal["float_type", "int_type"]) -> BeforeValidator:
    """Refuse text, and ``true`` and ``false``, which are 1 and 0 to Python."""

    def check(value: Any) -> Any:
        if isinstance(value, bool | str):
            raise PydanticKnownError(kind)
        return value

    return BeforeValidator(check)


# For fields that are plain numbers. Place after their limits, so that the JSON Schema keeps these.
PLAIN_NUMBER, WHOLE_NUMBER = _no_text_or_bool("float_type"), _no_text_or_bool("int_type")
