"""Files at and past the limits: too many, too deep, too long, and numbers at their limits."""

from collections.abc import Iterator
from typing import Any

from tests.fuzz_values import document
from tests.loops import changed, plain_loop

_HOSE = {
    "kind": "hose",
    "length": "200 m",
    "to": "-10 in",
    "bore": "2 mm",
    "sweeps": ["180 deg"] * 50,
    "barbs": 20,
    "via": ["-9 in"] * 50,
}


def after_pump(*parts: dict[str, Any]) -> str:
    """The plain loop with parts inserted after its pump."""
    data = plain_loop()
    data["part"][6:6] = parts
    return document(data)


def _with(table: str, value: Any) -> str:
    return document(plain_loop() | {table: value})


def _branches(count: int, parts: int) -> dict[str, Any]:
    ways = [{"name": f"way {n}", "part": [{"kind": "tee"}] * parts} for n in range(count)]
    return {"kind": "manifold", "branch": ways}


def _nested(depth: int) -> str:
    text = '{kind="tee"}'
    for number in range(depth):
        text = f'{{kind="manifold",branch=[{{name="w{number}",part=[{text}]}}]}}'
    return f"part=[{text}]"


def jobs() -> Iterator[tuple[str, str | bytes]]:
    """Job files, by name; none is much longer than a job file may be."""
    yield "no parts, many times", "part=[" + "{}," * 160_000 + "]"
    yield "tees alone", "part=[" + '{kind="tee"},' * 35_000 + "]"
    yield "unknown kinds", "part=[" + '{kind="x"},' * 40_000 + "]"
    yield "units alone", "condenser=[" + '{name="a"},' * 40_000 + "]"
    yield "list in list", "a=" + "[" * 240_000 + "]" * 240_000
    yield "list in list in part", "part=" + "[" * 900 + "]" * 900
    yield "table in table", "a=" + "{a=" * 100_000 + "1" + "}" * 100_000
    yield "dots", ".".join(["a"] * 200_000) + "=1"
    yield "fewer dots", "part." + ".".join(["a"] * 5_000) + "=1"
    yield "dots in a head", "[" + ".".join(["a"] * 100_000) + "]"
    yield "keys", "\n".join(f"k{n}=1" for n in range(40_000))
    yield "tables", "\n".join(f"[t{n}]" for n in range(50_000))
    yield "lists of tables", "[[part]]\n" * 45_000
    yield "long text", 'title="' + "a" * 490_000 + '"'
    yield "escapes", 'title="' + "\\u0041" * 80_000 + '"'
    yield "long number", "units=" + "9" * 490_000
    yield "comments", "#" * 490_000
    yield "larger than a job", "#" * 600_000
    yield "manifolds inside each other", _nested(300)
    yield "points on the way", document(changed((3, "via", ["-2 in"] * 20_000)))
    yield "bores", _with("sizing", {"bores": ["1 in"] * 40_000})
    yield "pumps", _with("sizing", {"pumps": ["demo-ac-350"] * 25_000})
    yield "prices", _with("sizing", {"price": {"pump": {f"p{n}": 1 for n in range(20_000)}}})
    call = {"date": "2025-01-01", "readings": {"flow": "150 gal/h"}}
    yield "visits", _with("visit", [call] * 6_000)
    yield "readings", _with("visit", [call | {"readings": {f"f{n}": "1" for n in range(20_000)}}])
    yield "units", _with("condenser", [{"name": f"u{n}", "cooling": "1 kW"} for n in range(9_000)])
    yield "tees", after_pump(*[{"kind": "tee"}] * 20_000)
    yield "tees within the limit", after_pump(*[{"kind": "tee"}] * 385)
    yield "branches", after_pump(_branches(8_000, 1), {"kind": "tee"})
    yield "branches within the limit", after_pump(_branches(24, 10), {"kind": "tee"})
    yield "strainers", after_pump(*[{"kind": "strainer", "k": 1e4, "blocked": "99.9 %"}] * 380)
    yield "some strainers", after_pump(*[{"kind": "strainer", "k": 1e4, "blocked": "99.9 %"}] * 80)
    yield "narrow hoses", after_pump(*[_HOSE] * 250)
    yield "narrow hoses within the limit", after_pump(*[_HOSE] * 9)
    yield "narrow", document(changed((8, "length", "200 m"), (8, "bore", "2 mm")))
    yield "blocked", document(changed((4, "blocked", "99.9 %")))
    yield "nearly shut", document(changed((2, "open", "9 %")))
    yield "zeros", b"\0" * 100_000
    yield "no text", b"\xff" * 400_000
    yield "nothing", b""
    yield "a mark alone", b"\xef\xbb\xbf"


def pumps() -> Iterator[tuple[str, str]]:
    """Pump files, by name."""
    head = 'name="demo-made-up"\ndrive="dc"\nrated_supply="12 V"\nport="3/4 in"\n'
    flows, heads = list(range(40_000)), list(range(40_000, 0, -1))
    for name, flow, lift in (
        ("many points", flows, heads),
        ("many equal points", [0] * 100_000, [1] * 100_000),
        ("numbers of no size", [0, 5e-324, 1e-300, 1], [1e6, 1e5, 1e4, 1]),
        ("numbers of great size", [0, 1e300, 1e307, 1e308], [1e308, 1e307, 1e300, 1]),
    ):
        curve = {"flow": {"unit": "gal/h", "values": flow}, "head": {"unit": "ft", "values": lift}}
        yield name, head + document({"curve": curve})
    yield "deep", head + "curve=" + "[" * 400_000
    yield "long unit", head + 'curve={flow={unit="' + "in*" * 100_000 + 'in",values=[0]}}'
