"""Pumps against their systems: the whole solver, with the textbook's curve and losses."""

from collections.abc import Sequence
from typing import Any

import fluids
import numpy as np

from loop.hydraulics import OperatingPoint, solve
from loop.job import Job
from loop.parts import Discharge, Elbow, Part, Pump
from loop.parts.friction import GRAVITY, velocity_head
from loop.pumps import load_pump
from loop.pumps.supply import is_mains, supply_faults, tolerated_range
from loop.units import parse
from tests.published.relations.registry import relation
from tests.published.textbook import (
    Liquid,
    Way,
    line_flows,
    loss,
    network_of,
    pipe,
    pump_curve,
    resistance,
)


def _operating(
    pump: Pump, parts: Sequence[Part], lift: float, liquid: Liquid
) -> tuple[float, float]:
    """Flow [m³/s] and head [m] at which a pump meets a lift plus the parts' losses."""
    flow = float(
        line_flows(network_of([Way(tuple(parts), outlet_head=lift)], liquid, 0.0, pump))[0]
    )
    return flow, lift + sum(part.head_loss(flow, liquid) for part in parts)


def _quadratic(shutoff: float, fall: float, most: float) -> Pump:
    """A pump of head `shutoff` − `fall` Q², in 41 points up to the flow `most`."""
    flow = np.linspace(0, most, 41)
    return Pump(curve=pump_curve(flow, shutoff - fall * flow**2))


def _matched(shutoff: float, fall: float, lift: float, rise: float) -> tuple[float, float]:
    most = (shutoff / fall) ** 0.5 * 0.999
    return _operating(_quadratic(shutoff, fall, most), [resistance(rise)], lift, Liquid())


# The textbook's exercise in meters and liters per minute: factors on (L/min)².
_PER_SQUARE = 60_000.0**2


@relation("flow")
def matched_flow(head: float, fall: float, lift: float, rise: float) -> float:
    """Flow at which H0 − a Q² meets lift + b Q², a and b in m/(L/min)²."""
    return _matched(head, fall * _PER_SQUARE, lift, rise * _PER_SQUARE)[0]


@relation("length")
def matched_head(head: float, fall: float, lift: float, rise: float) -> float:
    """Head there."""
    return _matched(head, fall * _PER_SQUARE, lift, rise * _PER_SQUARE)[1]


def _at_speed(
    flow: float, head: float, power: float, frequency: float, rated_frequency: float
) -> OperatingPoint:
    """A loop in which the pump meets a quadratic loss at (flow, head, power) at rated frequency."""
    share = np.linspace(0, 1.5, 7)
    curve = pump_curve(
        flow * share,
        head * (1.5 - 0.5 * share**2),
        power=power * (0.4 + 0.6 * share),
        rated_frequency=rated_frequency,
    )
    # All loss in one fitting: the wide ends and the condenser add 1e-5 of it.
    k = head / velocity_head(flow, 0.1)
    job = {
        "water": {"temperature": 15.0, "salinity": 0},
        "condenser": [{"name": "unit", "cooling": 3500.0}],
        "part": [
            {"kind": "intake", "height": -1.0, "bore": 0.5, "grate_open": 1.0},
            {"kind": "pump", "curve": curve, "frequency": frequency, "bore": 0.5},
            {"kind": "fitting", "k": k, "bore": 0.1},
            {"kind": "condenser", "serves": "unit", "loss": "1 Pa at 25 L/s", "bore": 0.5},
            {"kind": "discharge", "height": -1.0, "bore": 0.5},
        ],
    }
    return solve(Job.model_validate(job))


@relation("flow")
def flow_at_speed(
    flow: float, head: float, power: float, frequency: float, rated_frequency: float
) -> float:
    """Flow [m³/s] in the same loop at another speed."""
    return _at_speed(flow, head, power, frequency, rated_frequency).flow


@relation("length")
def head_at_speed(
    flow: float, head: float, power: float, frequency: float, rated_frequency: float
) -> float:
    """Head [m]."""
    return _at_speed(flow, head, power, frequency, rated_frequency).pump_head


@relation("power")
def power_at_speed(
    flow: float, head: float, power: float, frequency: float, rated_frequency: float
) -> float:
    """Power [W]."""
    return _at_speed(flow, head, power, frequency, rated_frequency).power


def _through_points(
    flows: list[float], heads: list[float], lift: float, length: float, bore: float, k: float,
    friction: float,
) -> tuple[float, float]:  # fmt: skip
    parts = [loss(k + friction * length / bore, bore)]
    return _operating(Pump(curve=pump_curve(flows, heads)), parts, lift, Liquid())


@relation("flow")
def operating_flow(**inputs: Any) -> float:
    """Flow [m³/s] at which a pump given by points meets a lift, a pipe of known f, and its Ks."""
    return _through_points(**inputs)[0]


@relation("length")
def operating_head(**inputs: Any) -> float:
    """Head there [m]."""
    return _through_points(**inputs)[1]


def _group(
    head: float, fall: float, lift: float, length: float, bore: float, friction: float,
    count: int, arrangement: Any,
) -> tuple[float, float]:  # fmt: skip
    # `fall` is in feet per (1000 gal/min)², as the textbook writes its curve.
    thousand, foot = parse("1000 gal/min", "flow"), parse("1 ft", "length")
    one = _quadratic(head, fall * foot / thousand**2, 42 * thousand)
    group = Pump(curve=one.curve, count=count, arrangement=arrangement)
    return _operating(group, [loss(friction * length / bore, bore)], lift, Liquid())


@relation("flow")
def group_flow(**inputs: Any) -> float:
    """Flow [m³/s] of equal pumps in parallel or in series on one line."""
    return _group(**inputs)[0]


@relation("length")
def group_head(**inputs: Any) -> float:
    """Head [m] of the group."""
    return _group(**inputs)[1]


@relation("length")
def pumped_head(
    flow: float, lift: float, length: float, bore: float, roughness: float, k: float,
    viscosity: float,
) -> float:  # fmt: skip
    """Head [m] required by a lift, a pipe and its Ks at a flow."""
    liquid = Liquid(kinematic_viscosity=viscosity)
    parts = [pipe(length, bore, roughness), loss(k, bore)]
    return lift + sum(part.head_loss(flow, liquid) for part in parts)


def _lift_and_fittings(
    flow: float, lift: float, length: float, bore: float, seat: float, roughness: float,
    viscosity: float,
) -> float:  # fmt: skip
    liquid = Liquid(kinematic_viscosity=viscosity)
    parts = [
        Elbow(bore=bore, count=4),
        Discharge(bore=bore, height=0.0),
        # A boat's loop has no gate valve or lift check valve.
        loss(fluids.K_gate_valve_Crane(D1=bore, D2=bore, angle=0.0), bore),
        loss(fluids.K_lift_check_valve_Crane(D1=seat, D2=bore, angled=False), bore),
        pipe(length, bore, roughness),
    ]
    return lift + sum(part.head_loss(flow, liquid) for part in parts)


@relation("length")
def lift_and_fittings_head(**inputs: Any) -> float:
    """Head [m] of a lift, a pipe, four elbows, a gate, a lift check valve and an exit."""
    return _lift_and_fittings(**inputs)


@relation("power")
def lift_and_fittings_power(efficiency: float, density: float, **inputs: Any) -> float:
    """Shaft power [W] required for it."""
    return density * GRAVITY * inputs["flow"] * _lift_and_fittings(**inputs) / efficiency


@relation("voltage")
def supply_edge(pump: Any, most: bool) -> float:
    """Least or most voltage [V] at which a catalogue pump is not reported as wrongly supplied."""
    return tolerated_range(load_pump(pump))[int(most)]


@relation()
def frequency_over_rated(most: bool = False) -> float:
    """How far over its rated frequency an AC pump may run unreported; or at `most`, as a share."""
    curve = load_pump("demo-ac-350")
    low, high = 0.0, 0.2
    for _ in range(40):
        middle = (low + high) / 2
        pump = Pump(curve=curve, frequency=(1 + middle) * float(curve.rated_frequency or 0))
        found = supply_faults(curve, pump.power_supply)
        told = any(not most or one.level == "danger" for one in found)
        low, high = (low, middle) if told else (middle, high)
    return low


@relation()
def frequency_of_mains(near: float) -> float:
    """Nominal mains frequency [Hz] that this one is taken for: the middle of its range."""
    tried = [near * (0.95 + 0.0001 * step) for step in range(1001)]
    taken = [hertz for hertz in tried if is_mains(hertz)]
    return (taken[0] + taken[-1]) / 2 if taken else 0.0
