"""Trade spelling of a unit → its spelling in the definitions."""

import re

Rules = tuple[tuple[str, str], ...]

SIGNS = {"µ": "u", "²": "^2", "³": "^3", "·": "*", "º": "deg", "°": "deg", "%": "percent"}
_WITHOUT_SIGNS = str.maketrans(SIGNS)
# Patterns and replacements, applied in order to lower-case text without those signs. The card's
# script uses them too, so each pattern must also be valid in JavaScript.
RULES: Rules = (
    (r"[″”“\"]|''|’’|′′", "in"),
    (r"[′’']", "ft"),
    (r"\*\*", "^"),
    (r"\bdeg(?:rees?|\.)?\s+([cf])\b", r"deg\1"),
    (r"\bk\s*(?=btu)", "k"),
    (r"\bper\s+cent\b", "percent"),
    (r"\s+per\s+", "/"),
    (r"\bsq\.?\s*(\w+)", r"\1^2"),
    (r"\bcu\.?\s*(\w+)", r"\1^3"),
    (r"\bu\.?s\.?\s*(?=g)", ""),
    (r"^(g\w+(?:/\w+)?)\s*\(?\bu\.?s\b\.?\)?$", r"\1"),
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
    # The pump's drive states AC or DC.
    (r"\b(v|volts?)\s*[ad]\.?c\b\.?", "v"),
    (r"\btons?\s+of\s+refrigeration\b", "ton"),
    (r"\s*([*/^])\s*", r"\1"),
    (r"[.\s]+$", ""),
)
# Rules for one kind of quantity, applied afterwards: "ft of head" is a length where a head is
# expected and a column of fresh water where a pressure is; for cooling, BTU always means BTU/h.
RULES_OF: dict[str, Rules] = {
    "length": (
        (r"^(m|meters?|metres?|ft|feet)\s+(?:of\s+)?head$", r"\1"),
        (r"^(in|inch|inches|mm)\.?\s+i\.?d$", r"\1"),
    ),
    "pressure": (
        (r"^(?:m|meters?|metres?)\s+(?:of\s+)?head$", "mh2o"),
        (r"^(?:ft|feet)\s+(?:of\s+)?head$", "fth2o"),
    ),
    "power": ((r"^(k?btu)s?$", r"\1h"),),
}


def without_signs(unit: str) -> str:
    """The unit in lower case with its signs in letters: mostly all that is needed.

    >>> without_signs("°F"), without_signs("BTU/h")
    ('degf', 'btu/h')
    """
    return unit.strip().lower().translate(_WITHOUT_SIGNS)


def is_horsepower(unit: str) -> bool:
    """Whether the unit is horsepower, by which some mean tons of cooling and some watts."""
    return without_signs(unit).rstrip(". ") == "hp"


def plain(unit: str, kind: str) -> str:
    """The unit's spelling in the definitions.

    >>> plain("US gal per hr", "flow"), plain("ft of head", "pressure"), plain("BTU", "power")
    ('gal/hr', 'fth2o', 'btuh')
    """
    text = without_signs(unit)
    for pattern, new in RULES + RULES_OF.get(kind, ()):
        text = re.sub(pattern, new, text)
    return text
