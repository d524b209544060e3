"""Generated job, pump and readings files, by a grammar: mostly right, then broken in a few spots.

The same seed makes the same file, so that a failure can be reproduced.
"""

import random
from collections.abc import Callable
from typing import Any

from tests.fuzz_values import KEYS, document, quantity, rubbish

Table = dict[str, Any]

_CATALOGUE = ("demo-ac-350", "demo-ac-1500", "demo-dc-320", "demo-ac50-30", "demo-dc-prime-400")


def _height(rng: random.Random) -> str:
    return f"{rng.randrange(-24, 36)} in"


def _rating(rng: random.Random) -> str:
    drop, flow = quantity(rng, "pressure", 0.1, 5), quantity(rng, "flow", 30, 900)
    return f"{drop} {rng.choice(('at', '@'))} {flow}"


def _hose(rng: random.Random) -> Table:
    part: Table = {
        "kind": "hose",
        "length": f"{rng.randrange(20, 80)} ft",
        "to": _height(rng),
    }
    if rng.random() < 0.3:
        part["via"] = [_height(rng) for _ in range(rng.randrange(4))]
    if rng.random() < 0.2:
        part["sweeps"] = [rng.choice(("90 deg", "1 rad")) for _ in range(rng.randrange(4))]
    if rng.random() < 0.2:
        part |= {"barbs": rng.randrange(6), "barb_bore": rng.choice(("1/2 in", "11 mm", "0.45 in"))}
    if rng.random() < 0.2:
        part["bore"] = rng.choice(("5/8 in", "1-1/2 in", "20 mm", "8 in"))
    if rng.random() < 0.1:
        part["lining"] = rng.choice(("ribbed", "smooth plastic", "smooth rubber"))
    return part


def _fitting(rng: random.Random) -> Table:
    key = rng.choice(("k", "cv", "kv", "loss"))
    value = _rating(rng) if key == "loss" else round(rng.uniform(0.1, 30), 2)
    return {"kind": "fitting", key: value, "count": rng.randrange(1, 4)}


_SMALL: tuple[Callable[[random.Random], Table], ...] = (
    _hose,
    _fitting,
    lambda rng: {"kind": "elbow", "count": rng.randrange(1, 6)},
    lambda rng: {"kind": "tee"},
    lambda rng: {"kind": "bleed"},
    lambda rng: {"kind": "check valve"},
    lambda rng: {"kind": "seacock", "open": quantity(rng, "ratio", 0, 100)},
    lambda rng: {"kind": "strainer", "loss": _rating(rng), "blocked": f"{rng.randrange(100)} %"},
)


def _some(rng: random.Random, most: int) -> list[Table]:
    return [rng.choice(_SMALL)(rng) for _ in range(rng.randrange(most + 1))]


def _pump(rng: random.Random) -> Table:
    part: Table = {"kind": "pump", "curve": rng.choice(_CATALOGUE)}
    if rng.random() < 0.2:
        part |= {"count": rng.randrange(1, 4), "arrangement": rng.choice(("series", "parallel"))}
    return part


def _manifold(rng: random.Random, units: list[str], depth: int, numbers: list[int]) -> Table:
    """A manifold that serves these units, sometimes with manifolds inside."""
    end, branches = _height(rng), []
    while units:
        take = 1 if depth > 3 or rng.random() < 0.7 else rng.randrange(1, len(units) + 1)
        served, units = units[:take], units[take:]
        parts = [_hose(rng), *_some(rng, 2)]
        if len(served) == 1:
            parts.append({"kind": "condenser", "serves": served[0], "loss": _rating(rng)})
        else:
            parts.append(_manifold(rng, served, depth + 1, numbers))
        last = _hose(rng) | {"to": end}
        parts.append(last)
        if rng.random() < 0.3:
            parts.append({"kind": "discharge", "height": end})
        numbers[0] += 1
        branches.append({"name": f"way {numbers[0]}", "part": parts})
    return {"kind": "manifold", "branch": branches}


def job(rng: random.Random) -> Table:
    """A job that is right except for a height here and there."""
    units = [f"unit {number}" for number in range(rng.choice((1, 1, 1, 2, 3, 6)))]
    tail: list[Table]
    if len(units) == 1:
        tail = [{"kind": "condenser", "serves": units[0], "loss": _rating(rng)}, *_some(rng, 2)]
    else:
        tail = [_manifold(rng, list(units), 0, [0])]
    end = _height(rng)
    parts = [
        {"kind": "intake", "height": _height(rng), "facing": rng.choice(("forward", "aft"))},
        *_some(rng, 3),
        _pump(rng),
        *_some(rng, 3),
        _hose(rng),
        *tail,
        _hose(rng) | {"to": end},
        {"kind": "discharge", "height": end},
    ]
    tables: Table = {
        "title": rng.choice(("Plover", "Sanderling [bold]", "Whimbrel \U0001f6a2", "")),
        "units": rng.choice(("us", "si")),
        "water": {
            "temperature": rng.choice(("85 degF", "60 °F", "12 degC", "-2 C", "28.5 °C")),
            "salinity": rng.choice((35, 0, 42, 12.5)),
        },
        "defaults": {"bore": rng.choice(("3/4 in", "1 in", "19 mm", "1-1/4 in"))},
        "condenser": [
            {"name": name, "cooling": rng.choice(("12000 BTU/h", "2 kW", "1 ton", "900 W"))}
            for name in units
        ],
        "part": parts,
    }
    if rng.random() < 0.4:
        tables["boat"] = {
            "heel": rng.choice(("12 deg", "0.2 rad", "-30°")),
            "speed": quantity(rng, "speed", 0, 12),
            "wave_height": "6 in",
        }
    if rng.random() < 0.1:
        tables["visit"] = [{"date": "2025-06-30", "readings": {"flow": "150 gal/h"}}]
    if rng.random() < 0.1:
        tables["fitted"] = {"loss": 1.2, "pump": 0.9, "ua": 1.1}
    return tables


def pump(rng: random.Random) -> Table:
    """A pump file that is right."""
    count = rng.choice((4, 5, 7, 30))
    most, top = rng.uniform(100, 2000), rng.uniform(5, 40)
    shares = [number / (count - 1) for number in range(count)]
    curve: Table = {
        "flow": {"unit": "gal/h", "values": [round(most * s, 3) for s in shares]},
        "head": {"unit": "ft", "values": [round(top * (1.05 - s**2), 4) for s in shares]},
    }
    if rng.random() < 0.5:
        curve["power"] = {"unit": "W", "values": [round(40 + 20 * s, 2) for s in shares]}
    if rng.random() < 0.5:
        curve["npsh_required"] = {"unit": "ft", "values": [round(2 + 3 * s, 3) for s in shares]}
    drive: Table = {"drive": "dc", "rated_supply": "12 V"}
    if rng.random() < 0.5:
        drive = {"drive": "ac", "rated_supply": "115 V", "rated_frequency": "60 Hz"}
    return {"name": "demo-made-up", "port": "3/4 in", "curve": curve, **drive}


def readings(rng: random.Random, units: list[str]) -> Table:
    """A readings file that is right for a job with these units."""
    every: Table = {
        "flow": f"{rng.randrange(60, 250)} gal/h",
        "bucket": f"{quantity(rng, 'volume', 1, 5)} in {quantity(rng, 'time', 10, 90)}",
        "sea_temperature": rng.choice(("78 degF", "20 degC")),
        "outlet_temperature": f"{rng.randrange(85, 110)} degF ± {rng.randrange(1, 3)}",
        "condensing_temperature": f"{rng.randrange(90, 125)} degF",
        "stream": rng.choice(("steady", "none", "sputtering", "weak")),
        "strainer_seen": rng.choice(("clean", "dirty", "sand")),
        "supply": rng.choice(("12.4 V", "115 V", "60 Hz")),
        "pump_current": "0.5 A",
        "date": "2025-08-02",
        "note": "sea grass in the harbour",
        "prior": {"pump-worn": round(rng.uniform(0, 2), 2)},
    }
    chosen = {key: every[key] for key in every if rng.random() < 0.45}
    if len(units) > 1:
        for key in ("outlet_temperature", "condensing_temperature"):
            if key in chosen:
                chosen[key] = {name: chosen[key] for name in units if rng.random() < 0.7}
    return chosen


def broken(rng: random.Random, tables: Table, count: int) -> Table:
    """The same tables, changed in place in `count` random spots."""
    for _ in range(count):
        holder, key = rng.choice(_spots(tables))
        act = rng.random()
        if act < 0.55:
            holder[key] = rubbish(rng)
        elif act < 0.75:
            del holder[key]
        elif isinstance(holder, dict):
            holder[rng.choice(KEYS)] = rubbish(rng)
        else:
            holder.insert(rng.randrange(len(holder) + 1), holder[key])
    return tables


def _spots(whole: Any) -> list[tuple[Any, Any]]:
    """Every table or list, however deep, with each of its keys or positions."""
    found: list[tuple[Any, Any]] = []
    left = [whole]
    while left:
        value = left.pop()
        for key, inner in value.items() if isinstance(value, dict) else enumerate(value):
            found.append((value, key))
            if isinstance(inner, dict | list):
                left.append(inner)
    return found or [({"": ""}, "")]


def encoded(rng: random.Random, tables: Table) -> bytes:
    """The tables as a file's bytes: mostly plain UTF-8, else corrupted as files get corrupted."""
    text = document(tables)
    act = rng.random()
    if act < 0.7:
        return text.encode("utf-8", errors="surrogatepass")
    if act < 0.74:
        return b"\xef\xbb\xbf" + text.replace("\n", "\r\n").encode()
    if act < 0.78:
        return text.encode(rng.choice(("utf-16", "utf-32", "utf-16-le")))
    if act < 0.82:
        return text.encode("latin-1", errors="replace") + b'note = "caf\xe9"\n'
    if act < 0.86:
        return text.replace("\n", rng.choice(("\r", "\x00", "\x0b", "\u2028"))).encode()
    raw = bytearray(text.encode())
    if act < 0.9:
        return bytes(raw[: rng.randrange(len(raw) + 1)])
    for _ in range(rng.randrange(1, 12)):
        spot = rng.randrange(len(raw))
        if rng.random() < 0.5:
            raw[spot] = rng.randrange(256)
        else:
            raw[spot:spot] = bytes([rng.choice(b"[]{}\"'=.,\n\\#\x00\xff")])
    return bytes(raw)
