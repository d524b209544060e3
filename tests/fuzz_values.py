"""Values for generated files: sensible ones by field, and garbage for any."""

import copy
import random
from collections.abc import Sequence
from typing import Any

UNITS = {
    "length": ("in", "ft", "mm", "cm", "m", '"', "'"),
    "flow": ("gal/h", "gph", "gpm", "L/min", "m^3/h", "l/h"),
    "pressure": ("psi", "kPa", "bar", "mH2O", "inHg", "ft"),
    "temperature": ("degF", "degC", "°F", "C"),
    "difference": ("degF", "K", "degC"),
    "power": ("BTU/h", "kW", "W", "ton"),
    "ratio": ("%", "percent"),
    "angle": ("deg", "°", "rad"),
    "speed": ("knot", "m/s", "mph"),
    "volume": ("gal", "L", "qt"),
    "time": ("s", "min"),
    "voltage": ("V", "volt"),
    "frequency": ("Hz",),
    "current": ("A",),
    "charge": ("Ah",),
}

# Texts that have been known to trip readers of numbers, units, TOML or terminals.
TEXTS: Sequence[str] = (
    "", " ", "in", "3/4", "3/0 in", "1e999 in", "-0 in", "nan in", "inf ft", "1-1-1 in", "--3 in",
    "3/4/5 in", "1e-320 m", "9" * 99 + " in", "9" * 5000 + " in", "1" * 60 + "/" + "7" * 30 + " in",
    "3 parsec", "3 in**9999", "3 in^9^9^9^9", "3 ((((((((in))))))))", "3 in*in*in", "3 in/in",
    "3 __import__('os')", "3 in; 4 ft", "3 %s", "3 {0}", "3 in\u0000", "3 \u200bin", "３ in",
    "٣ in", "½ in", "1½ ½ in", "3 in # ft", "3 in\nft", "\u202e3 in", "\U0001f6a2", "e\u0301" * 40,
    "3 in at 4 in", "2 psi at", "at 2 gal/h", "2 psi at 3 gal/h at 4 gal/h", "2 psi @@ 3 gph",
    "2 psi at 0 gal/h", "0 psi at 3 gal/h", "1e300 psi at 1e-300 gal/h", "5' 6\"", "5' 99999\"",
    "0' '", "1 ± 2 ± 3 gal/h", "3 ± in", "± 3 in", "1 in ± -1", "1 gal/h ± 1e400",
    "[bold red]no[/]", ":boom:", "\x1b[31mred", "../../../etc/passwd", "a" * 61, "a" * 10_000,
    "demo-ac-350", "demo-ac-35", "demo.toml", "/dev/zero", "/dev/zero.toml", ".", "..toml",
    "x" * 5000 + ".toml", "a\u0000b.toml", "3 gal in 0 s", "3 gal in 1e-300 s", "3 gal in in in",
    "0 in", "1e-9 in", "200 m", "2 mm", "0.5 m", "30 m", "-30 m", "99.9 %", "100 %", "1e5 gal/h",
    "0.01 gal/h", "45 degC", "-2 degC", "-40 degF", "1000 V", "2 in 3 in", "1,000 in", "1,00 in",
    "3 in ** 0.5", "2 mm^3", "3 in^", "3 in^-1", "3 1/in", "3 sq in", "3 sq. sq. in", "3 cu in^2",
)  # fmt: skip

OTHERS: Sequence[Any] = (
    0, 1, -1, 2, 10**6, 2**63, 10**400, 0.0, -0.0, 1e308, 5e-324, float("nan"), float("inf"),
    -float("inf"), True, False, [], {}, [[]], [{}], [1, "a", 2.5], {"a": {"b": {"c": {}}}},
    {"": ""}, {"kind": "hose"}, ["1 in"] * 51, ["3 in"] * 1000, [0] * 5000,
)  # fmt: skip

KEYS: Sequence[str] = (
    "", "lenght", "kind", "branch", "part", "bore", "loss", "k", "height", "serves", "name",
    "__class__", "model_config", "a" * 300, "ключ", "\U0001f6a2", "a.b", "curve", "via", "values",
)  # fmt: skip


def quantity(rng: random.Random, kind: str, low: float, high: float) -> str:
    """A number, whole, fractional or decimal, with a unit that fits its kind."""
    unit = rng.choice(UNITS[kind])
    shape = rng.random()
    if kind == "length" and shape < 0.2 and 0 < low < 3:
        return f"{rng.randrange(1, 3)}-{rng.randrange(1, 16)}/16 in"
    number = rng.uniform(low, high)
    if shape < 0.25:
        return f"{number:.0f} {unit}"
    if shape < 0.3:
        return f"{number:.3e} {unit}"
    return f"{number:.{rng.randrange(4)}f}{rng.choice((' ', '', '  '))}{unit}"


def rubbish(rng: random.Random) -> Any:
    """A value that fits hardly anywhere."""
    if rng.random() < 0.7:
        return rng.choice(TEXTS)
    return copy.deepcopy(rng.choice(OTHERS))  # which are changed in place


def toml(value: Any) -> str:
    """A value in TOML, tables inline."""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, str):
        return '"' + "".join(_escaped(sign) for sign in value) + '"'
    if isinstance(value, dict):
        return "{" + ", ".join(f"{toml(str(k))} = {toml(v)}" for k, v in value.items()) + "}"
    if isinstance(value, list | tuple):
        return "[" + ", ".join(map(toml, value)) + "]"
    return repr(value)


def _escaped(sign: str) -> str:
    if sign in '"\\':
        return "\\" + sign
    return sign if sign.isprintable() else f"\\U{ord(sign):08X}"


def document(tables: dict[str, Any]) -> str:
    """Tables as a TOML text: single values first, then tables and lists of tables."""
    lines = [f"{toml(str(key))} = {toml(value)}" for key, value in tables.items()]
    return "\n".join(lines) + "\n"
