"""A numeric reading with its uncertainty; and a flow from a bucket."""

import math
import re
from typing import Any

from loop.diagnose.reading_kinds import ReadingKind
from loop.records import dataclass
from loop.units import UnitError, parse, parse_measured
from loop.units.pint_quantity import quantity_text
from loop.words.diagnosis import SAY

# Bucket and stopwatch (engineering estimates): relative half-width of the volume, half-width of the
# time [s].
BUCKET_VOLUME = 0.05
STOPWATCH = 1.0


@dataclass(frozen=True)
class Measured:
    """A numeric reading: value and half-width (two sigma) in SI and °C, and its text."""

    value: float
    half_width: float
    text: str


def read_bucket(text: str) -> Measured:
    """A flow from a bucket and a stopwatch, such as ``"1 gal in 24 s"``.

    Half-width: volume within 5 %, time within a second (engineering estimates), combined as the
    root of their squares; ``± …`` on the volume or the time counts instead.

    Raises UnitError where the text is not of that form or a number is not above zero.

    >>> print(f"{read_bucket('1 gal in 24 s').value * 1e6:.1f}")
    157.7
    >>> print(f"{read_bucket('a 5 gal bucket in 2:00').value * 1e6:.1f}")
    157.7
    """
    halves = re.split(r"\s+in\s+", text.strip())
    if len(halves) != 2:
        raise UnitError(SAY("wrong-bucket", text=repr(text)))
    size = re.sub(r"^an?\s+|\s+buckets?$", "", halves[0], flags=re.IGNORECASE)
    volume, volume_width = parse_measured(size, "volume")
    time, time_width = parse_measured(halves[1], "time")
    if not (0 < volume <= 10 and 0 < time <= parse("1 day", "time")):
        raise UnitError(SAY("wrong-bucket-zero", text=repr(text)))
    flow = volume / time
    share = math.hypot(
        (volume_width or BUCKET_VOLUME * volume) / volume, (time_width or STOPWATCH) / time
    )
    return Measured(flow, share * flow, text)


def written_quantity(quantity: Any, kind: ReadingKind | None) -> str:
    """A quantity of the units library as a person would have written that kind of reading."""
    if kind is None or kind.kind is None:
        return str(quantity)
    hertz = kind.name == "supply" and str(getattr(quantity, "units", "")).endswith("hertz")
    try:
        return quantity_text(quantity, "frequency" if hertz else kind.kind)
    except UnitError:
        return str(quantity)  # which is refused, with the units that fit
