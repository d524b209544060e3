"""Topics of flow: the pump's box, hoses and their ends, the strainer, branches, a meter."""

from collections.abc import Mapping
from dataclasses import replace

import numpy as np

from loop.hydraulics import OperatingPoint, Station, solve
from loop.job import TRADE_BORES, Job
from loop.parts.hose import BARB_OVER_HOSE, Hose
from loop.teach.quiz.question import shown
from loop.teach.quiz.sketch import Sketch, Table, feet, hose, inches, series, told, unit
from loop.teach.quiz.topic import Asked, Draw, Picked, Shape, Topic, by_bucket
from loop.units import System, show


def station(point: OperatingPoint, label: str) -> Station:
    """The water at the far end of the part of this label."""
    return next(one for one in point.stations if one.label == label)


def _share(part: float, whole: float, system: System) -> str:
    return show(part / whole, "ratio", system)


def one_hose(draw: Draw) -> Asked | None:
    """The flow after one hose is changed for a larger bore."""
    rng, system = draw.rng, draw.system
    sketch = series(rng, system)
    name = str(rng.choice(["suction hose", "supply hose", "return hose"]))
    old = TRADE_BORES.index(min(TRADE_BORES, key=lambda bore: abs(bore - sketch.bore)))
    new = TRADE_BORES[old + int(rng.integers(1, 3))]
    before, job = solve(sketch.job), sketch.put({f"{name}.bore": new}).job
    return Asked(
        job,
        solve(job).flow,
        before.flow * (new / sketch.bore) ** 2,
        "flow",
        {
            "loop": told(sketch.job),
            "before": show(before.flow, "flow", system),
            "hose": name,
            "old": show(sketch.bore, "bore", system),
            "new": show(new, "bore", system),
            "share": _share(station(before, name).head_loss, before.pump_head, system),
        },
    )


def _box(draw: Draw) -> Asked | None:
    job = series(draw.rng, draw.system).job
    point = solve(job)
    box = point.network.pump.curve.last_flow
    return Asked(
        job,
        point.flow,
        box,
        "flow",
        {
            "loop": told(job),
            "box": show(box, "flow", draw.system),
            "head": show(point.pump_head, "head", draw.system),
            "flow": show(point.flow, "flow", draw.system),
        },
    )


# What may take the most: each with what makes it so, and the range from which that is drawn.
_CULPRITS = (
    ("strainer", "strainer.blocked", (0.6, 0.85)),
    ("unit", "unit.loss", (2.5, 6.0)),
    ("outlet valve", "outlet valve.open", (0.4, 0.62)),
    ("pump hose", "pump hose.barb_bore", (0.4, 0.52)),
)
# How much more than the next the part to blame must take.
_CLEARLY = 1.15


def _blame(draw: Draw) -> Picked | None:
    rng, system = draw.rng, draw.system
    long = str(rng.choice(["supply hose", "return hose"]))
    sketch = series(rng, system).after("unit", "outlet valve", {"kind": "seacock"})
    name, address, (low, high) = _CULPRITS[draw.below]
    value = _made_so(address, float(rng.uniform(low, high)), sketch)
    job = sketch.put({f"{long}.length": feet(rng.integers(20, 33), system), address: value}).job
    point = solve(job)
    names = (long, *(culprit for culprit, _, _ in _CULPRITS))
    lost = {one: station(point, one).head_loss for one in names}
    if point.flow <= 0 or any(lost[name] < _CLEARLY * lost[one] for one in names if one != name):
        return None
    facts = {
        "loop": _with_details(job),
        "long": long,
        "most": show(lost[name], "head", system, 2),
        "less": show(lost[long], "head", system, 2),
    }
    texts = tuple(f"the {one}" for one in names)
    return Picked(job, texts, names.index(name), 0, facts)


def _made_so(address: str, drawn: float, sketch: Sketch) -> float | str:
    """The value that makes a part to blame, as a person would measure it."""
    match address:
        case "unit.loss":
            us = sketch.system == "us"
            return f"{drawn:.1f} psi at 240 gal/h" if us else f"{7 * drawn:.0f} kPa at 15 L/min"
        case "pump hose.barb_bore":
            return drawn * sketch.bore
        case "outlet valve.open":
            return round(90 * drawn / 5) * 5 / 90
    return round(drawn, 1)


def _with_details(job: Job) -> str:
    """The loop in words, with what makers and a look at it say."""
    words = told(job)
    for part in job.part:
        if isinstance(part, Hose) and part.barb_bore:
            size = show(part.barb_bore, "bore", job.units)
            words = words.replace(f"{part.label} ", f"{part.label} (barbs of {size} bore) ", 1)
    rated = next(part for part in job.part if part.kind == "condenser").loss[0]
    drop, flow = show(rated.drop, "pressure", job.units), show(rated.flow, "flow", job.units)
    return words.replace(", unit,", f", unit (its maker says {drop} at {flow}),", 1)


def _ends_head(draw: Draw) -> Asked | None:
    rng, system = draw.rng, draw.system
    name, ends = str(rng.choice(["supply hose", "return hose"])), int(rng.choice([2, 4, 6]))
    job = series(rng, system).put({f"{name}.barbs": ends}).job
    point = solve(job)
    at = station(point, name)
    part = next(one for one in job.part if one.label == name)
    assert isinstance(part, Hose)
    bare = part.model_copy(update={"barbs": 0}).head_loss(at.flow, point.network.water)
    return Asked(
        job,
        at.head_loss,
        bare,
        "head",
        {
            "loop": told(job),
            "hose": name,
            "ends": str(ends),
            "ratio": show(BARB_OVER_HOSE, "ratio", system),
            "flow": show(at.flow, "flow", system),
            "friction": shown(bare, "head", system),
            "ends_head": shown(at.head_loss - bare, "head", system),
        },
    )


def _barbed(draw: Draw) -> Asked | None:
    system, each = draw.system, int(draw.rng.integers(2, 5))
    sketch = series(draw.rng, system)
    hoses = [label for label, table in sketch.parts.items() if table["kind"] == "hose"]
    plain = sketch.put({f"{label}.barbs": 0 for label in hoses}).job
    job = sketch.put({f"{label}.barbs": each for label in hoses}).job
    before, after = solve(plain), solve(job)
    part, water = next(one for one in job.part if isinstance(one, Hose)), after.network.water
    bare = part.model_copy(update={"barbs": 0}).head_loss(after.flow, water)
    worth = (part.head_loss(after.flow, water) - bare) / each / (bare / part.length)
    return Asked(
        job,
        after.flow,
        before.flow,
        "flow",
        {
            "loop": told(plain),
            "before": show(before.flow, "flow", system),
            "each": str(each),
            "ratio": show(BARB_OVER_HOSE, "ratio", system),
            "worth": show(worth, "length", system),
            "count": str(each * len(hoses)),
        },
    )


def _strainer(draw: Draw) -> Asked | None:
    system = draw.system
    sketch = series(draw.rng, system)
    blocked = float(draw.rng.integers(10, 18)) / 20
    before, job = solve(sketch.job), sketch.put({"strainer.blocked": blocked}).job
    after = solve(job)
    return Asked(
        job,
        after.flow,
        before.flow,
        "flow",
        {
            "loop": told(sketch.job),
            "before": show(before.flow, "flow", system),
            "blocked": show(blocked, "ratio", system),
            "clean": show(station(before, "strainer").head_loss, "head", system, 2),
            "dirty": show(station(after, "strainer").head_loss, "head", system, 2),
            "times": f"{1 / (1 - blocked):.2g}",
        },
    )


def _branches(rng: np.random.Generator, system: System) -> Sketch:
    """A loop of two units side by side, on lines of unlike length."""
    base = series(rng, system, {"demo-ac-700": 0.0254, "demo-ac-1000": 0.0254,
                                "demo-ac-500": 0.01905})  # fmt: skip
    short, long = int(rng.integers(3, 8)), int(rng.integers(10, 30))
    lengths = (short, long) if rng.random() < 0.5 else (long, short)
    bores = [float(rng.choice([0.0127, 0.015875, 0.01905])) for _ in lengths]
    ways = []
    for name, length, bore in zip(("forward", "aft"), lengths, bores, strict=True):
        there = {**hose(length, 2, system), "bore": bore, "label": f"{name} hose"}
        passed = {**unit(rng, name, system), "bore": bore, "label": f"{name} unit"}
        back = {**hose(2, 3, system), "bore": bore, "label": f"{name} return"}
        ways.append({"name": name, "part": [there, passed, back]})
    manifold: Table = {"kind": "manifold", "branch": ways}
    sketch = base.without("unit").after("supply hose", "manifold", manifold)
    return sketch.put({"supply hose.to": inches(0, system), "return hose.to": inches(4, system),
                       "discharge.height": inches(4, system)})  # fmt: skip


def _second(draw: Draw) -> Asked | None:
    rng, system = draw.rng, draw.system
    sketch = _branches(rng, system)
    point = solve(sketch.job)
    first, second = ("forward", "aft") if rng.random() < 0.5 else ("aft", "forward")
    need = point.flow * float(rng.integers(6, 17)) / 20
    network = point.network
    got, right = (point.part_flow(network.condenser_part(name))[0] for name in (first, second))
    return Asked(
        replace(sketch, needs={first: need}).job,
        right,
        point.flow - need,
        "flow",
        {
            "loop": told(sketch.job),
            "whole": show(point.flow, "flow", system),
            "first": first,
            "second": second,
            "need": show(need, "flow", system),
            "got": show(got, "flow", system),
        },
    )


def _used_up(draw: Draw, out: bool) -> Asked | None:
    rng, system = draw.rng, draw.system
    job = series(rng, system).job
    point = solve(job)
    part = str(rng.choice(["unit", "supply hose", "return hose", "strainer"]))
    share = station(point, part).head_loss / point.pump_head
    return Asked(
        job,
        point.flow,
        point.flow * (1 - share) if out else point.flow / (1 - share),
        "flow",
        {
            "loop": told(job),
            "known": show(point.flow, "flow", system),
            "part": part,
            "share": show(share, "ratio", system),
        },
    )


FLOW_TOPICS: Mapping[str, Topic] = {
    topic.name: topic
    for topic in (
        Topic("box-number", (Shape("flow", True, _box), Shape("bucket", False, by_bucket(_box)))),
        Topic("long-hose", (Shape("part", True, _blame),)),
        Topic("ends", (Shape("head", False, _ends_head), Shape("barbed", True, _barbed))),
        Topic(
            "strainer-full",
            (Shape("flow", True, _strainer), Shape("bucket", False, by_bucket(_strainer))),
        ),
        Topic("second-unit", (Shape("more", True, _second), Shape("less", False, _second))),
        Topic(
            "used-up",
            (
                Shape("out", False, lambda draw: _used_up(draw, True)),
                Shape("in", True, lambda draw: _used_up(draw, False)),
            ),
        ),
    )
}
