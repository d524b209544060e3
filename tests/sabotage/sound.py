"""Random loops that are sound, by the rules of the trade that the handbook states.

Sound means: the intake deep enough at the worst heel, with a seacock; the suction rises all the way
from the sea to the pump, which is under water at the worst heel with the strainer before it; no
hose faster than the trade allows; a bleed at the pump's outlet; one rise to the unit and one fall
to an outlet a little above the water, near the middle of the transom, in hose whose flow clears its
air; a pump from the catalogue on its rated supply that gives the unit, as the loop starts and with
the strainer clean, 1.22 to 1.37 times its need. Pump and hose are chosen by flow alone: what
`check` says plays no part.
"""

import random
from functools import cache
from typing import Any

from loop.hydraulics import Network, build, solve_flows
from loop.job import Job, parse_job
from loop.parts.friction import GRAVITY, velocity
from loop.pumps import catalogue, load_pump

Table = dict[str, Any]

_BORES = (0.75, 1.0, 1.25)
# Flow over need of a sound loop: spare for the band, but no more than is useful.
_LEAST, _MOST = 1.22, 1.37
_SUCTION_MOST, _PRESSURE_MOST = 1.4, 2.3
# Froude number that clears the air from any slope, with a little to spare.
_CLEARS = 1.25


@cache
def sound(seed: int) -> Job:
    """A sound job; the same for the same seed."""
    return parse_job(sound_tables(seed))


@cache
def _chosen(seed: int) -> tuple[int, str, float]:
    """Try, pump and bore of the first sound loop of a seed."""
    for attempt in range(400):
        chance = random.Random(seed * 1009 + attempt)
        bore, cooling = chance.choice(_BORES), chance.choice([6000, 9000, 12000, 16000, 20000])
        pumps = [name for name in catalogue() if load_pump(name).drive == "ac"]
        chance.shuffle(pumps)
        for pump in pumps:
            if _fits(parse_job(_tables(chance_of(seed, attempt), pump, bore, cooling))):
                return attempt, pump, bore
    raise AssertionError(f"no sound loop for seed {seed}")


def chance_of(seed: int, attempt: int) -> random.Random:
    """The random generator of one try."""
    return random.Random(f"{seed}-{attempt}")


def sound_tables(seed: int) -> Table:
    """The tables of a sound job, for a sabotage to spoil; a new copy each time."""
    attempt, pump, bore = _chosen(seed)
    cooling = _cooling(seed, attempt)
    return _tables(chance_of(seed, attempt), pump, bore, cooling)


def _cooling(seed: int, attempt: int) -> int:
    chance = random.Random(seed * 1009 + attempt)
    chance.choice(_BORES)
    return chance.choice([6000, 9000, 12000, 16000, 20000])


def _tables(chance: random.Random, pump: str, bore: float, cooling: int) -> Table:
    """One unit on one line; lengths, heights and losses are random."""
    depth, at_pump = chance.uniform(16, 26), chance.uniform(8, 12)
    middle = (depth + at_pump) / 2
    lift, out = chance.uniform(6, 30), chance.uniform(3, 6)
    need = cooling / 12000 * 180
    parts = [
        {"kind": "intake", "height": f"-{depth:.1f} in", "off_centre": _inches(chance, 0, 12)},
        {"kind": "seacock"},
        _hose("hose to the strainer", chance.uniform(1.5, 4), -middle),
        {"kind": "strainer", "loss": f"0.3 psi at {need * 1.4:.0f} gal/h"},
        _hose("hose to the pump", chance.uniform(1, 3), -at_pump),
        {"kind": "pump", "curve": pump, "supply": f"{load_pump(pump).rated_supply:g} V"},
        {"kind": "bleed"},
        _hose("hose to the unit", chance.uniform(5, 14), lift),
        {"kind": "condenser", "serves": "cabin",
         "loss": f"{chance.uniform(1, 2):.2f} psi at {need:.0f} gal/h"},
        _hose("hose overboard", chance.uniform(3.5, 9), out),
        {"kind": "discharge", "height": f"{out:.1f} in", "off_centre": "6 in"},
    ]  # fmt: skip
    lining = chance.choice(["smooth rubber", "smooth plastic"])
    return {
        "title": "Sound",
        "water": {"temperature": f"{chance.uniform(70, 86):.1f} degF", "salinity": 35},
        "boat": {"heel": f"{chance.uniform(0, 12):.0f} deg", "wave_height": "3 in"},
        "defaults": {"bore": f"{bore} in", "lining": lining},
        "condenser": [{"name": "cabin", "cooling": f"{cooling} BTU/h"}],
        "part": parts,
    }


def _hose(label: str, feet: float, to: float) -> Table:
    return {"kind": "hose", "label": label, "length": f"{feet:.1f} ft", "to": f"{to:.1f} in"}


def _inches(chance: random.Random, low: float, high: float) -> str:
    return f"{chance.uniform(low, high):.0f} in"


def _fits(job: Job) -> bool:
    """Whether the flows are those of a sound loop, and its hoses the right size for them."""
    network = build(job)
    flow = float(solve_flows(network).line_flow[0][0])
    need = job.condenser[0].needed_flow
    bore = network.parts[0].inner_bore
    speed = velocity(flow, bore) if flow > 0 else 0.0
    clears = speed > _CLEARS * (GRAVITY * bore) ** 0.5
    return _LEAST <= flow / need <= _MOST and speed <= _SUCTION_MOST and (clears or _flat(network))


def _flat(network: Network) -> bool:
    """Whether the line hardly falls to its outlet, so that air has nowhere to stay."""
    return network.heights[-3] - network.heights[-1] < 0.02
