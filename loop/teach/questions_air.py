"""Quiz questions about air: where it sits, what sweeps it out, where a bleed belongs, the start."""

import math

import numpy as np

from loop.air.priming_head import start_head
from loop.hydraulics.clearing import clearing_velocity
from loop.hydraulics.line_profile import turns
from loop.job import TRADE_BORES
from loop.parts.friction import GRAVITY, velocity
from loop.teach.question import Maker, Question, mixed
from loop.units import System, parse, show

_PLACES = ("at the pump", "at point B", "at point C", "at point D", "at the discharge")


def _hump(rng: np.random.Generator) -> list[float]:
    """Heights [m] of pump, three points on the way, and discharge; one crest and one sag."""
    inches = [
        -10,
        int(rng.integers(16, 28)),
        int(rng.integers(2, 8)),
        int(rng.integers(12, 16)),
        5,
    ]
    if rng.random() < 0.5:
        inches[1:4] = [
            int(rng.integers(2, 8)),
            int(rng.integers(-8, -3)),
            int(rng.integers(16, 28)),
        ]
    return [parse(f"{inch} in", "length") for inch in inches]


def _way(heights: list[float], system: System) -> str:
    names = ("pump", "B", "C", "D", "discharge")
    return ", ".join(
        f"{name} {show(h, 'height', system)}" for name, h in zip(names, heights, strict=True)
    )


def _listed(highs: list[int], heights: list[float], system: System) -> str:
    """The crests with their heights, the highest first: "point B, at 24 in, and point D, …"."""
    return ", and ".join(
        f"{_PLACES[i].removeprefix('at ')}, at {show(heights[i], 'height', system)}"
        for i in sorted(highs, key=lambda i: -heights[i])
    )


def trapped_air(rng: np.random.Generator, system: System) -> Question:
    """Where air would sit."""
    heights = _hump(rng)
    highs = [turn.position for turn in turns(heights) if turn.high and 0 < turn.position < 4]
    top = max(highs, key=lambda position: heights[position])
    choices, where = mixed(rng, _PLACES[top], [_PLACES[i] for i in range(5) if i not in highs])
    crests = _listed(highs, heights, system)
    return Question(
        "trapped-air",
        "Heights above the waterline along the pressure hose, in the water's order:"
        f" {_way(heights, system)}. At which of these would air sit?",
        f"Air gathers at a crest: a high point with lower ones on both sides. Here that is"
        f" {crests}. It lies against the top and down the far side, where the slow or starting"
        " water cannot push it.",
        system,
        choices,
        where,
    )


def bleed_place(rng: np.random.Generator, system: System) -> Question:
    """Where a bleed valve helps, and where it does nothing."""
    heights = _hump(rng)
    found = [turn for turn in turns(heights) if 0 < turn.position < 4]
    highs = [turn.position for turn in found if turn.high]
    lows = [turn.position for turn in found if not turn.high]
    top = max(highs, key=lambda position: heights[position])
    others = [position for position in range(1, 5) if position not in highs]
    choices, where = mixed(rng, _PLACES[top], [_PLACES[position] for position in others])
    sag = (
        f" In the sag, {_PLACES[lows[0]].removeprefix('at ')}, it would pass water only."
        if lows
        else ""
    )
    return Question(
        "bleed-place",
        "You have one bleed valve besides the one at the pump's outlet. Heights above the waterline"
        f" on the pressure side: {_way(heights, system)}. At which of these does it help?",
        "Air rises, so only a valve at a crest lets it out:"
        f" {_listed(highs, heights, system)}.{sag}",
        system,
        choices,
        where,
    )


def start(rng: np.random.Generator, system: System) -> Question:
    """Head that it takes to start a line with two crests."""
    tops = [parse(f"{rng.integers(12, 26)} in", "length") for _ in range(2)]
    low = parse(f"{rng.integers(-4, 6)} in", "length")
    drops = [tops[0] - low, 0.0]
    needed = start_head(tops, drops)
    first, second, fall, answer = (
        show(x, "height", system) for x in (tops[0], tops[1], drops[0], needed)
    )
    both = show(tops[1] + drops[0], "height", system)
    return Question(
        "start",
        f"An empty pressure hose rises to {first} above the water, falls to"
        f" {show(low, 'height', system)}, rises again to {second} and runs out overboard there."
        " There is no bleed. What head does the pump need to start it?",
        "Water runs down the far side of the first crest without filling it, and that air pushes"
        f" back by its height: {first} − {show(low, 'height', system)} = {fall}. So the second rise"
        f" takes {second} + {fall} = {both}, the first alone {first}; the larger rules: {answer}. A"
        " bleed on the first crest takes its air out of the sum.",
        system,
        number=needed,
        quantity="height",
    )


def swept_hose(rng: np.random.Generator, system: System) -> Question:
    """The largest hose that sweeps its air out while running."""
    slope = math.radians(float(rng.choice([10, 15, 20])))
    bores = TRADE_BORES[1:6]
    right = int(rng.integers(0, len(bores) - 1))
    flows = [
        float(clearing_velocity(bore, slope)[1]) * math.pi / 4 * bore**2
        for bore in (bores[right], bores[right + 1])
    ]
    flow = flows[0] + (flows[1] - flows[0]) * float(rng.uniform(0.2, 0.7))
    best, larger = bores[right], bores[right + 1]
    choices, where = mixed(
        rng, show(best, "bore", system), [show(b, "bore", system) for b in bores if b != best]
    )
    numbers = [velocity(flow, b) / math.sqrt(GRAVITY * b) for b in (best, larger)]
    limit = float(clearing_velocity(best, slope)[1]) / math.sqrt(GRAVITY * best)
    return Question(
        "swept-hose",
        f"Behind a crest the hose falls at {math.degrees(slope):g}°. The loop runs"
        f" {show(flow, 'flow', system)}. Which is the largest hose that still surely sweeps its air"
        " out?",
        f"The test is V/√(g D), which must be above {limit:.2f} here. In"
        f" {show(best, 'bore', system)} hose it is {numbers[0]:.2f}; in"
        f" {show(larger, 'bore', system)} only {numbers[1]:.2f}. A hose can be too large: it runs"
        " slow and holds its air.",
        system,
        choices,
        where,
    )


def running_hump(rng: np.random.Generator, system: System) -> Question:
    """What a hump costs once the line runs full."""
    hump = show(parse(f"{rng.integers(12, 30)} in", "length"), "height", system)
    out = show(parse("5 in", "length"), "height", system)
    choices, where = mixed(
        rng,
        f"{out}, the height of the discharge",
        [f"{hump}, the height of the hump", f"{hump} and {out} together", "nothing"],
    )
    return Question(
        "running-hump",
        f"On the pressure side the hose goes over a hump {hump} above the waterline, down again,"
        f" and out {out} above it. The line runs full, free of air. What static head does the pump"
        " pay?",
        "In a full line the falling side gives back what the rising side took, so only the height"
        f" at which the jet leaves counts: {out}. But to start the line the pump must first lift"
        f" water over the hump, {hump}.",
        system,
        choices,
        where,
    )


AIR_TOPICS: dict[str, Maker] = {
    "trapped-air": trapped_air,
    "bleed-place": bleed_place,
    "start": start,
    "swept-hose": swept_hose,
    "running-hump": running_hump,
}
