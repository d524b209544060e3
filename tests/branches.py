"""Loops of several units on one pump, and loops whose pump can hardly lift the water."""

from copy import deepcopy
from typing import Any

from loop.job import Job, parse_job
from tests.loops import plain_loop

Table = dict[str, Any]


def branched(count: int, hose: str = "3/4 in", **header: Any) -> Job:
    """`count` units in parallel on one pump, each on a longer hose than the one before."""
    data = plain_loop()
    data["defaults"]["bore"] = hose
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


def siphoning(bore: float) -> Job:
    """A unit 4 ft up on hose of one bore [m], whose last leg falls to an open outlet."""
    return parse_job(
        {
            "water": {"temperature": "20 degC"},
            "defaults": {"bore": f"{bore} m"},
            "condenser": [{"name": "saloon", "cooling": "10000 BTU/h"}],
            "part": [
                {"kind": "intake", "height": "-0.4 m"},
                {"kind": "hose", "length": "1 m", "to": "-0.25 m", "barbs": 0},
                {"kind": "pump", "curve": "demo-ac-350"},
                {"kind": "hose", "length": "3 m", "to": "1.2 m", "barbs": 0},
                {"kind": "condenser", "serves": "saloon", "loss": "3.4 kPa at 15 L/min"},
                {"kind": "hose", "length": "4 m", "to": "0.1 m", "barbs": 0},
                {"kind": "discharge", "height": "0.1 m"},
            ],
        }
    )


def lifting(height: float) -> Job:
    """The plain loop with its outlet at `height` [m], near its pump's limit."""
    data = deepcopy(plain_loop())
    data["part"][-2]["to"] = data["part"][-1]["height"] = f"{height} m"
    data["part"][-2]["length"] = "20 ft"
    return parse_job(data)
