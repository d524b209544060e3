"""Topics of flow: the pump's box, hoses and their ends, the strainer, branches, a meter."""

from dataclasses import replace

import numpy as np

from loop.hydraulics import solve
from loop.job import TRADE_BORES
from loop.parts.hose import BARB_OVER_HOSE, Hose
from loop.parts.strainer import BASKET_SHARE
from loop.teach.quiz.sketch import Sketch, Table, feet, hose, inches, loop_text, series, unit
from loop.teach.quiz.topic import (
    Draw,
    Form,
    ItemAsked,
    NumberAsked,
    Topic,
    bucket_time,
    by_bucket,
    flow_after,
    station,
    topics,
)
from loop.units import System
from loop.words.course import SAY
from loop.words.template import Facts


def one_hose(draw: Draw) -> NumberAsked:
    """The flow after one hose is replaced by a larger bore."""
    sketch = series(draw.rng, draw.system)
    name = str(draw.rng.choice(["suction hose", "supply hose", "return hose"]))
    old = TRADE_BORES.index(min(TRADE_BORES, key=lambda bore: abs(bore - sketch.bore)))
    new = TRADE_BORES[old + int(draw.rng.integers(1, 3))]
    before = solve(sketch.job)
    head_share = station(before, name).head_loss / before.pump_head
    facts: Facts = {"hose": name, "old": sketch.bore, "new": new, "share": head_share}
    wider = before.flow * (new / sketch.bore) ** 2
    job = sketch.put({f"{name}.bore": new}).job
    return flow_after(sketch, before, job, wider, facts)


def _box_flow(draw: Draw) -> NumberAsked:
    job = series(draw.rng, draw.system).job
    point = solve(job)
    box = point.network.pump.curve.last_flow
    facts: Facts = {"box": box, "head": point.pump_head, "gives": point.flow}
    return NumberAsked(job, point.flow, box, "flow", facts)


# Parts that may lose the most head: each with the key that makes it so, and the key's range.
_CULPRITS = (
    ("strainer", "strainer.blocked", (0.6, 0.85)),
    ("unit", "unit.loss", (2.5, 6.0)),
    ("outlet valve", "outlet valve.open", (0.4, 0.62)),
    ("pump hose", "pump hose.barb_bore", (0.4, 0.52)),
)
# Least ratio of the blamed part's head loss to the next.
_CLEARLY = 1.15


def _largest_loss(draw: Draw) -> ItemAsked | None:
    rng, system = draw.rng, draw.system
    long = str(rng.choice(["supply hose", "return hose"]))
    sketch = series(rng, system).after("unit", "outlet valve", {"kind": "seacock"})
    name, address, (low, high) = _CULPRITS[draw.below]
    value = _culprit_value(address, float(rng.uniform(low, high)), sketch)
    job = sketch.put({f"{long}.length": feet(rng.integers(20, 33), system), address: value}).job
    point = solve(job)
    names = (long, *(culprit for culprit, _, _ in _CULPRITS))
    lost = {one: station(point, one).head_loss for one in names}
    if point.flow <= 0 or any(lost[name] < _CLEARLY * lost[one] for one in names if one != name):
        return None
    facts: Facts = {"loop": loop_text(job, details=True), "most": lost[name], "less": lost[long]}
    texts = tuple(SAY("quiz-the", part=one) for one in names)
    return ItemAsked(job, texts, names.index(name), 0, {**facts, "long": long})


def _culprit_value(address: str, drawn: float, sketch: Sketch) -> float | str:
    """The value that makes a part to blame, rounded as a person would measure it."""
    match address:
        case "unit.loss":
            us = sketch.system == "us"
            return f"{drawn:.1f} psi at 240 gal/h" if us else f"{7 * drawn:.0f} kPa at 15 L/min"
        case "pump hose.barb_bore":
            return drawn * sketch.bore
        case "outlet valve.open":
            return round(90 * drawn / 5) * 5 / 90
    return round(drawn, 1)


def _barb_head(draw: Draw) -> NumberAsked | None:
    rng, system = draw.rng, draw.system
    name, ends = str(rng.choice(["supply hose", "return hose"])), int(rng.choice([2, 4, 6]))
    job = series(rng, system).put({f"{name}.barbs": ends}).job
    point = solve(job)
    at = station(point, name)
    part = next(one for one in job.part if one.label == name)
    assert isinstance(part, Hose)
    bare = part.model_copy(update={"barbs": 0}).head_loss(at.flow, point.network.water)
    facts: Facts = {"hose": name, "ends": str(ends), "ratio": BARB_OVER_HOSE, "flow": at.flow}
    facts = {**facts, "friction": bare, "ends_head": at.head_loss - bare}
    return NumberAsked(job, at.head_loss, bare, "head", facts)


# Bore of narrow barbs relative to their hose: engineering estimate, below the common 0.8.
_NARROW = 0.65


def _flow_with_barbs(draw: Draw) -> NumberAsked:
    each = int(draw.rng.integers(2, 5))
    sketch = series(draw.rng, draw.system)
    hoses = [label for label, table in sketch.parts.items() if table["kind"] == "hose"]
    plain = sketch.put({f"{label}.barbs": 0 for label in hoses})
    narrow = {f"{label}.barb_bore": _NARROW * sketch.bore for label in hoses}
    job = sketch.put({f"{label}.barbs": each for label in hoses} | narrow).job
    part, flow = next(one for one in job.part if isinstance(one, Hose)), solve(job).flow
    bare = part.model_copy(update={"barbs": 0}).head_loss(flow, job.water.properties)
    worth = (part.head_loss(flow, job.water.properties) - bare) / each / (bare / part.length)
    facts: Facts = {"each": str(each), "ratio": _NARROW, "worth": worth}
    before, count = solve(plain.job), str(each * len(hoses))
    return flow_after(plain, before, job, before.flow, {**facts, "count": count})


def _flow_when_blocked(draw: Draw) -> NumberAsked:
    sketch = series(draw.rng, draw.system)
    blocked = float(draw.rng.integers(10, 18)) / 20
    before, job = solve(sketch.job), sketch.put({"strainer.blocked": blocked}).job
    after = solve(job)
    clean, dirty = (station(point, "strainer").head_loss for point in (before, after))
    facts: Facts = {"blocked": blocked, "clean": clean, "dirty": dirty}
    shares: Facts = {"basket": BASKET_SHARE, "housing": 1 - BASKET_SHARE}
    known: Facts = {"times": f"{1 / (1 - blocked):.3g}", "now": after.flow / before.flow}
    return flow_after(sketch, before, job, before.flow, {**facts, **shares, **known})


def _two_units(rng: np.random.Generator, system: System) -> Sketch:
    """A loop of two units in parallel, on lines of different length."""
    base = series(rng, system, {"demo-ac-700": 0.0254, "demo-ac-1000": 0.0254,
                                "demo-ac-500": 0.01905})  # fmt: skip
    short, long = int(rng.integers(3, 8)), int(rng.integers(10, 30))
    lengths = (short, long) if rng.random() < 0.5 else (long, short)
    bores = [float(rng.choice([0.0127, 0.015875, 0.01905])) for _ in lengths]
    branches = []
    for name, length, bore in zip(("forward", "aft"), lengths, bores, strict=True):
        supply = {**hose(length, 2, system), "bore": bore, "label": f"{name} hose"}
        condenser = {**unit(rng, name, system), "bore": bore, "label": f"{name} unit"}
        outlet = {**hose(2, 3, system), "bore": bore, "label": f"{name} return"}
        branches.append({"name": name, "part": [supply, condenser, outlet]})
    manifold: Table = {"kind": "manifold", "branch": branches}
    sketch = base.without("unit").after("supply hose", "manifold", manifold)
    return sketch.put({"supply hose.to": inches(0, system), "return hose.to": inches(4, system),
                       "discharge.height": inches(4, system)})  # fmt: skip


def _second_unit(draw: Draw) -> NumberAsked | None:
    rng, system = draw.rng, draw.system
    sketch = _two_units(rng, system)
    point = solve(sketch.job)
    first, second = ("forward", "aft") if rng.random() < 0.5 else ("aft", "forward")
    need = point.flow * float(rng.integers(6, 17)) / 20
    network = point.network
    got, right = (point.flow_through(network.condenser_part(name)) for name in (first, second))
    facts: Facts = {"loop": loop_text(sketch.job), "whole": point.flow, "need": need, "got": got}
    named = replace(sketch, needs={first: need}).job
    rest = point.flow - need
    return NumberAsked(named, right, rest, "flow", {**facts, "first": first, "second": second})


def _flow_past_part(draw: Draw, out: bool) -> NumberAsked:
    job = series(draw.rng, draw.system).job
    point = solve(job)
    part = str(draw.rng.choice(["unit", "supply hose", "return hose", "strainer"]))
    share = station(point, part).head_loss / point.pump_head
    belief = point.flow * (1 - share) if out else point.flow / (1 - share)
    known: Facts = {"known": point.flow, "time": bucket_time(point.flow, draw.system)}
    facts: Facts = {**known, "part": part, "share": share}
    return NumberAsked(job, point.flow, belief, "flow", facts)


FLOW_TOPICS = topics(
    Topic(
        "box-number", (Form("flow", True, _box_flow), Form("bucket", False, by_bucket(_box_flow)))
    ),
    Topic("long-hose", (Form("part", True, _largest_loss),)),
    Topic("ends", (Form("head", False, _barb_head), Form("barbed", True, _flow_with_barbs))),
    Topic(
        "strainer-full",
        (
            Form("flow", True, _flow_when_blocked),
            Form("bucket", False, by_bucket(_flow_when_blocked)),
        ),
    ),
    Topic("second-unit", (Form("more", True, _second_unit), Form("less", False, _second_unit))),
    Topic(
        "used-up",
        (
            Form("out", True, by_bucket(lambda draw: _flow_past_part(draw, True))),
            Form("in", True, lambda draw: _flow_past_part(draw, False)),
        ),
    ),
)
