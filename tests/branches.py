"""Loops of several units on one pump, and loops whose pump hardly lifts the water."""

from copy import deepcopy
from typing import Any

from loop.job import Job, parse_job
from tests.loops import plain_loop

Table = dict[str, Any]


def branched(count: int, **header: Any) -> Job:
    """`count` units side by side on one pump, each on a longer hose than the one before."""
    data = plain_loop()
    data["condenser"] = [
        {"name": f"unit {number}", "cooling": "9000 BTU/h"} for number in range(1, count + 1)
    ]
    before, after = data["part"][:7], data["part"][9:]
    for part in (*before, *after):
        part["bore"] = "1-1/4 in"
    ways = [
        {
            "name": f"branch {number}",
            "part": [
                {"kind": "hose", "length": f"{4 + 5 * number} ft", "to": "10 in"},
                {
                    "kind": "condenser",
                    "serves": f"unit {number}",
                    "loss": "2.2 psi at 240 gal/h",
                },
                {"kind": "hose", "length": f"{3 + 2 * number} ft", "to": "-6 in"},
            ],
        }
        for number in range(1, count + 1)
    ]
    rise = {"kind": "hose", "length": "6 ft", "to": "-6 in", "bore": "1-1/4 in"}
    manifold = {"kind": "manifold", "bore": "1-1/4 in", "branch": ways, **header}
    data["part"] = [*before, rise, manifold, *after]
    for part in data["part"]:
        if part["kind"] == "pump":
            part["curve"] = "demo-ac-1000"
    return parse_job(data)


def lifting(height: float) -> Job:
    """The plain loop with its outlet at `height` [m], near what its pump can just hold."""
    data = deepcopy(plain_loop())
    data["part"][-2]["to"] = data["part"][-1]["height"] = f"{height} m"
    data["part"][-2]["length"] = "20 ft"
    return parse_job(data)
