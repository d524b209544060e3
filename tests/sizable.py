"""Random loops of boat size to be sized: some right, some wrong in one way."""

from typing import Any

import numpy as np

from loop.job import Job, parse_job
from loop.size import with_sizing
from tests.loops import plain_loop

Table = dict[str, Any]

_BORES = ("1/2 in", "5/8 in", "3/4 in", "1 in", "1-1/4 in")
_PUMPS = ("demo-ac-200", "demo-ac-250", "demo-ac-350", "demo-ac-500", "demo-ac-700", "demo-ac-1000")


def sizable(rng: np.random.Generator) -> Job:
    """One job: a line with one unit, or a manifold of two to four, one or two pumps, two bores."""
    data = plain_loop()
    branches = int(rng.choice([0, 0, 2, 3, 4]))
    pumps = rng.choice(_PUMPS, int(rng.integers(1, 3)), replace=False)
    bores = rng.choice(_BORES, 2, replace=False)
    data["defaults"]["bore"] = str(rng.choice(_BORES))
    data["water"]["temperature"] = f"{rng.uniform(60, 90)} degF"
    data["part"][5]["curve"] = str(pumps[0])
    _draw_lengths(rng, data)
    if branches:
        _branch(rng, data, branches)
    _go_wrong(rng, data)
    asked = {"bores": ", ".join(map(str, bores)), "pumps": ", ".join(map(str, pumps))}
    asked["service_blocked"] = f"{rng.uniform(0, 70):.0f} %"
    return with_sizing(parse_job(data), asked)


def _draw_lengths(rng: np.random.Generator, data: Table) -> None:
    parts = data["part"]
    parts[7]["length"] = f"{rng.uniform(20, 60)} ft"
    parts[7]["to"] = f"{rng.uniform(-4, 40)} in"
    if rng.random() < 0.4:
        parts[7]["via"] = [f"{rng.uniform(0, 50)} in", f"{rng.uniform(-8, 0)} in"]
    parts[9]["length"] = f"{rng.uniform(5, 30)} ft"
    data["condenser"][0]["cooling"] = f"{rng.choice([6000, 9000, 12000, 16000])} BTU/h"


def _branch(rng: np.random.Generator, data: Table, count: int) -> None:
    names = [f"unit {number + 1}" for number in range(count)]
    data["condenser"] = [{"name": name, "cooling": "6000 BTU/h"} for name in names]
    end = data["part"][7]["to"]
    ways = [
        {
            "name": name,
            "part": [
                {"kind": "hose", "length": f"{rng.uniform(5, 30)} ft", "to": f"{at} in"},
                {"kind": "condenser", "serves": name, "loss": "2 psi at 120 gal/h"},
                {"kind": "hose", "length": f"{rng.uniform(6, 20)} ft", "to": end},
            ],
        }
        for name, at in zip(names, rng.uniform(0, 30, count), strict=True)
    ]
    data["part"][8:9] = [{"kind": "manifold", "branch": ways}]


def _go_wrong(rng: np.random.Generator, data: Table) -> None:
    """One time in three something that no size fixes, or that other rules than flow find."""
    wrong = int(rng.integers(0, 12))
    parts = data["part"]
    if wrong == 0:
        parts[0]["off_centre"], data["boat"] = "40 in", {"heel": "15 deg"}
    elif wrong == 1:
        data["boat"] = {"speed": "8 knot"}
        parts[0]["facing"] = str(rng.choice(["forward", "aft"]))
    elif wrong == 2:
        parts[4] = {**parts[4], "to": "4 in", "length": "4 ft"}
    elif wrong == 3:
        parts[5]["supply"] = "230 V"
