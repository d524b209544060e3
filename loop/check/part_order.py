"""Findings about parts that are missing or in the wrong place, and hose bent too tight."""

import math
from collections.abc import Iterator
from functools import partial

from loop.check.context import Context
from loop.check.drafts import Draft, draft, fixed_candidates
from loop.check.excessive_losses import STRAINER_LOSS, strainer_flow
from loop.check.plan import Plan
from loop.check.pump_changes import one_pump
from loop.check.self_priming import shut_in_findings
from loop.check.through_hulls import seacock_findings
from loop.hydraulics import Network
from loop.parts import CheckValve, Condenser, Hose, Part, Strainer, Tee
from loop.parts.hose import BARB_LENGTH, BEND_BORES
from loop.words.actions import Action, FitPart, MovePart, RemovePart, together

# Length in bores of a hose with two barbed ends below which its ends meet: engineering estimate.
_SHORTEST = 3.0
# Bend radius in bores below which wire-reinforced hose kinks: engineering estimate; makers ask for
# 3 to 6.
_KINKS = 2.0


def order_findings(context: Context) -> Iterator[Draft]:
    """seacock-missing, strainer-missing, strainer-after-pump, part-order, tee-open, hose-…."""
    yield from seacock_findings(context)
    yield from _strainers(context)
    yield from _wrong_place(context)
    yield from shut_in_findings(context)
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
        after = MovePart(address, context.pump_address)
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
            # What is pushed over a barb stays straight.
            straight = part.barbs * BARB_LENGTH * part.barb
            fits = max(part.length - straight, 0.0) / sum(part.sweeps)
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
