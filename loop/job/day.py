"""Date of a visit, as text."""

import datetime
from typing import Annotated, Any

from pydantic import AfterValidator, BeforeValidator, Field
from pydantic_core import PydanticCustomError

from loop.wrong import wrong

# No boat's record is older or newer; a date outside is a typing error.
FIRST_YEAR, LAST_YEAR = 1900, 2199
_PATTERN = r"^\d{4}-\d{2}-\d{2}$"


def day(text: str) -> str:
    """The text, if it is a date such as ``2025-06-30`` in the years 1900 to 2199.

    Otherwise raises ValueError, whose message says what would be right.

    >>> day("2025-06-30")
    '2025-06-30'
    """
    try:
        found = datetime.date.fromisoformat(text)
    except ValueError:
        found = None
    if found is None or found.isoformat() != text:
        raise ValueError(wrong("no-day", text=text[:40]))
    if not FIRST_YEAR <= found.year <= LAST_YEAR:
        raise ValueError(wrong("day-of-years", text=text, first=FIRST_YEAR, last=LAST_YEAR))
    return text


def day_text(value: Any) -> Any:
    """A date of a TOML file or of `datetime` as text; any other value as it is.

    >>> day_text(datetime.date(2025, 6, 30))
    '2025-06-30'
    """
    return value.isoformat()[:10] if isinstance(value, datetime.date) else value


def _read(text: str) -> str:
    try:
        return day(text)
    except ValueError as error:
        raise PydanticCustomError("day", "{why}", {"why": str(error)}) from None


def _read_or_none(text: str) -> str:
    return _read(text) if text else text


Day = Annotated[
    str,
    BeforeValidator(day_text),
    AfterValidator(_read),
    Field(json_schema_extra={"pattern": _PATTERN}),
]
# A date, or "" if there is none.
DayOrNone = Annotated[
    str,
    BeforeValidator(day_text),
    AfterValidator(_read_or_none),
    Field(json_schema_extra={"pattern": r"^(\d{4}-\d{2}-\d{2})?$"}),
]
