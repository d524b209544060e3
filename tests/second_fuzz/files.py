"""Tables as TOML in any style, the mistakes that people make in it, pumps and readings."""

import json
import random
from copy import deepcopy
from typing import Any

from tests.second_fuzz.tables import Table
from tests.second_fuzz.words import number, quantity, temperature

_WRONG = (
    None, "", " ", "?", "3/4", "1/0 in", "five in", "1e999 m", "-1e-320 in", "9" * 90 + " m",
    "1 m 2 m", "1..5 m", "½", "0x10 in", "1_000 m", "nan m", "inf", "12.000 BTU/h", "1,5 in",
    "5' 6\"", True, False, 0, -1, 1e308, 10**30, [], [[]], [1, "2"], {}, {"a": {"b": 1}},
    "\u0000", "\ufffe", "\u202e", "hoze", "2025-99-99", "a\nb", "x" * 300,
)  # fmt: skip
_READINGS = {
    "flow": ("flow", 1e-5, 5e-4),
    "pump_inlet_pressure": ("pressure", -3e4, 2e4),
    "pump_outlet_pressure": ("pressure", 1e3, 9e4),
    "strainer_drop": ("pressure", 10, 3e4),
    "shutoff_pressure": ("pressure", 1e3, 6e4),
    "supply": ("voltage", 8, 250),
    "frequency": ("frequency", 40, 70),
    "pump_power": ("power", 5, 500),
}


def text_of(rng: random.Random, tables: Table) -> str:
    """A TOML text of these tables: headers or inline, either kind of quotes, comments."""
    lines: list[str] = []
    _write(rng, tables, (), lines)
    text = "\n".join(lines) + "\n"
    return text.replace("\n", "\r\n") if rng.random() < 0.1 else text


def _write(rng: random.Random, table: Table, path: tuple[str, ...], lines: list[str]) -> None:
    later = []
    for key, value in table.items():
        header = (isinstance(value, dict) and value) or _tables(value)
        if header and not (path and rng.random() < 0.05 and "part" not in key and key != "branch"):
            later.append((key, value))
        elif value is not None:
            remark = rng.choice(("", "", "", "", "  # as measured", " #\ttwice"))
            lines.append(f"{_key(rng, key)} = {_value(rng, value)}{remark}")
    for key, value in later:
        where = (*path, _key(rng, key))
        for one in value if isinstance(value, list) else [value]:
            name = ".".join(where)
            lines.append(f"\n[[{name}]]" if isinstance(value, list) else f"[ {name} ]")
            _write(rng, one, where, lines)


def _tables(value: Any) -> bool:
    return (
        isinstance(value, list)
        and bool(value)
        and all(isinstance(one, dict) and one for one in value)
    )


def _key(rng: random.Random, key: str) -> str:
    bare = bool(key) and all(c.isascii() and (c.isalnum() or c in "_-") for c in key)
    return key if bare and rng.random() < 0.97 else json.dumps(key, ensure_ascii=False)


def _value(rng: random.Random, value: Any) -> str:
    if isinstance(value, str):
        plain = "'" not in value and value.isprintable()
        return (
            f"'{value}'"
            if plain and rng.random() < 0.2
            else json.dumps(value, ensure_ascii=False).replace("\x7f", "\\u007f")
        )
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, list):
        return (
            "["
            + ", ".join(_value(rng, one) for one in value if one is not None)
            + rng.choice(("", ",")) * bool(value)
            + "]"
        )
    if isinstance(value, dict):
        return (
            "{"
            + ", ".join(
                f"{_key(rng, k)} = {_value(rng, v)}" for k, v in value.items() if v is not None
            )
            + "}"
        )
    return repr(value)


def damaged(rng: random.Random, tables: Table, count: int) -> Table:
    """The same tables, copied, with this many mistakes in them."""
    copy: Table = json.loads(json.dumps(tables))
    for _ in range(count):
        at: Any = copy
        while True:
            key = rng.choice(list(at) if isinstance(at, dict) else range(len(at)))
            if not isinstance(at[key], dict | list) or not at[key] or rng.random() < 0.15:
                break
            at = at[key]
        how = rng.random()
        # Each a copy, so that no table comes to hold itself.
        if how < 0.5:
            at[key] = deepcopy(rng.choice(_WRONG))
        elif how < 0.65:
            del at[key]
        elif how < 0.8 and isinstance(at, dict):
            other = rng.choice((f"{key}s", str(key)[1:], "Ω", "kind", "bore", "a b"))
            at[other] = deepcopy(at[key])
        elif isinstance(at, list):
            one = rng.choice((at[key], rng.choice(_WRONG)))
            at.insert(rng.randint(0, len(at)), deepcopy(one))
        if not copy:
            return {"title": "empty"}
    return copy


def spoilt(rng: random.Random, text: str) -> bytes:
    """The text's bytes, sometimes cut short, doubled, or with a wrong byte."""
    raw, how = text.encode("utf-8", "replace"), rng.random()
    place = rng.randint(0, len(raw))
    if how < 0.03:
        return raw[:place]
    if how < 0.05:
        return raw[:place] + bytes([rng.randint(0, 255)]) + raw[place:]
    if how < 0.06:
        return raw + raw[place:]
    return b"\xef\xbb\xbf" + raw if how < 0.1 else raw


def pump(rng: random.Random) -> Table:
    """A pump's tables: heads that fall, evenly or in steps, over flows of any size."""
    count, most, shut = rng.randint(2, 14), 10 ** rng.uniform(-5.5, -2), 10 ** rng.uniform(-1, 1.7)
    along = sorted(rng.uniform(0.01, 1) for _ in range(count - 1))
    power = rng.choice((0.3, 1, 2, 6))
    flows = [0.0, *(most * share for share in along)]
    heads = [shut * (1.02 - 0.95 * (flow / most) ** power) for flow in flows]
    unit, scale = rng.choice((("L/min", 60000), ("gal/h", 951019.4), ("m^3/h", 3600)))
    head, high = rng.choice((("ft", 3.28084), ("m", 1), ("in", 39.37), ("psi", 1.42)))
    drive = rng.choice(("ac", "dc"))
    curve: Table = {
        "flow": {
            "unit": unit,
            "values": [float(number(rng, f * scale).replace(",", ".")) for f in flows],
        },
        "head": {"unit": head, "values": [float(f"{h * high:.6g}") for h in heads]},
    }
    if rng.random() < 0.5:
        curve["power"] = {
            "unit": "W",
            "values": [round(20 + 10 * i * rng.random(), 2) for i in range(count)],
        }
    if rng.random() < 0.5:
        curve["npsh_required"] = {
            "unit": "ft",
            "values": [round(1 + i * rng.random(), 2) for i in range(count)],
        }
    found: Table = {
        "name": rng.choice(("my pump", "demo-x", "a\nb", "№ 5")),
        "drive": drive,
        "rated_supply": "115 V" if drive == "ac" else "12 V",
        "port": "3/4 in",
        "curve": curve,
    }
    return found | ({"rated_frequency": "60 Hz"} if drive == "ac" else {})


def readings(rng: random.Random, units: list[str]) -> Table:
    """A visit's readings, some with a half-width, most of a healthy size."""
    found: Table = {}
    for key, (kind, low, high) in _READINGS.items():
        if rng.random() < 0.35:
            found[key] = quantity(rng, rng.uniform(low, high), kind)
    if rng.random() < 0.6:
        found["sea_temperature"] = temperature(rng, rng.uniform(0, 34))
    for unit in units:
        for key in ("outlet_temperature", "condensing_temperature"):
            if rng.random() < 0.3:
                one = temperature(rng, rng.uniform(5, 60))
                found[key] = one if len(units) == 1 else {**found.get(key, {}), unit: one}
    if rng.random() < 0.2:
        found["bucket"] = (
            f"{number(rng, rng.uniform(0.5, 10))} gal in {number(rng, rng.uniform(5, 200))} s"
        )
        found.pop("flow", None)
    if rng.random() < 0.2:
        found["stream"] = rng.choice(("steady", "sputtering", "none"))
    for key in [key for key in found if isinstance(found[key], str) and rng.random() < 0.2]:
        width = rng.choice(("0.5", "2", "1e-3", "1e400", "5e-324", "0", "-1", "7 %", "1 psi"))
        found[key] = f"{found[key]}{rng.choice((' ± ', '±', ' +/- '))}{width}"
    if rng.random() < 0.1:
        found["date"] = rng.choice(("2025-06-30", "2025-02-30", "0001-01-01"))
    return found
