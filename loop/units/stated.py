"""Field types for two quantities in one text, one stated at the other, as in a datasheet."""

import re
from typing import Any, ClassVar, Self

from pydantic import GetCoreSchemaHandler, GetJsonSchemaHandler
from pydantic_core import CoreSchema, PydanticCustomError, core_schema

from loop.records import dataclass
from loop.units.definitions import Kind
from loop.units.number import UnitError, rounded_si
from loop.units.text import parse
from loop.wrong import rows, wrong


class Stated:
    """One quantity stated at another in one text, as in a datasheet: a field type for models.

    ``LIKE`` describes such a text, with an example; ``KINDS`` are its two kinds of quantity, in the
    order of the fields. A subclass is a dataclass with `read`, which parses the text or raises
    UnitError, and `as_text`, which parses back to the same numbers.
    """

    LIKE: ClassVar[str]
    KINDS: ClassVar[tuple[Kind, Kind]]

    @classmethod
    def read(cls, text: str) -> Self:
        """The statement in a text; raises UnitError if the text has another form."""
        raise NotImplementedError

    def as_text(self) -> str:
        """Text that parses back to the same numbers."""
        raise NotImplementedError

    @classmethod
    def halves(cls, text: str) -> tuple[str, str]:
        """The texts before and after "at"; raises UnitError if there is no "at"."""
        found = re.split(r"\s+(?:at|@)\s+|\s*@\s*", text.strip())
        if len(found) != 2:
            raise UnitError(wrong("not-like", text=text[:40], like=cls.LIKE))
        return found[0], found[1]

    @classmethod
    def _checked(cls, value: Any) -> Self:
        if isinstance(value, cls):
            return value
        if not isinstance(value, str):
            raise PydanticCustomError("not_stated", rows()["must-be"], {"like": cls.LIKE})
        try:
            return cls.read(value)
        except UnitError as error:
            raise PydanticCustomError("quantity", "{why}", {"why": str(error)}) from None

    @classmethod
    def __get_pydantic_core_schema__(cls, source: Any, handler: GetCoreSchemaHandler) -> CoreSchema:
        text = core_schema.plain_serializer_function_ser_schema(cls.as_text, when_used="json")
        return core_schema.no_info_plain_validator_function(cls._checked, serialization=text)

    @classmethod
    def __get_pydantic_json_schema__(
        cls, schema: CoreSchema, handler: GetJsonSchemaHandler
    ) -> dict[str, Any]:
        return {"type": "string", "description": cls.LIKE}


@dataclass(frozen=True)
class Rating(Stated):
    """A pressure drop stated at one flow, as in a datasheet: drop [Pa], flow [m³/s]."""

    LIKE: ClassVar[str] = 'a rated loss, such as "0.4 psi at 300 gal/h"'
    KINDS: ClassVar[tuple[Kind, Kind]] = ("pressure", "flow")
    drop: float
    flow: float

    @classmethod
    def read(cls, text: str) -> "Rating":
        """Rating from ``"2.2 psi at 240 gal/h"``.

        A drop in feet or meters is taken as a column of fresh water at 1000 kg/m³.

        Raises UnitError if the text has another form or a number is not above zero.

        >>> Rating.read("10 kPa at 60 L/min")
        Rating(drop=10000.0, flow=0.001)
        """
        drop_text, flow_text = cls.halves(text)
        try:
            drop = parse(drop_text, "pressure")
        except UnitError as error:
            try:
                drop = rounded_si(parse(drop_text, "length") * parse("1 mH2O", "pressure"))
            except UnitError:
                raise error from None
        flow = parse(flow_text, "flow")
        if not (0 < drop <= 1e7 and 0 < flow <= 1):
            raise UnitError(wrong("rating-limits", text=text[:40]))
        return cls(drop, flow)

    def as_text(self) -> str:
        """Text that parses back to the same numbers."""
        return f"{self.drop!r} Pa at {self.flow!r} m^3/s"
