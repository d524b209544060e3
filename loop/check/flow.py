"""Findings about the flow itself: too little, none, off the pump's curve, or not converged."""

from collections.abc import Iterator, Sequence
from dataclasses import replace
from functools import partial

from loop.balancing.balance import duty
from loop.balancing.flow_limiting import limit_pump_flow
from loop.balancing.isolation import TRICKLE
from loop.check.context import Context
from loop.check.discharge_fixes import lower_outlets
from loop.check.drafts import Candidates, Draft, draft
from loop.check.flow_fixes import flow_fix_count, more_flow, more_for_all, open_shut_parts
from loop.check.lower_routes import evenly_led, reroute_lower
from loop.check.main_loss import main_loss
from loop.check.plan import Plan
from loop.check.pump_changes import rated, smaller_pumps, stronger_pump
from loop.check.result import CondenserResult
from loop.check.scoops import flush_grate, scoop_alternatives
from loop.check.throttle_actions import valve_actions
from loop.check.work import least_work_first
from loop.hydraulics import installed_pump
from loop.parts import Discharge, Seacock
from loop.words import Action, Place, Value
from loop.words.actions import SetValve, together

# Share of a pump's greatest flow below which it runs outside its design range: common practice. The
# water churns in it and warms.
_LEAST_FLOW = 0.1
# Share of the need below which a shortage would display as zero.
_SHOWN = 0.005


def flow_findings(context: Context) -> Iterator[Draft]:
    """no-flow, not-settled, flow-short and -marginal, at-rest-short, beyond-curve, near-shutoff."""
    if not context.has_flow:
        yield _no_flow(context)
        return
    if not context.point.settled:
        residual = context.point.residual
        yield draft("not-settled", "warning", context.manifold_place, {"residual": residual})
    for unit in context.condensers:
        if unit.flow_low >= unit.needed_flow:
            continue
        shut = context.shut_parts_before(unit.name)
        fixes = partial(open_shut_parts, context, shut) if shut else partial(more_for_all, context)
        if unit.flow < unit.needed_flow:
            found = _short(context, unit, fixes)
        else:
            found = _marginal(unit, fixes)
        yield replace(
            found,
            offer_count=partial(flow_fix_count, context),
            solved_values=partial(main_loss, context, unit.name),
        )
    yield from _at_rest(context)
    if context.point.past_curve:
        yield _beyond_curve(context)
    most = float(installed_pump(context.network).last_flow[0])
    if context.point.flow < _LEAST_FLOW * most:
        yield _near_shutoff(context, most)


def _no_flow(context: Context) -> Draft:
    network = context.network
    shut = list(
        dict.fromkeys(i for c in context.condensers for i in context.shut_parts_before(c.name))
    )
    if shut and not context.running_units:
        return draft(
            "no-flow",
            "danger",
            context.place(shut[0]),
            {"case": "shut", "parts": tuple(context.addresses[i] for i in shut)},
            partial(open_shut_parts, context, shut),
            basis=("geometry",),
        )
    outlets = {i for i, part in enumerate(network.parts) if isinstance(part, Discharge)}
    start, shutoff = network.start_head, context.point.shutoff_head
    lift = max(0.0, min(network.heights[i] for i in outlets)) - start
    needed, air = min(_at_no_flow(context, way) for _, way in network.paths())
    values: dict[str, Value | None] = {"lift": lift}
    if lift < shutoff and air > 0:
        values = {"case": "air", "needed": needed, "air": air}
    return draft(
        "no-flow",
        "danger",
        context.place(network.pump_index),
        {**values, "shutoff": shutoff, "pull": max(-start, 0.0) or None},
        partial(_start_flow, context, outlets),
    )


def _at_no_flow(context: Context, path: Sequence[int]) -> tuple[float, float]:
    """Head [m] that a path needs before any water flows, and the part of it lost to air."""
    network = context.network
    air = sum(leg.head_taken for leg in context.legs_on(path))
    return max(network.heights[path[-1]], 0.0) - network.start_head + air, air


def _start_flow(context: Context, outlets: set[int]) -> Iterator[Action]:
    """Ways to give every unit its need: turn the scoop, lower hose or discharge, fit a pump."""
    plan = Plan(context, ())
    yield from least_work_first(
        context.job,
        [
            (2, _scoop_first(context)),
            (2, reroute_lower(plan)),
            (3, evenly_led(context)),
            (4, lower_outlets(plan, outlets)),
            (15, _enough_pump(context)),
        ],
    )


def _scoop_first(context: Context) -> Iterator[Action]:
    """An aft-facing scoop turned, alone or with a stronger pump."""
    if context.network.start_head < 0:
        for turn in scoop_alternatives(context.addresses[0]):
            yield turn
            yield from stronger_pump(Plan(context, (turn,)))


def _enough_pump(context: Context) -> Iterator[Action]:
    """A pump rated for what the units need."""
    wanted = duty(context.network, context.flow_margin)
    if wanted is not None:
        for more in (1.0, 1.1, 1.25):
            yield rated(context, wanted[0] * more, wanted[1])


def _beyond_curve(context: Context) -> Draft:
    network, curve = context.network, context.network.pump.curve
    last = float(installed_pump(network).last_flow[0])
    return draft(
        "beyond-curve",
        "warning",
        context.place(network.pump_index),
        {"flow": context.point.flow, "pump": curve.name, "last": last},
        partial(_onto_curve, context, last),
    )


def _onto_curve(context: Context, last: float) -> Iterator[Action]:
    """No scoop; a valve that throttles the pump back onto its curve; or a pump for the need."""
    yield from flush_grate(context)
    held = limit_pump_flow(context.network, last)
    if not context.starved(held.line_low):
        valves = valve_actions(context, held.throttles)
        if valves is not None:
            yield valves
    yield from stronger_pump(Plan(context, ()))
    yield from _enough_pump(context)


def _near_shutoff(context: Context, most: float) -> Draft:
    network, flow = context.network, context.point.flow
    return draft(
        "near-shutoff",
        "warning",
        context.place(network.pump_index),
        {"pump": network.pump.curve.name, "flow": flow, "most": most, "share": flow / most},
        partial(_off_shutoff, context),
    )


def _off_shutoff(context: Context) -> Iterator[Action]:
    """Open the valves that throttle the pump, fit a smaller one, or both."""
    valves = [
        SetValve(context.addresses[index], 0.0)
        for index, part in enumerate(context.network.parts)
        if isinstance(part, Seacock) and not part.shut and part.open < 1
    ]
    if valves:
        yield together(valves)
    yield from smaller_pumps(Plan(context, ()))
    if valves:
        yield from smaller_pumps(Plan(context, tuple(valves)))


def _short(context: Context, unit: CondenserResult, fixes: Candidates) -> Draft:
    shut = context.shut_parts_before(unit.name)
    none = unit.flow <= TRICKLE * unit.needed_flow
    back = -unit.flow if unit.flow < -TRICKLE * unit.needed_flow else None
    short = 1 - unit.flow / unit.needed_flow
    values: dict[str, Value | None] = {"unit": unit.name, "needed": unit.needed_flow}
    if (shut and none) or back is not None:
        values |= {"case": "shut" if shut else "backwards", "back": back}
    else:
        values |= {
            "flow": unit.flow,
            "low": unit.flow_low,
            "high": unit.flow_high,
            "short": short if short >= _SHOWN else None,
        }
    values["part"] = context.addresses[shut[0]] if shut else None
    return draft("flow-short", "fault", Place(unit=unit.name), values, fixes)


def _marginal(unit: CondenserResult, fixes: Candidates) -> Draft:
    values: dict[str, Value | None] = {
        "unit": unit.name,
        "flow": unit.flow,
        "low": unit.flow_low,
        "needed": unit.needed_flow,
    }
    return draft("flow-marginal", "warning", Place(unit=unit.name), values, fixes)


def _at_rest(context: Context) -> Iterator[Draft]:
    """Units with enough only under way; candidates are those of the boat at rest."""
    resting = context.at_rest
    if resting is None:
        return
    for number, (unit, rest) in enumerate(zip(context.condensers, resting.condensers, strict=True)):
        if unit.flow_low < unit.needed_flow or rest.flow_low >= rest.needed_flow:
            continue
        short = rest.flow < rest.needed_flow
        values: dict[str, Value | None] = {
            "case": None if short else "marginal",
            "unit": unit.name,
            "flow": unit.flow,
            "speed": context.job.boat.speed,
            "rest": rest.flow,
            "low": rest.flow_low,
            "needed": unit.needed_flow,
        }
        yield draft(
            "at-rest-short",
            "fault" if short else "warning",
            Place(unit=unit.name),
            values,
            partial(more_flow, resting, number),
        )
