"""A unit's spelling in the trade → its spelling in the definitions."""

import re

_SIGNS = {
    "µ": "u",
    "″": "in",
    "”": "in",
    "“": "in",
    '"': "in",
    "''": "in",
    "’’": "in",
    "′′": "in",
    "′": "ft",
    "’": "ft",
    "'": "ft",
    "²": "^2",
    "³": "^3",
    "·": "*",
    "º": "°",
    "%": "percent",
    "**": "^",
}
_SPELLINGS = tuple(
    (re.compile(pattern), plain)
    for pattern, plain in (
        (r"°\s*([cf])\b", r"deg\1"),
        (r"°", "deg"),
        (r"\bdeg(?:rees?|\.)?\s+([cf])\b", r"deg\1"),
        (r"\bk\s*(?=btu)", "k"),
        (r"\bper\s+cent\b", "percent"),
        (r"\s+per\s+", "/"),
        (r"\bsq\.?\s*(\w+)", r"\1^2"),
        (r"\bcu\.?\s*(\w+)", r"\1^3"),
        (r"\bu\.?s\.?\s*(?=g)", ""),
        (r"\b(?:imp(?:erial)?|uk)[.\s_]*gal(?:lons?|s)?\b", "impgal"),
        (r"\b(?:imp(?:erial)?|uk)[.\s_]*gph\b", "impgal/h"),
        (r"\b(?:imp(?:erial)?|uk)[.\s_]*gpm\b", "impgal/min"),
        (r"\b([mc]?m|in|ft)([23])\b", r"\1^\2"),
        (r"\ba\s*[*.]?\s*h\b", "ah"),
        (r"km/h", "kmh"),
        # Columns of water and of mercury: "mWC", "m H2O", "in of water", "in Hg".
        (r"\b(mm|cm|m|ft|feet|in|inch|inches)\s*(?:of\s+)?(?:h2o|h₂o|water|wc|wg)\b", r"\1h2o"),
        (r"\b(feet)h2o", "fth2o"),
        (r"\b(inch|inches)h2o", "inh2o"),
        (r"\b(mm|in)(?:ches)?\s*(?:of\s+)?(?:hg|mercury)\b", r"\1hg"),
        (r"\bmb\b", "mbar"),
        # A supply's kind is said by the pump's drive.
        (r"\b(v|volts?)\s*[ad]\.?c\b\.?", "v"),
        (r"\btons?\s+of\s+refrigeration\b", "ton"),
        (r"\s*([*/^])\s*", r"\1"),
    )
)
# "ft of head" is a length where a head is asked for, and a column of fresh water where a pressure.
_HEAD = re.compile(r"\b(m|meters?|metres?|ft|feet)\s+(?:of\s+)?head$")
_OF_WATER = {"m": "mh2o", "f": "fth2o"}


def plain(unit: str, kind: str) -> str:
    """The unit's spelling as the definitions have it.

    >>> plain("US gal per hr", "flow"), plain("ft of head", "pressure"), plain("BTU", "power")
    ('gal/hr', 'fth2o', 'btuh')
    """
    text = unit.strip().lower()
    for old, new in _SIGNS.items():
        text = text.replace(old, new)
    for pattern, new in _SPELLINGS:
        text = pattern.sub(new, text)
    text = text.rstrip(".").strip()
    head = _HEAD.fullmatch(text)
    if head:
        return _OF_WATER[head[1][0]] if kind == "pressure" else head[1]
    # Said of cooling, a BTU is always one an hour.
    if kind == "power" and text in ("btu", "btus", "kbtu"):
        return f"{text.rstrip('s')}h"
    return text
