"""Findings about parts that are missing or in the wrong place, and hose bent too tight."""

import math
from collections.abc import Iterator, Sequence
from functools import partial

from loop.check.context import Context
from loop.check.drafts import Draft, draft, fixed_candidates
from loop.check.excessive_losses import STRAINER_LOSS, strainer_flow
from loop.check.job_changes import Plan, pump_address
from loop.check.pump_changes import one_pump
from loop.check.through_hulls import seacock_findings
from loop.hydraulics import Network
from loop.hydraulics.line_profile import Point, Profile, profiles
from loop.margins.suction import priming_reach, surely_primes
from loop.parts import CheckValve, Condenser, Hose, Part, Strainer, Tee
from loop.parts.hose import BEND_BORES
from loop.words.actions import Action, FitPart, MovePart, RemovePart, SetHeights, together
from loop.words.numbers import round_up

# Length in bores of a hose with two barbed ends below which its ends meet: engineering estimate.
_SHORTEST = 3.0
# Rise [m] after a check valve whose water a self-priming pump cannot lift with its air: engineering
# estimate, a hand's breadth.
_COLUMN = 0.1
# Bend radius in bores below which wire-reinforced hose kinks: engineering estimate; makers ask for
# 3 to 6.
_KINKS = 2.0


def order_findings(context: Context) -> Iterator[Draft]:
    """seacock-missing, strainer-missing, strainer-after-pump, part-order, tee-open, hose-…."""
    yield from seacock_findings(context)
    yield from _strainers(context)
    yield from _wrong_place(context)
    yield from _shut_in(context)
    yield from _tees(context)
    yield from _hoses(context)


def _strainers(context: Context) -> Iterator[Draft]:
    """One fix for a pump without a strainer before it: no strainer is bought where one moves."""
    network, pump = context.network, context.network.pump_index
    found = [i for i, part in enumerate(network.parts) if isinstance(part, Strainer)]
    late = [i for i in found if i > pump]
    to = context.addresses[pump - 1]
    flow, bore = strainer_flow(context), network.parts[pump - 1].inner_bore
    fit = FitPart(to, "strainer", bore, STRAINER_LOSS, flow)
    if not found:
        at = context.place(pump)
        yield draft("strainer-missing", "warning", at, {}, fixed_candidates(fit))
    out = [RemovePart(context.addresses[index]) for index in late]
    for index, remove in zip(late, out, strict=True):
        ways: list[Action] = [MovePart(remove.part, to)]
        if len(late) < len(found):  # it only costs head
            ways.insert(0, remove)
        elif len(late) > 1:  # one for all branches, of a size for all their water
            ways.insert(0, together([fit, *out]))
        yield draft(
            "strainer-after-pump",
            "warning",
            context.place(index),
            {"part": remove.part},
            fixed_candidates(*ways),
        )


def _wrong_place(context: Context) -> Iterator[Draft]:
    network, pump = context.network, context.network.pump
    for index, part in enumerate(network.parts[: network.pump_index]):
        case = _before_pump(part, pump.curve.self_priming)
        if case is None:
            continue
        address = context.addresses[index]
        after = MovePart(address, pump_address(context))
        ways = [after] if isinstance(part, Condenser) else [RemovePart(address), after]
        yield draft(
            "part-order",
            "warning",
            context.place(index),
            {"case": case or None, "part": address},
            fixed_candidates(*ways),
        )
    if pump.count > 1:
        case = "pumps-in-line" if pump.arrangement == "series" else "pumps-side-by-side"
        at = context.place(network.pump_index)
        yield draft(
            "part-order",
            "note",
            at,
            {"case": case, "count": float(pump.count)},
            partial(one_pump, Plan(context, ())),
        )


def _shut_in(context: Context) -> Iterator[Draft]:
    """part-order, of what holds water over a pump above the sea that has air to blow out."""
    network, pump = context.network, context.network.pump_index
    above = network.heights[pump] + context.job.boat.light_rise
    if above <= 0 or not network.pump.curve.self_priming:
        return
    yield from _dip_after_pump(context, above)
    for index, part in enumerate(network.parts):
        if not isinstance(part, CheckValve) or index < pump:
            continue
        ways = [way for _, way in network.paths() if index in way]
        column = min(_highest_after(network, way, index) for way in ways) - network.heights[index]
        if column > _COLUMN:
            address = context.addresses[index]
            yield draft(
                "part-order",
                "warning",
                context.place(index),
                {"case": "shut-in", "part": address, "column": column},
                fixed_candidates(RemovePart(address)),
            )


def _dip_after_pump(context: Context, above: float) -> Iterator[Draft]:
    """The low point whose water such a pump must push over the next high point before it primes.

    On the way on which that takes least. With the suction's lift it is more than such pumps surely
    manage. A check valve before the pump keeps it full.
    """
    pump = context.network.pump
    if any(isinstance(p, CheckValve) for p in context.network.parts[: context.network.pump_index]):
        return
    column, level, low = min(
        (_deepest_dip(way) for _, way in profiles(context.network)), key=lambda dip: dip[0]
    )
    if low is None or column <= _COLUMN or above + column <= surely_primes(pump):
        return
    address = context.addresses[low.part]
    raised = SetHeights(address, ((low.along, round_up(level, "height", context.job.units)),))
    yield draft(
        "part-order",
        "danger" if above + column > priming_reach(pump) else "warning",
        context.place(low.part, low.along),
        {"case": "dip", "part": address, "column": column, "height": above},
        fixed_candidates(raised),
    )


def _deepest_dip(way: Profile) -> tuple[float, float, Point | None]:
    """The most water that a low point after the pump holds in the way of air.

    Head of it [m] over that point, the level [m] in its two arms while the pump stands, and the
    point; None if there is none. Air pushes the water of one arm up in the other.
    """
    points = way.points[way.pump :]
    heights = [point.height for point in points]
    dips: list[tuple[float, float, Point | None]] = [(0.0, 0.0, None)]
    for at in range(1, len(points) - 1):
        low, crest = heights[at], max(heights[at:])
        level = min(max(heights[: at + 1]), crest)
        dips.append((min(2 * level - low, crest) - low, level, points[at]))
    return max(dips, key=lambda dip: dip[0])


def _highest_after(network: Network, path: Sequence[int], after: int) -> float:
    """Height [m] of the highest point of a way past one of its parts."""
    parts = [network.parts[index] for index in path if index > after]
    hoses = (part.points for part in parts if isinstance(part, Hose))
    return max((height for points in hoses for _, height in points), default=-math.inf)


def _tees(context: Context) -> Iterator[Draft]:
    """Tees from which others draw, or may: that flow is not included."""
    network = context.network
    for index, part in enumerate(network.parts):
        if not isinstance(part, Tee) or part.side == "capped":
            continue
        before, used = index < network.pump_index, part.side == "in use"
        where = "" if before else "after" if _feeds_unit(network, index) else "drain"
        cases = [word for word in (where, "used" if used else "") if word]
        yield draft(
            "tee-open",
            "warning" if before or used else "note",
            context.place(index),
            {"case": "-".join(cases) or None, "part": context.addresses[index]},
        )


def _feeds_unit(network: Network, index: int) -> bool:
    """Whether any unit gets its water past a part."""
    ways = [way for _, way in network.paths() if index in way]
    after = {i for way in ways for i in way if i > index}
    return any(isinstance(network.parts[i], Condenser) for i in after)


def _hoses(context: Context) -> Iterator[Draft]:
    for index, part in enumerate(context.network.parts):
        if isinstance(part, Hose) and part.barbs and part.length < _SHORTEST * part.inner_bore:
            yield draft(
                "hose-short",
                "warning",
                context.place(index),
                {"part": context.addresses[index], "length": part.length},
            )
        if isinstance(part, Hose) and part.sweeps:
            stated, bore = part.bend_radius or math.inf, part.inner_bore
            fits = part.length / sum(part.sweeps)
            radius = min(stated, fits)
            if radius < _KINKS * bore * (1 - 1e-9):
                yield draft(
                    "hose-kinked",
                    "warning",
                    context.place(index),
                    {
                        "case": "short" if fits < stated else None,
                        "part": context.addresses[index],
                        "radius": radius,
                        "times": radius / bore,
                        "least": BEND_BORES * bore,
                    },
                )


def _before_pump(part: Part, self_priming: bool) -> str | None:
    """Why a part should not be before the pump: the case, "" for the code's own text; or None."""
    match part:
        case CheckValve():
            return None if self_priming else ""
        case Condenser():
            return "unit-in-suction"
        case _:
            return None
