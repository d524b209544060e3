"""SI factors of the units that the trade uses, tried first for every quantity.

The units library knows these too, and any combination of them, but takes longer to load than a
whole check takes to run; a test compares each number here with the library's.
"""

_IN, _FT = 0.0254, 0.3048
_GAL = 231 * _IN**3
_BTU = 1055.05585262
_LBF = 0.45359237 * 9.80665
_NMI, _MI = 1852.0, 5280 * _FT

_LENGTHS = {
    "m": 1.0,
    "cm": 0.01,
    "mm": 0.001,
    "in": _IN,
    "ft": _FT,
    "yd": 3 * _FT,
    "nmi": _NMI,
    "mi": _MI,
    "meter": 1.0,
    "meters": 1.0,
    "metre": 1.0,
    "metres": 1.0,
    "inch": _IN,
    "inches": _IN,
    "foot": _FT,
    "feet": _FT,
}
_TIMES = {
    "s": 1.0,
    "sec": 1.0,
    "secs": 1.0,
    "second": 1.0,
    "seconds": 1.0,
    "min": 60.0,
    "mins": 60.0,
    "minute": 60.0,
    "minutes": 60.0,
    "h": 3600.0,
    "hr": 3600.0,
    "hrs": 3600.0,
    "hour": 3600.0,
    "hours": 3600.0,
    "day": 86400.0,
    "days": 86400.0,
}
_VOLUMES = {
    "l": 1e-3,
    "ml": 1e-6,
    "liter": 1e-3,
    "liters": 1e-3,
    "litre": 1e-3,
    "litres": 1e-3,
    "gal": _GAL,
    "gals": _GAL,
    "gallon": _GAL,
    "gallons": _GAL,
    "qt": _GAL / 4,
    "quart": _GAL / 4,
    "quarts": _GAL / 4,
    "impgal": 4.54609e-3,
}
_WATER = 9806.65  # a meter of water [Pa], conventional

# Per kind of quantity: units and their SI values.
FACTORS: dict[str, dict[str, float]] = {
    "length": _LENGTHS,
    "time": _TIMES,
    "volume": _VOLUMES,
    "flow": {
        "gph": _GAL / 3600,
        "gpm": _GAL / 60,
        "lpm": 1e-3 / 60,
        "lph": 1e-3 / 3600,
    },
    "pressure": {
        "pa": 1.0,
        "hpa": 100.0,
        "kpa": 1e3,
        "mpa": 1e6,
        "mbar": 100.0,
        "bar": 1e5,
        "psi": _LBF / _IN**2,
        "psig": _LBF / _IN**2,
        "mh2o": _WATER,
        "cmh2o": 0.01 * _WATER,
        "mmh2o": 0.001 * _WATER,
        "fth2o": _FT * _WATER,
        "inh2o": _IN * _WATER,
        "inhg": 3386.389,
        "mmhg": 133.3224,
    },
    "temperature_difference": {
        "kelvin": 1.0,
        "k": 1.0,
        "degc": 1.0,
        "c": 1.0,
        "celsius": 1.0,
        "degf": 5 / 9,
        "f": 5 / 9,
        "fahrenheit": 5 / 9,
    },
    "angle": {
        "rad": 1.0,
        "radian": 1.0,
        "radians": 1.0,
        "deg": 0.017453292519943295,
        "degree": 0.017453292519943295,
        "degrees": 0.017453292519943295,
    },
    "speed": {
        "kn": _NMI / 3600,
        "kt": _NMI / 3600,
        "kts": _NMI / 3600,
        "knot": _NMI / 3600,
        "knots": _NMI / 3600,
        "mph": _MI / 3600,
        "kmh": 1000 / 3600,
    },
    "power": {
        "w": 1.0,
        "kw": 1e3,
        "watt": 1.0,
        "watts": 1.0,
        "btuh": _BTU / 3600,
        "kbtuh": 1000 * _BTU / 3600,
        "ton": 12000 * _BTU / 3600,
        "tons": 12000 * _BTU / 3600,
        "tr": 12000 * _BTU / 3600,
        "hp": 550 * _FT * _LBF,
    },
    "energy": {"btu": _BTU, "btus": _BTU, "kbtu": 1000 * _BTU},
    "ratio": {"percent": 0.01, "pct": 0.01},
    "voltage": {"v": 1.0, "volt": 1.0, "volts": 1.0, "vac": 1.0, "vdc": 1.0},
    "current": {"a": 1.0, "amp": 1.0, "amps": 1.0, "ampere": 1.0, "amperes": 1.0},
    "charge": {"ah": 1.0},
    "frequency": {"hz": 1.0, "hertz": 1.0},
}
# Temperatures: size of a degree, and zero of the scale, both in degrees Celsius.
_CELSIUS, _FAHRENHEIT = (1.0, 0.0), (5 / 9, -160 / 9)
TEMPERATURE_SCALES = {
    "degc": _CELSIUS,
    "c": _CELSIUS,
    "celsius": _CELSIUS,
    "degf": _FAHRENHEIT,
    "f": _FAHRENHEIT,
    "fahrenheit": _FAHRENHEIT,
    "kelvin": (1.0, -273.15),
    "k": (1.0, -273.15),
}
# Kinds that are a ratio of two kinds, and kinds that are a power of length.
RATIO_KINDS = {"flow": ("volume", "time"), "speed": ("length", "time"), "power": ("energy", "time")}
_POWERS = {"area": ("^2", 2), "volume": ("^3", 3)}


def known_factor(unit: str, kind: str) -> tuple[float, float] | None:
    """Scale and offset of a unit in plain spelling; None for a unit not listed here.

    >>> known_factor("l/min", "flow") == (0.001 / 60, 0.0), known_factor("furlong", "length")
    (True, None)
    """
    if kind == "temperature":
        return TEMPERATURE_SCALES.get(unit)
    scale = _scale(unit, kind)
    return None if scale is None else (scale, 0.0)


def _scale(unit: str, kind: str) -> float | None:
    found = FACTORS.get(kind, {}).get(unit)
    if found is not None:
        return found
    power, exponent = _POWERS.get(kind, ("", 0))
    if power and unit.endswith(power):
        length = _LENGTHS.get(unit.removesuffix(power))
        return None if length is None else length**exponent
    top, slash, bottom = unit.partition("/")
    if kind in RATIO_KINDS and slash:
        above, below = (
            _scale(part, of) for part, of in zip((top, bottom), RATIO_KINDS[kind], strict=True)
        )
        return None if above is None or below is None else above / below
    return None
