"""Textbook problems beyond a boat's loop: other liquids, reservoirs, and any network."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from loop.curve import Array
from loop.hydraulics import Line, Network, solve_flows
from loop.hydraulics.network import SEA_IN, SEA_OUT
from loop.parts import Fitting, Hose, Part, Pump
from loop.parts.friction import GRAVITY
from loop.pumps import PumpCurve
from tests.loops import job_of

# Table of the network's joints: where a line starts and ends.
SOURCE, OUTLET = SEA_IN, SEA_OUT


@dataclass(frozen=True)
class Liquid:
    """A textbook's liquid, in place of sea water, with the properties that parts use.

    Density [kg/m³], kinematic viscosity [m²/s], heat capacity [J/(kg K)], vapor pressure [Pa].
    """

    density: float = 998.2
    kinematic_viscosity: float = 1.004e-6
    heat_capacity: float = 4182.0
    vapor_pressure: float = 2339.0


def pipe(length: float, bore: float, roughness: float = 0.0) -> Hose:
    """A plain pipe: a hose without barbs."""
    return Hose(length=length, to=0.0, bore=bore, roughness=roughness, barbs=0)


def loss(k: float, bore: float) -> Fitting:
    """A loss coefficient on a bore."""
    return Fitting(k=k, bore=bore)


def resistance(r: float) -> Fitting:
    """A pipe with head loss r Q² [m, m³/s], as a K on a bore of 5 cm."""
    bore = 0.05
    return loss(r * 2 * GRAVITY * (np.pi / 4 * bore**2) ** 2, bore)


def pump_curve(flow: Sequence[float], head: Sequence[float], **more: Any) -> PumpCurve:
    """A pump from its points [m³/s, m]."""
    rows: dict[str, Any] = {
        "flow": {"unit": "m^3/s", "values": list(flow)},
        "head": {"unit": "m", "values": list(head)},
    }
    if "power" in more:
        rows["power"] = {"unit": "W", "values": list(more.pop("power"))}
    return PumpCurve.model_validate(
        {
            "name": "demo-textbook",
            "drive": "ac",
            "rated_supply": 230.0,
            "rated_frequency": 60.0,
            "port": 0.1,
            "curve": rows,
            **more,
        }
    )


def idle_pump() -> Pump:
    """A pump with 1e-7 m of head, for gravity lines: every loop must have a pump."""
    return Pump(curve=pump_curve([0, 0.01, 0.02, 0.03], [1e-7, 8e-8, 6e-8, 4e-8]))


@dataclass(frozen=True)
class Way:
    """One line of a textbook network: its parts, its joints, its outlet's level."""

    parts: tuple[Part, ...]
    start: int = SOURCE
    end: int = OUTLET
    outlet_head: float = 0.0
    heights: tuple[float, ...] = ()


def network_of(
    ways: Sequence[Way], liquid: Any = None, level: float = 0.0, pump: Pump | None = None
) -> Network:
    """The program's own network of a textbook problem.

    Parameters
    ----------
    ways : sequence of Way
        Lines in an order in which water reaches them; joints are numbered from 0. The first
        starts at the source, and the pump (an idle one where none is given) stands at its start.
    liquid : Liquid or Water
    level : float
        Total head at the source [m].
    """
    first = Way((pump or idle_pump(), *ways[0].parts), SOURCE, ways[0].end, ways[0].outlet_head,
                (0.0, *ways[0].heights) if ways[0].heights else ())  # fmt: skip
    parts: list[Part] = []
    lines: list[Line] = []
    heights: list[float] = []
    line_of: list[int] = []
    for number, way in enumerate((first, *ways[1:])):
        here = range(len(parts), len(parts) + len(way.parts))
        parts += way.parts
        heights += way.heights or (0.0,) * len(way.parts)
        line_of += [number] * len(way.parts)
        lines.append(Line(tuple(here), way.start, way.end, outlet_head=way.outlet_head))
    names = tuple(f"part {i + 1}" for i in range(len(parts)))
    return Network(
        job=job_of(),
        water=liquid or Liquid(),
        parts=tuple(parts),
        places=names,
        labels=names,
        branches=("",) * len(parts),
        heights=tuple(heights),
        lines=tuple(lines),
        forks=(),
        joints=1 + max((j for way in ways for j in (way.start, way.end) if j >= 0), default=-1),
        start_head=level,
        line_of=tuple(line_of),
        # A textbook gives every bore step as a separate fitting.
        steps=(0.0,) * len(parts),
    )


def line_flows(network: Network) -> Array:
    """Flow of every line [m³/s], on the parts' own functions, converged to 1e-8 m of head."""
    rough = solve_flows(network)
    exact = solve_flows(network, exact=True, start=rough.line_flow)
    assert exact.settled[0]
    assert exact.residual[0] < 1e-8
    return exact.line_flow[0]
