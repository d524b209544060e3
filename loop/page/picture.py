"""What the page draws: the line along its length, the water and air in it, and the curves."""

import math
from itertools import pairwise
from typing import Any

import numpy as np

from loop.air.air_paths import AirPath
from loop.check import CheckResult
from loop.hydraulics import Cases, Network, solve_flows
from loop.hydraulics.gauge_pressure import DRAWS_AIR_BELOW, states_along_path
from loop.hydraulics.lines import pump_head
from loop.job import Located, locate
from loop.parts import Hose
from loop.units import System, decimals, label, linear_shown

# Gauge pressures [Pa] at which the water's shade changes; below the first a valve draws air in.
_SHADES = (DRAWS_AIR_BELOW, 8000.0, 16000.0, 24000.0, 32000.0)
# Points per curve.
_CURVE_POINTS = 25


def picture(result: CheckResult) -> dict[str, Any]:
    """Paths from sea to sea with heights, pressures and air, in SI units; and how to show them."""
    located = locate(result.job.part)
    ways = [_way(result, path, located) for path in result.air]
    return {
        "scales": scales(result.job.units),
        "ways": ways,
        "opens": _opens(result, ways),
        "curves": curves(result),
    }


def _opens(result: CheckResult, ways: list[dict[str, Any]]) -> int:
    """The path to show first: the one where the gravest finding is, or 0."""
    serious = [one.at for one in result.findings if one.level != "note"]
    if not serious:
        return 0
    at, parts = serious[0], result.point.network.parts
    for number, way in enumerate(ways):
        on_it = {here["address"] for here in way["parts"]} | {way["branch"]}
        on_it |= {getattr(parts[here["part"]], "serves", None) for here in way["parts"]}
        if not {at.part, at.unit, at.branch}.isdisjoint(on_it - {None, ""}):
            return number
    return 0


def scales(system: System) -> dict[str, dict[str, Any]]:
    """For each quantity: its label and decimals, and number = value × scale + offset."""
    quantities = ("flow", "head", "height", "length", "pressure", "velocity", "temperature")
    found = {}
    for name in quantities:
        scale, zero = linear_shown(name, system)
        found[name] = {"label": label(name, system), "scale": scale, "offset": zero,
                       "decimals": decimals(name, system)}  # fmt: skip
    return found


def _way(result: CheckResult, path: AirPath, located: tuple[Located, ...]) -> dict[str, Any]:
    line, network = path.profile, result.point.network
    points = [
        {
            "at": here.distance,
            "height": here.height,
            "part": here.part,
            "pressure": here.gauge_pressure if math.isfinite(here.gauge_pressure) else 0.0,
            "holds": here.content,
            "moves": _moves(network, located, here.part, here.along),
        }
        for here in states_along_path(result.point, line)
    ]
    return {
        "branch": path.branch,
        "points": points,
        "middles": _middles(network, located, points),
        "bleeds": [
            {"at": bleed.distance, "part": None if bleed.on_part else bleed.part}
            for bleed in path.proposed
        ],
        "shades": list(_SHADES),
        "parts": _parts(network, located, points),
        "pump": line.pump_at,
        "high": [
            {
                "at": high_point.distance,
                "height": high_point.height,
                "side": high_point.side,
                "air": "held" if path.keeps_air(high_point) else high_point.state,
                "pockets": [list(high_point.leg)]
                if path.keeps_air(high_point)
                else [list(pocket) for pocket in high_point.pockets],
            }
            for high_point in path.high_points
        ],
    }


def _moves(network: Network, located: tuple[Located, ...], index: int, along: float) -> list[str]:
    """Addresses of the heights to change when this point is moved; none for a fixed point."""
    part, where = network.parts[index], located[index].address
    if not isinstance(part, Hose):
        return [f"{where}.height"] if part.kind == "intake" else []
    points = part.points
    number = min(range(len(points)), key=lambda i: abs(points[i][0] - along))
    if number < len(part.via):
        timed = part.via[number].at is not None
        return [f"{where}.via[{number + 1}]{'.height' if timed else ''}"]
    after = index + 1
    ends = [f"{where}.to"]
    while after < len(network.parts) and network.line_of[after] == network.line_of[index]:
        follower = network.parts[after]
        if follower.kind == "discharge":
            ends.append(f"{located[after].address}.height")
        if isinstance(follower, Hose):
            break
        after += 1
    return ends


def _middles(
    network: Network, located: tuple[Located, ...], points: list[dict[str, Any]]
) -> list[dict[str, Any]]:
    """The middle of each straight hose, where it may get a high or low point."""
    return [
        {
            "at": (before["at"] + here["at"]) / 2,
            "height": (before["height"] + here["height"]) / 2,
            "part": here["part"],
            "middle": True,
            "moves": [f"{located[here['part']].address}.via"],
        }
        for before, here in pairwise(points)
        for hose in [network.parts[here["part"]]]
        if isinstance(hose, Hose) and not hose.via
    ]


def _parts(
    network: Network, located: tuple[Located, ...], points: list[dict[str, Any]]
) -> list[dict[str, Any]]:
    """Each part of the path, at its downstream end."""
    last: dict[int, dict[str, Any]] = {}
    for point in points:
        last[point["part"]] = point
    return [
        {
            "part": index,
            "kind": network.parts[index].kind,
            "label": located[index].label,
            "address": located[index].address,
            "at": point["at"],
            "height": point["height"],
        }
        for index, point in last.items()
    ]


def curves(result: CheckResult) -> dict[str, Any]:
    """The pump curve as installed and the system curve, as pairs of flow [m³/s] and head [m].

    The system curve is found by solving the loop with the pump's heads scaled: each solution is one
    point on it.
    """
    point = result.point
    solved = solve_flows(point.network, Cases(pump_head=np.linspace(0.02, 1.6, _CURVE_POINTS)))
    flows, heads = solved.line_flow[:, point.network.pump_line], solved.pump_head
    loop = [[float(q), float(h)] for q, h in zip(flows, heads, strict=True) if q > 0]
    top = max(float(np.max(flows)), point.flow, 1e-6)
    grid = np.linspace(0.0, top, _CURVE_POINTS)
    heads = pump_head(point.network, Cases(pump_head=np.ones(len(grid))), grid)[0]
    return {
        "pump": [[float(q), float(h)] for q, h in zip(grid, heads, strict=True) if h >= 0],
        "loop": loop,
        "point": [point.flow, point.pump_head],
        "needs": [
            {"unit": c.name, "needed": c.needed_flow, "flow": c.flow,
             "low": c.flow_low, "high": c.flow_high}
            for c in result.condensers
        ],
    }  # fmt: skip
