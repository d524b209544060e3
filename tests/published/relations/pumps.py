"""Pumps against their systems: the whole solver, with the book's curve and losses."""

from collections.abc import Sequence
from typing import Any

import numpy as np

from loop.hydraulics import OperatingPoint, solve
from loop.parts import Part, Pump
from loop.parts.friction import GRAVITY, velocity_head
from tests.loops import changed
from tests.published.relations.registry import relation
from tests.published.textbook import (
    Liquid,
    Way,
    line_flows,
    loss,
    network_of,
    pipe,
    pump_curve,
)


def _operating(pump: Pump, parts: Sequence[Part], lift: float, liquid: Liquid) -> tuple[float, float]:
    """Flow [m³/s] and head [m] where a pump meets a lift and the parts' losses."""
    flow = float(line_flows(network_of([Way(tuple(parts), outlet_head=lift)], liquid, 0.0, pump))[0])
    return flow, lift + sum(part.head_loss(flow, liquid) for part in parts)


def _quadratic(shutoff: float, fall: float, most: float) -> Pump:
    """A pump of head `shutoff` − `fall` Q², in 41 points up to the flow `most`."""
    flow = np.linspace(0, most, 41)
    return Pump(curve=pump_curve(flow, shutoff - fall * flow**2))


def _matched(shutoff: float, fall: float, lift: float, rise: float) -> tuple[float, float]:
    # A K on a bore of 0.1 m that loses `rise` Q².
    k = rise / velocity_head(1.0, 0.1)
    most = (shutoff / fall) ** 0.5 * 0.999
    return _operating(_quadratic(shutoff, fall, most), [loss(k, 0.1)], lift, Liquid())


# The book's exercise in metres and litres a minute: factors on (L/min)².
_PER_SQUARE = 60_000.0**2


@relation("flow")
def matched_flow(head: float, fall: float, lift: float, rise: float) -> float:
    """Flow where H0 − a Q² meets lift + b Q², a and b in m/(L/min)²."""
    return _matched(head, fall * _PER_SQUARE, lift, rise * _PER_SQUARE)[0]


@relation("length")
def matched_head(head: float, fall: float, lift: float, rise: float) -> float:
    """Head there."""
    return _matched(head, fall * _PER_SQUARE, lift, rise * _PER_SQUARE)[1]


def _at_speed(
    flow: float, head: float, power: float, frequency: float, rated_frequency: float
) -> OperatingPoint:
    """A job whose pump meets a plain loss at (flow, head) when it runs at its rated frequency."""
    share = np.linspace(0, 1.5, 7)
    curve = pump_curve(
        flow * share,
        head * (1.5 - 0.5 * share**2),
        power=power * (0.4 + 0.6 * share),
        rated_frequency=rated_frequency,
    )
    wide, bore = 0.5, 0.1
    # All loss in one fitting: the wide ends and the condenser take a ten-thousandth of it.
    k = head / velocity_head(flow, bore)
    job = changed(
        ("defaults", "bore", f"{wide} m"),
        (1, "grate_open", "100 %"),
    )
    ends = [part for part in job["part"] if part["kind"] in ("intake", "condenser", "discharge")]
    intake, condenser, discharge = ends
    condenser["loss"] = "0.001 Pa at 1 L/min"
    discharge["height"] = intake["height"]
    pump: dict[str, Any] = {"kind": "pump", "curve": curve, "frequency": f"{frequency} Hz"}
    from loop.job import parse_job

    fitting = {"kind": "fitting", "k": k, "bore": f"{bore} m"}
    return solve(parse_job({**job, "part": [intake, pump, fitting, condenser, discharge]}))
