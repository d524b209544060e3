"""Loops with a branch that is still dry while others run, in SI."""

from typing import Any

from loop.air.air_paths import air_paths
from loop.air.branch_priming import BranchPriming
from loop.air.dry_path import DryPath, PrimingPath, dry_path
from loop.air.high_points import find_high_points
from loop.air.priming_head import rises
from loop.hydraulics import OperatingPoint, Station, solve
from loop.hydraulics.line_profile import profile
from loop.job import Job
from tests.loops import Table

HEADER = 0.025  # bore of the main line and of its manifolds [m]


def hose(length: float, to: float, **more: Any) -> Table:
    return {"kind": "hose", "length": length, "to": to, "barbs": 0, **more}


def main_hose(length: float, to: float) -> Table:
    return hose(length, to, bore=HEADER)


def branch(name: str, *line: Any) -> Table:
    """Hoses as (length, height at the end), other parts unchanged; a unit before the last."""
    parts = [hose(*step) if isinstance(step, tuple) else step for step in line]
    place = max(i for i, part in enumerate(parts) if part["kind"] == "hose")
    parts.insert(place, {"kind": "condenser", "serves": name, "loss": "5 kPa at 15 L/min"})
    return {"name": name, "part": parts}


def manifold(*branches: Table) -> Table:
    return {"kind": "manifold", "bore": HEADER, "branch": list(branches)}


def units(parts: list[Table]) -> list[str]:
    found = [part["serves"] for part in parts if part["kind"] == "condenser"]
    inner = (way["part"] for part in parts if part["kind"] == "manifold" for way in part["branch"])
    return found + [name for way in inner for name in units(way)]


def loop_of(*middle: Table, **pump: Any) -> Job:
    """Pump at -0.4 m, up to the header at 0.2 m; after `middle` down to the outlet at 0.15 m."""
    return Job.model_validate(
        {
            "water": {"temperature": 20.0},
            "defaults": {"bore": 0.019},
            "sizing": {"lowest_supply": pump.pop("lowest", None)},
            "condenser": [{"name": name, "cooling": 3000.0} for name in units(list(middle))],
            "part": [
                {"kind": "intake", "height": -0.5, "bore": HEADER},
                main_hose(1.0, -0.4),
                {"kind": "pump", "curve": "demo-ac-500", **pump},
                {"kind": "bleed"},
                main_hose(1.5, 0.2),
                *middle,
                main_hose(1.0, 0.15),
                {"kind": "discharge", "height": 0.15},
            ],
        }
    )


LOW = branch("low", (1.0, 0.5), (1.0, 0.2))
SHUT: Table = {"kind": "seacock", "open": 0.0, "bore": 0.019}


def high(top: float, *first: Table, **more: Any) -> Table:
    return branch("high", *first, (6.0, top), hose(6.0, 0.2), **more)


def primings_of(job: Job) -> dict[str, BranchPriming | None]:
    point = solve(job)
    return {path.branch: path.priming for path in air_paths(point.network, point)}


def priming_of(job: Job, name: str = "high") -> BranchPriming:
    found = primings_of(job)[name]
    assert found is not None
    return found


def ways_of(point: OperatingPoint) -> dict[str, PrimingPath]:
    found = {}
    for name, parts in point.network.paths():
        line = profile(point.network, parts)
        high_points = find_high_points(line, point)
        found[name] = PrimingPath(name, parts, line, high_points, rises(line, high_points).head)
    return found


def dry_of(job: Job, name: str, *running: str) -> DryPath | None:
    """A path that is dry where it leaves the lines of the named paths."""
    point = solve(job)
    ways = ways_of(point)
    lines = {point.network.line_of[part] for other in running for part in ways[other].parts}
    return dry_path(point.network, ways[name], lines)


def station(point: OperatingPoint, kind: str, name: str, last: bool = False) -> Station:
    return [s for s in point.stations if (s.kind, s.branch) == (kind, name)][-1 if last else 0]


def dc(top: float, **pump: Any) -> Job:
    return loop_of(manifold(LOW, high(top)), curve="demo-dc-600", **pump)
