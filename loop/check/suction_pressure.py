"""Findings about pressure in the running water: cavitation at the pump, boiling anywhere."""

import math
from collections.abc import Iterator
from functools import partial

from loop.check.context import Context
from loop.check.drafts import Draft, draft
from loop.check.maintenance import maintenance
from loop.check.operating_results import npsh_heads
from loop.check.plan import Plan
from loop.check.pump_changes import stronger_pump
from loop.check.wider_hose import wider_hose
from loop.job import bores_above
from loop.margins.suction import NPSH_RATIO
from loop.parts import Hose
from loop.parts.step import narrower
from loop.seawater import ATMOSPHERE
from loop.words import Action
from loop.words.actions import MovePump, together
from loop.words.numbers import round_down

# Suction head [m] below which a pump with no stated requirement is doubtful: engineering estimate.
LEAST_UNKNOWN = 2.0


def pressure_findings(context: Context) -> Iterator[Draft]:
    """cavitation, boiling."""
    available, required = npsh_heads(context.point)
    unknown = math.isnan(required)
    asked = LEAST_UNKNOWN if unknown else NPSH_RATIO * required
    if available < asked:
        ratio = math.nan if unknown else available / required
        danger = ratio < 1
        yield draft(
            "cavitation",
            "danger" if danger else "warning",
            context.place(context.network.pump_index),
            {
                "case": "unknown" if unknown else None,
                "available": available,
                "required": LEAST_UNKNOWN if unknown else required,
                "ratio": None if unknown else ratio,
                "least": NPSH_RATIO,
                "more": asked - available,
            },
            partial(_against_cavitation, context, asked - available),
            basis=("npsh unknown", "vapor") if unknown else (),
        )
    yield from _boiling(context)


def _against_cavitation(context: Context, more: float) -> Iterator[Action]:
    """More suction head; or a pump that needs less, and serves the units as well."""
    yield from _more_suction_head(context, more)
    yield from stronger_pump(Plan(context, ()))


def _boiling(context: Context) -> Iterator[Draft]:
    """The part with the lowest absolute pressure at its end, if at or below vapor pressure."""
    network = context.network
    stations = context.point.stations
    limit = network.water.vapor_pressure - ATMOSPHERE
    running = [i for i, station in enumerate(stations) if station.flow != 0]
    lowest = min(running, key=lambda i: stations[i].gauge_pressure)
    if stations[lowest].gauge_pressure <= limit:
        yield draft(
            "boiling",
            "danger",
            context.place(lowest),
            {"part": context.addresses[lowest], "gauge": limit},
            partial(_more_suction_head, context, 0.0),
        )


def _more_suction_head(context: Context, more: float) -> Iterator[Action]:
    """Clean and open the suction; wider suction hose; the pump lower by what is missing."""
    plan = maintenance(context, context.shortest_unit).of_kinds(
        "clean-strainer", "set-valve", "clean-grate"
    )
    if plan.steps:
        yield plan.followed_by()
    network = context.network
    hoses = {
        i: part.inner_bore
        for i, part in enumerate(network.parts)
        if isinstance(part, Hose) and i < network.pump_index
    }
    wider = [
        wider_hose(context, [i for i, own in hoses.items() if narrower(own, bore)], bore)
        for bore in bores_above(min(hoses.values(), default=math.inf))[:3]
    ]
    yield from wider
    height = network.heights[network.pump_index]
    lower = MovePump(
        context.pump_address, round_down(height - 1.1 * more, "height", context.job.units)
    )
    if more > 0:
        yield lower
        for wide in wider[:2]:
            yield together([wide, lower])
