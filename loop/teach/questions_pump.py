"""Quiz questions about the pump: speed, pairs, suction, gauges, heights."""

import math

import numpy as np

from loop.job import Boat
from loop.margins.suction import NPSH_RATIO, lowest_immersion, needed_submergence
from loop.parts.friction import GRAVITY, velocity
from loop.seawater import ATMOSPHERE, Water
from loop.teach.question import Maker, Question, mixed
from loop.units import System, parse, show


def affinity(rng: np.random.Generator, system: System) -> Question:
    """What a low supply does to a pump."""
    rated = 12.0
    supply = float(rng.choice([9.0, 10.0, 10.5, 11.0]))
    ratio = supply / rated
    what, power = [("flow", 1), ("head", 2), ("power", 3)][int(rng.integers(0, 3))]
    full = {
        "flow": parse("300 gal/h", "flow"),
        "head": parse("12 ft", "length"),
        "power": 48.0,
    }[what]
    after = full * ratio**power
    law = {1: "in proportion to", 2: "with the square of", 3: "with the cube of"}[power]
    start = {"flow": "open-ended, it gives", "head": "shut off, it makes", "power": "it draws"}[
        what
    ]
    text = show(full, what, system)
    return Question(
        "affinity",
        f"A permanent-magnet DC pump is rated at {rated:g} V; there, {start} {text}. A bad wire"
        f" leaves it {supply:g} V. What {what} is left at the same point of its curve?",
        f"Speed follows voltage: {supply:g} ÷ {rated:g} = {ratio:.3g} of rated. By the affinity"
        f" laws {what} goes {law} speed: {text} × {ratio:.3g}{'²³'[power - 2] if power > 1 else ''}"
        f" = {show(after, what, system)}. A thin wire costs more head than volts.",
        system,
        number=after,
        quantity=what,
    )


def two_pumps(rng: np.random.Generator, system: System) -> Question:
    """Two equal pumps on one loop."""
    parallel = bool(rng.random() < 0.5)
    how = "side by side (in parallel)" if parallel else "in line (in series)"
    right = "more than one pump's, but less than double"
    choices, where = mixed(rng, right, ["exactly double", "more than double", "the same"])
    why = (
        "Side by side they could give twice the flow at one head; in line, twice the head at one"
        " flow. But the loop's loss climbs with the square of the flow, so the meeting point moves"
        " only part of the way."
    )
    return Question(
        "two-pumps",
        f"One pump drives a loop in which friction is nearly all of the head. You add an equal pump"
        f" {how}. What happens to the flow?",
        why + (" Where friction rules, in line usually gains more." if parallel else ""),
        system,
        choices,
        where,
    )


def pump_above_water(rng: np.random.Generator, system: System) -> Question:
    """How deep a pump still is when the boat heels."""
    below = parse(f"{rng.integers(4, 14)} in", "length")
    off = parse(f"{rng.integers(8, 40)} in", "length")
    heel = math.radians(float(rng.choice([8, 10, 12, 15])))
    boat = Boat(heel=heel, light_rise=parse("1 in", "length"))
    depth = lowest_immersion(-below, off, 0.0, boat)
    under = depth > 0
    right = "under it" if under else "above it"
    options = ["yes, it stays under the water", "no, it comes out of the water"]
    choices, where = mixed(rng, options[0 if under else 1], [options[1 if under else 0]])
    lift = off * math.sin(heel)
    say = [show(x, "height", system, 1) for x in (below, off, lift, boat.light_rise, abs(depth))]
    return Question(
        "pump-above-water",
        f"A pump that does not prime itself sits {say[0]} below the waterline and {say[1]} off the"
        f" centreline. The boat heels {math.degrees(heel):g}° and floats {say[3]} higher when"
        " light. Is the pump still fed by the sea at worst?",
        f"Heel lifts it by offset × sin(heel) = {say[2]}, and the light hull by {say[3]}:"
        f" {say[0]} − {say[2]} − {say[3]} leaves it {say[4]} {right}."
        + (
            " Good, but keep some to spare."
            if under
            else " It will lose its prime: mount it lower."
        ),
        system,
        choices,
        where,
    )


def suction_head(rng: np.random.Generator, system: System) -> Question:
    """NPSH available."""
    water = Water(temperature=float(rng.choice([15.0, 25.0, 32.0])))
    lift = parse(f"{rng.integers(-2, 4)} ft", "length")
    lost = parse(f"{rng.integers(1, 7)} ft", "length")
    air = (ATMOSPHERE - water.vapour_pressure) / (water.density * GRAVITY)
    available = air - lift - lost
    side = "above" if lift > 0 else "below"
    texts = [show(x, "head", system) for x in (abs(lift), lost, air, available)]
    place = f"{texts[0]} {side} the waterline" if lift else "at the waterline"
    return Question(
        "suction-head",
        f"The pump sits {place} and the suction line loses {texts[1]}. The air's weight less the"
        f" water's vapour pressure is worth {texts[2]} at"
        f" {show(water.temperature, 'temperature', system)}. What suction head (NPSH) is"
        " available?",
        f"Take from {texts[2]} what the line loses and the height of the pump over the water (below"
        f" it counts in your favour): {texts[3]}. It should be at least {NPSH_RATIO:g} times what"
        " the pump's datasheet asks for.",
        system,
        number=available,
        quantity="head",
    )


def gauge(rng: np.random.Generator, system: System) -> Question:
    """Head as a gauge shows it."""
    head = parse(f"{rng.integers(4, 20)} ft", "length")
    water = Water(temperature=20.0)
    pressure = water.density * GRAVITY * head
    rule = "2.25 ft of head is one psi" if system == "us" else "1 m of head is about 10 kPa"
    return Question(
        "gauge",
        f"The discharge valve is shut and the pump makes {show(head, 'head', system)} of head. The"
        " gauge at its outlet is at the waterline. What does the gauge show, in sea water?",
        f"Pressure is density × gravity × head: {water.density:.0f} × {GRAVITY:.2f} ×"
        f" {head:.3g} m = {pressure:.0f} Pa = {show(pressure, 'pressure', system)}. In sea water"
        f" {rule}. Open the valve again soon: a shut-in pump heats its water.",
        system,
        number=pressure,
        quantity="pressure",
    )


def intake_depth(rng: np.random.Generator, system: System) -> Question:
    """How deep an intake must be to draw no air."""
    bore = parse(str(rng.choice(["3/4 in", "1 in", "1-1/4 in"])), "length")
    flow = math.pi / 4 * bore**2 * float(rng.uniform(0.5, 1.3))
    needed = needed_submergence(bore, flow)
    speed = velocity(flow, bore)
    froude = speed / math.sqrt(GRAVITY * bore)
    return Question(
        "intake-depth",
        f"Through a {show(bore, 'bore', system)} intake the water runs at"
        f" {show(speed, 'velocity', system)}. How far under the surface must it stay, by ANSI/HI"
        " 9.8: S = D (1 + 2.3 V/√(g D))?",
        f"V/√(g D) = {speed:.3g} ÷ √(9.81 × {bore:.3g}) = {froude:.3g}, so S = {bore:.3g} ×"
        f" (1 + 2.3 × {froude:.3g}) = {needed:.3g} m, or {show(needed, 'height', system)}. Count"
        " from the worst: heel, trim, the trough of a wave, a light hull.",
        system,
        number=needed,
        quantity="height",
    )


PUMP_TOPICS: dict[str, Maker] = {
    "affinity": affinity,
    "two-pumps": two_pumps,
    "pump-above-water": pump_above_water,
    "suction-head": suction_head,
    "gauge": gauge,
    "intake-depth": intake_depth,
}
