"""Quiz questions about flow and loss: hose, barbs, strainer, seacock, needed flow."""

import math

import numpy as np

from loop.job import TRADE_BORES, Unit
from loop.margins.speed import SUCTION_MOST
from loop.parts import Hose, Strainer
from loop.parts.friction import GRAVITY, velocity
from loop.parts.rated import rated_head_loss
from loop.parts.seacock import added_coefficient
from loop.seawater import Water
from loop.teach.question import Maker, Question, mixed
from loop.units import Rating, System, parse, show

_SEA = Water(temperature=25.0)


def doubled_flow(rng: np.random.Generator, system: System) -> Question:
    """What more or less flow does to a loss."""
    factor = float(rng.choice([2.0, 3.0, 1.5, 0.5]))
    head = parse(f"{rng.integers(2, 9)} ft", "length")
    base = parse(f"{10 * rng.integers(12, 25)} gal/h", "flow")
    rating = Rating(head * _SEA.density * GRAVITY, base)
    after = rated_head_loss(rating, factor * base, _SEA)
    flow, more = show(base, "flow", system), show(factor * base, "flow", system)
    lost = show(head, "head", system)
    return Question(
        "doubled-flow",
        f"A run of hose and fittings loses {lost} at {flow}. What does it lose at {more}?",
        f"In turbulent flow the loss goes with the square of the flow. The flow is {factor:g} times"
        f" what it was, so the loss is {factor:g}² = {factor**2:g} times: {lost} × {factor**2:g}"
        f" = {show(after, 'head', system)}.",
        system,
        number=after,
        quantity="head",
    )


def hose_size(rng: np.random.Generator, system: System) -> Question:
    """The smallest suction hose that keeps the speed down."""
    bores = TRADE_BORES[1:6]
    right = int(rng.integers(1, len(bores)))
    edges = [math.pi / 4 * bore**2 * SUCTION_MOST for bore in (bores[right - 1], bores[right])]
    flow = edges[0] + (edges[1] - edges[0]) * float(rng.uniform(0.2, 0.8))
    best, tight = bores[right], bores[right - 1]
    choices, where = mixed(
        rng, show(best, "bore", system), [show(b, "bore", system) for b in bores if b != best]
    )
    speeds = [show(velocity(flow, b), "velocity", system) for b in (best, tight)]
    limit = show(SUCTION_MOST, "velocity", system)
    return Question(
        "hose-size",
        f"The loop runs {show(flow, 'flow', system)}. Which is the smallest suction hose in which"
        f" the water stays at or below {limit}?",
        f"Speed is flow over the area of the bore. In {show(best, 'bore', system)} hose it is"
        f" {speeds[0]}; one size down, in {show(tight, 'bore', system)}, it is {speeds[1]}, past"
        f" the {limit} that common practice allows on the suction side.",
        system,
        choices,
        where,
    )


def barbs(rng: np.random.Generator, system: System) -> Question:
    """How much plain hose two barbed ends are worth."""
    bore = float(rng.choice(TRADE_BORES[1:4]))
    flow = math.pi / 4 * bore**2 * float(rng.uniform(0.7, 1.2))
    hose = Hose(length=1.0, to=0.0, bore=bore, barbs=0)
    plain = hose.head_loss(flow, _SEA)
    ends = hose.model_copy(update={"barbs": 2}).head_loss(flow, _SEA) - plain
    worth = ends / plain
    right = show(worth, "length", system)
    wrong = [show(worth * factor, "length", system) for factor in (0.05, 0.25, 6.0)]
    choices, where = mixed(rng, right, wrong)
    return Question(
        "barbs",
        f"A {show(bore, 'bore', system)} smooth rubber hose carries {show(flow, 'flow', system)}."
        " Its two barbed ends have 0.8 of its bore. About how much extra hose would cost as much as"
        " the two ends?",
        f"The two ends lose {show(ends, 'head', system, 3)}, a metre (3.3 ft) of the plain hose"
        f" {show(plain, 'head', system, 3)}: the ends are worth {right} of hose. Fewer joints often"
        " save more than a shorter run, and a full-bore barb saves most.",
        system,
        choices,
        where,
    )


def dirty_strainer(rng: np.random.Generator, system: System) -> Question:
    """What a blocked basket does to its loss."""
    blocked = float(rng.choice([0.3, 0.5, 0.6, 0.75]))
    flow = parse("240 gal/h", "flow")
    clean = Strainer(loss=Rating(parse("0.5 psi", "pressure"), flow), bore=0.019)
    dirty = clean.model_copy(update={"blocked": blocked})
    times = dirty.head_loss(flow, _SEA) / clean.head_loss(flow, _SEA)
    return Question(
        "dirty-strainer",
        f"Weed covers {show(blocked, 'ratio', system)} of the strainer's basket, and the flow is"
        " held as it was. By what factor does the strainer's loss grow?",
        f"The same water squeezes through {1 - blocked:.2g} of the holes, so it runs"
        f" 1 ÷ {1 - blocked:.2g} = {1 / (1 - blocked):.3g} times as fast there, and loss goes with"
        f" the square: {times:.3g} times. The last part of the blockage hurts most.",
        system,
        number=times,
    )


def half_shut_seacock(rng: np.random.Generator, system: System) -> Question:
    """What a turned handle costs."""
    angle = float(rng.choice([20.0, 30.0, 40.0, 50.0]))
    added = added_coefficient(angle)
    tables = {a: f"{added_coefficient(a):.3g}" for a in (10.0, 20.0, 30.0, 40.0, 50.0, 60.0)}
    wrong = [text for a, text in tables.items() if a != angle and abs(a - angle) <= 20.0]
    choices, where = mixed(rng, tables[angle], wrong[:3])
    return Question(
        "half-shut-seacock",
        f"A seacock's handle is {angle:g}° short of fully open (90° is shut). About how many"
        " velocity heads does that add?",
        f"Weisbach's plug-cock table gives {added:.3g} at {angle:g}°. The first 10° cost next to"
        f" nothing ({added_coefficient(10.0):.2g}), 60° as much as {added_coefficient(60.0):.0f}"
        " velocity heads: the handle goes along the pipe, or the valve is a fault.",
        system,
        choices,
        where,
    )


def needed_flow(rng: np.random.Generator, system: System) -> Question:
    """What a unit needs, from its size."""
    cooling = float(rng.choice([6000, 9000, 12000, 16000, 18000, 24000]))
    unit = Unit(name="cabin", cooling=parse(f"{cooling:g} BTU/h", "power"))
    per_ton = show(unit.flow_per_ton, "flow", system)
    tons = cooling / 12000
    low, high = (show(parse(f"{figure} gal/h", "flow"), "flow", system) for figure in (150, 250))
    return Question(
        "needed-flow",
        f"An air conditioner of {cooling:,.0f} BTU/h of cooling. Its maker states no flow. How much"
        f" sea water does it need, at the trade's usual {per_ton} a ton?",
        f"A ton is 12,000 BTU/h, so this is {tons:.3g} tons, and {tons:.3g} × {per_ton} ="
        f" {show(unit.needed_flow, 'flow', system)}. Practice runs from {low} to {high} a ton: the"
        " maker's own figure comes first.",
        system,
        number=unit.needed_flow,
        quantity="flow",
    )


def bucket(rng: np.random.Generator, system: System) -> Question:
    """Flow by bucket and stopwatch."""
    volume = parse("1 gal" if system == "us" else "5 L", "volume")
    seconds = float(rng.integers(12, 35)) * (1 if system == "us" else 1.5)
    flow = volume / seconds
    held = show(volume, "volume", system, 0)
    return Question(
        "bucket",
        f"You hold a bucket under the discharge: {held} in {seconds:g} seconds. What is the flow?",
        f"{held} in {seconds:g} s is {show(flow, 'flow', system)}: "
        + (
            f"3600 ÷ {seconds:g} gallons in an hour."
            if system == "us"
            else f"5 × 60 ÷ {seconds:g} litres in a minute."
        )
        + " A bucket and a watch are the best flow meter on the boat.",
        system,
        number=flow,
        quantity="flow",
    )


FLOW_TOPICS: dict[str, Maker] = {
    "doubled-flow": doubled_flow,
    "hose-size": hose_size,
    "barbs": barbs,
    "dirty-strainer": dirty_strainer,
    "half-shut-seacock": half_shut_seacock,
    "needed-flow": needed_flow,
    "bucket": bucket,
}
