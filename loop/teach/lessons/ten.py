"""The ten lessons: which loop, which changes, which figures, and what their words rest on."""

import math
from collections.abc import Callable

from loop.air.air_paths import Crest
from loop.check import CheckResult
from loop.hydraulics import Station
from loop.job import Edit, Insert, Put, Remove
from loop.parts import Hose
from loop.teach.lessons.lesson import Change, Claim, Lesson, Measure
from loop.teach.words.lessons import LEG


def _at(result: CheckResult, label: str) -> Station:
    return next(station for station in result.point.stations if station.label == label)


def _lost(label: str) -> Callable[[CheckResult], float]:
    return lambda result: _at(result, label).head_loss


def _flow(result: CheckResult) -> float:
    return result.condensers[0].flow


def _gauge(result: CheckResult) -> float:
    return result.point.stations[result.point.network.pump_index].gauge_pressure


def _spent_outside(result: CheckResult) -> float:
    """The pump's head less the lift: what all the parts take."""
    return sum(s.head_loss for s in result.point.stations if s.kind != "pump")


def _ends(result: CheckResult) -> float:
    """Head that the barbed ends take, all together."""
    network, water = result.point.network, result.point.network.water
    return sum(
        station.head_loss
        - part.model_copy(update={"barbs": 0}).head_loss(station.flow, water)
        * result.job.fitted.loss
        for part, station in zip(network.parts, result.point.stations, strict=True)
        if isinstance(part, Hose)
    )


def _high(result: CheckResult) -> Crest | None:
    """The first high point on the pressure side from which air must be carried down."""
    crests = [c for path in result.air for c in path.crests if c.side == "pressure"]
    return crests[0] if crests else None


def _leg(result: CheckResult) -> str:
    """What the first falling leg does."""
    return LEG[result.point.legs[0].state] if result.point.legs else "no falling leg"


def _high_gauge(result: CheckResult) -> float:
    crest = _high(result)
    return math.nan if crest is None else crest.gauge_pressure


FLOW = Measure("flow", "flow", _flow)
HEAD = Measure("head", "head", lambda result: result.pump.head)
GAUGE = Measure("gauge", "pressure", _gauge)
INLET = Measure("inlet", "pressure", lambda result: result.point.pump_inlet.gauge_pressure)
START = Measure("start", "head", lambda result: result.pump.start_head)
SHUTOFF = Measure("shutoff", "head", lambda result: result.pump.shutoff_head)
NPSH = Measure("npsh", "head", lambda result: result.pump.npsh_available)
CONDENSING = Measure("condensing", "temperature",
                     lambda result: result.condensers[0].condensing_temperature)  # fmt: skip
VERDICT = Measure("verdict", "", lambda result: result.verdict)
AIR = Measure("air", "", _leg)
HIGH_GAUGE = Measure("high_gauge", "pressure", _high_gauge)
BOX = Measure("box", "flow", lambda result: result.point.network.pump.curve.last_flow)
ENDS = Measure("ends", "head", _ends)
UNIT = Measure("unit", "head", _lost("unit"))
LONG = Measure("long", "head", _lost("supply hose"))
STRAINER = Measure("strainer", "head", _lost("strainer"))
LOST = Measure("lost", "head", _spent_outside)


def _all_hoses(field: str, value: object) -> tuple[Edit, ...]:
    labels = ("suction hose", "pump hose", "supply hose", "return hose")
    return tuple(Put(f"{label}.{field}", value) for label in labels)


def _within(value: float, *edges: float) -> int:
    """Between which of these rising edges a value lies, from 0."""
    return sum(value > edge for edge in edges)


_STRAINER = {"kind": "strainer", "label": "strainer", "loss": "0.4 psi at 300 gal/h",
             "blocked": "70 %"}  # fmt: skip

LESSONS: tuple[Lesson, ...] = (
    Lesson(
        1,
        "01-the-box.toml",
        "box-number",
        (FLOW, HEAD, BOX, SHUTOFF),
        (
            Change("larger", (Put("pump.curve", "demo-ac-350"),)),
            Change("easier", (Put("unit.loss", "0.8 psi at 240 gal/h"),)),
        ),
        lambda found: _within(_flow(found[0]) / BOX.read(found[0]), 0.8, 0.95),
        (
            Claim(1, "more", 0, "flow"),
            Claim(1, "more", 0, "head"),
            Claim(2, "more", 0, "flow"),
            Claim(2, "less", 0, "head"),
        ),
        with_curve=True,
    ),
    Lesson(
        2,
        "02-the-head.toml",
        "long-hose",
        (FLOW, UNIT, LONG, ENDS, STRAINER),
        (
            Change("shorter", (Put("supply hose.length", "12 ft"),)),
            Change("easier", (Put("unit.loss", "1.1 psi at 240 gal/h"),)),
        ),
        lambda found: max(
            range(3),
            key=lambda i: (LONG.read(found[0]), UNIT.read(found[0]), ENDS.read(found[0]))[i],
        ),
        (
            Claim(1, "more", 0, "flow"),
            Claim(2, "more", 1, "flow"),
            Claim(1, "less", 0, "long"),
            Claim(2, "less", 0, "unit"),
        ),
    ),
    Lesson(
        3,
        "03-the-ends.toml",
        "ends",
        (FLOW, ENDS, LOST, HEAD),
        (
            Change("fewer", (Put("supply hose.barbs", 2), Put("return hose.barbs", 2))),
            Change("full-bore", _all_hoses("barb_bore", "5/8 in")),
        ),
        lambda found: _within(ENDS.read(found[0]) / LOST.read(found[0]), 0.1, 0.25),
        (
            Claim(1, "more", 0, "flow"),
            Claim(2, "more", 1, "flow"),
            Claim(1, "less", 0, "ends"),
            Claim(2, "less", 1, "ends"),
        ),
    ),
    Lesson(
        4,
        "04-hose-size.toml",
        "bigger-hose",
        (FLOW, AIR, VERDICT),
        (
            Change("narrow", (Put("falling hose.bore", "1/2 in"),)),
            Change("wide", (Put("falling hose.bore", "1 in"),)),
            Change("widest", (Put("falling hose.bore", "1-1/2 in"),)),
        ),
        lambda found: 0 if AIR.read(found[3]) != LEG["full"] else 1,
        (Claim(1, "less", 0, "flow"), Claim(3, "less", 0, "flow")),
        with_line=True,
    ),
    Lesson(
        5,
        "05-when-to-clean.toml",
        "strainer-full",
        (FLOW, STRAINER, CONDENSING),
        (
            Change("quarter", (Put("strainer.blocked", "25 %"),)),
            Change("half", (Put("strainer.blocked", "50 %"),)),
            Change("most", (Put("strainer.blocked", "75 %"),)),
            Change("nearly", (Put("strainer.blocked", "90 %"),)),
        ),
        lambda found: _within(found[0].condensers[0].clean_at, 0.6, 0.9),
        (
            Claim(1, "same", 0, "flow"),
            Claim(4, "less", 3, "flow"),
            Claim(4, "more", 0, "condensing"),
        ),
    ),
    Lesson(
        6,
        "06-strainer-place.toml",
        "suction",
        (FLOW, INLET, NPSH),
        (Change("after", (Remove("strainer"), Insert("part[7]", _STRAINER))),),
        lambda found: 1 if abs(_flow(found[1]) / _flow(found[0]) - 1) < 0.03 else 0,
        (Claim(1, "same", 0, "flow"), Claim(1, "more", 0, "npsh"), Claim(1, "more", 0, "inlet")),
    ),
    Lesson(
        7,
        "07-a-higher-unit.toml",
        "higher-unit",
        (FLOW, START, AIR),
        (
            Change("raised", (Put("supply hose.to", "36 in"),)),
            Change("wide", (Put("supply hose.to", "36 in"), Put("return hose.bore", "1-1/2 in"))),
        ),
        lambda found: _within(_flow(found[1]) / _flow(found[0]), 0.85, 0.97),
        (
            Claim(1, "same", 0, "flow"),
            Claim(1, "more", 0, "start"),
            Claim(2, "less", 1, "flow"),
        ),
        with_line=True,
    ),
    Lesson(
        8,
        "08-the-bleed.toml",
        "bleed-place",
        (FLOW, AIR, START, SHUTOFF, HIGH_GAUGE),
        (
            Change("low", (Insert("part[10]", {"kind": "bleed", "label": "new bleed"}),)),
            Change("high", (Insert("part[9]", {"kind": "bleed", "label": "new bleed"}),)),
        ),
        lambda found: 0 if _flow(found[2]) > _flow(found[1]) else 1,
        (
            Claim(1, "same", 0, "start"),
            Claim(2, "less", 0, "start"),
            Claim(1, "same", 0, "flow"),
            Claim(2, "more", 0, "flow"),
        ),
        with_line=True,
    ),
    Lesson(
        9,
        "09-low-volts.toml",
        "voltage",
        (FLOW, HEAD, SHUTOFF),
        (
            Change("dc-low", (Put("pump.supply", "10.5 V"),)),
            Change("ac", (Put("pump.curve", "demo-ac-250"),)),
            Change("ac-low", (Put("pump.curve", "demo-ac-250"), Put("pump.supply", "105 V"))),
        ),
        lambda found: (
            0
            if _flow(found[1]) < 0.97 * _flow(found[0]) and _flow(found[3]) > 0.97 * _flow(found[2])
            else 1
        ),
        (
            Claim(1, "less", 0, "flow"),
            Claim(1, "less", 0, "shutoff"),
            Claim(3, "same", 2, "flow"),
        ),
    ),
    Lesson(
        10,
        "10-the-gauge.toml",
        "gauge",
        (FLOW, GAUGE, INLET),
        (
            Change("valve", (Put("outlet valve.open", "50 %"),)),
            Change("strainer", (Put("strainer.blocked", "85 %"),)),
        ),
        lambda found: 1 if _gauge(found[1]) > _gauge(found[0]) > _gauge(found[2]) else 0,
        (
            Claim(1, "less", 0, "flow"),
            Claim(2, "less", 0, "flow"),
            Claim(1, "more", 0, "gauge"),
            Claim(2, "less", 0, "gauge"),
            Claim(2, "less", 0, "inlet"),
        ),
    ),
)
