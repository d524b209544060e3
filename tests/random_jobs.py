"""Random valid loops and networks, from a drip to a ship's main: seeded, in SI."""

import math
from typing import Any

import numpy as np

from loop.hydraulics import Cases, Network
from loop.job import Job
from loop.pumps import PumpCurve
from loop.seawater import freezing_point
from loop.units import parse

Table = dict[str, Any]
Generator = np.random.Generator

LEAST_FLOW, MOST_FLOW = (parse(f"{flow} gal/h", "flow") for flow in (1, 100_000))
LEAST_BORE, MOST_BORE = (parse(f"{bore} in", "length") for bore in ("1/4", "8"))


def log_uniform(rng: Generator, low: float, high: float) -> float:
    return float(np.exp(rng.uniform(math.log(low), math.log(high))))


def random_pump(rng: Generator, flow: float, head: float) -> PumpCurve:
    """A falling curve of three to ten spans that ends near `flow` [m³/s]."""
    share = np.concatenate([[0.0], np.cumsum(rng.uniform(0.2, 1.0, rng.integers(3, 11)))])
    share /= share[-1]
    fall = rng.uniform(0.2, 1.0) * share ** rng.uniform(0.7, 4.0)
    return PumpCurve.model_validate(
        {
            "name": "demo-random",
            "drive": "dc",
            "rated_supply": 12.0,
            "self_priming": bool(rng.random() < 0.2),
            "port": bore_for(rng, flow),
            "curve": {
                "flow": {"unit": "m^3/s", "values": list(flow * share)},
                "head": {"unit": "m", "values": list(head * (1 - 0.999 * fall))},
                "npsh_required": {"unit": "m", "values": list(0.3 + 3 * share**2)},
            },
        }
    )


def bore_for(rng: Generator, flow: float) -> float:
    """A bore in which `flow` [m³/s] runs at 0.2 to 5 m/s, within trade sizes."""
    bore = math.sqrt(flow / log_uniform(rng, 0.2, 5.0) / (math.pi / 4))
    return min(max(bore, LEAST_BORE), MOST_BORE)


class _Drawing:
    """One job in progress: its scale, and the names already used."""

    def __init__(self, rng: Generator, branches: int, depth: int) -> None:
        self.rng, self.branches, self.depth = rng, branches, depth
        self.flow = log_uniform(rng, LEAST_FLOW, MOST_FLOW)
        self.head = log_uniform(rng, 0.5, 40.0)
        self.units: list[str] = []
        self.names = 0

    def hose(self, flow: float, start: float, to: float) -> Table:
        rng = self.rng
        climb = abs(to - start) + 0.05
        hose: Table = {
            "kind": "hose",
            "bore": bore_for(rng, flow),
            "length": min(climb * 1.01 + log_uniform(rng, 0.1, 30.0), 190.0),
            "to": to,
            "roughness": float(rng.choice([0.0, 1.5e-6, 3e-5, 1e-3])),
            "barbs": int(rng.integers(0, 4)),
        }
        hose["roughness"] = min(hose["roughness"], 0.05 * hose["bore"])
        if rng.random() < 0.3:
            hose["sweeps"] = list(rng.uniform(0.2, math.pi, rng.integers(1, 4)))
        return hose

    def rated(self, flow: float) -> str:
        drop = log_uniform(self.rng, 0.02, 0.8) * self.head * 10_000
        return f"{drop:.6g} Pa at {flow * log_uniform(self.rng, 0.3, 1.5) * 60_000:.6g} L/min"

    def small(self, flow: float) -> Table:
        """A part between hoses, of any kind that can be anywhere."""
        rng, bore = self.rng, bore_for(self.rng, flow)
        kinds: list[Table] = [
            {"kind": "seacock", "open": float(rng.uniform(0.2, 1.0))},
            {"kind": "seacock", "port": 0.8 * bore},
            {"kind": "strainer", "loss": self.rated(flow), "blocked": float(rng.uniform(0, 0.95))},
            {"kind": "strainer", "k": log_uniform(rng, 0.1, 100.0)},
            {"kind": "bleed"},
            {"kind": "tee"},
            {
                "kind": "elbow",
                "count": int(rng.integers(1, 6)),
                "angle": float(rng.uniform(0.1, 3)),
            },
            {"kind": "fitting", "k": log_uniform(rng, 0.01, 1000.0)},
            {"kind": "fitting", "kv": flow * 3600 * log_uniform(rng, 0.5, 10.0)},
            {"kind": "fitting", "loss": self.rated(flow)},
            {"kind": "check valve"},
        ]
        return {"bore": bore, **kinds[int(rng.integers(len(kinds)))]}

    def condenser(self, flow: float) -> Table:
        self.units.append(f"unit {len(self.units) + 1}")
        loss: Any = self.rated(flow)
        return {
            "kind": "condenser",
            "serves": self.units[-1],
            "loss": loss,
            "bore": bore_for(self.rng, flow),
        }

    def run(self, flow: float, start: float, end: float, depth: int) -> list[Table]:
        """Parts from one height to another, perhaps with a manifold along the way."""
        rng = self.rng
        middle = float(rng.uniform(-0.5, 1.0))
        parts = [self.hose(flow, start, middle)]
        parts += [self.small(flow) for _ in range(rng.integers(0, 3))]
        if depth > 0 and rng.random() < 0.7:
            parts.append(self.manifold(flow, middle, depth))
        else:
            parts.append(self.condenser(flow))
        parts.append(self.hose(flow, middle, end))
        return parts

    def manifold(self, flow: float, height: float, depth: int) -> Table:
        """Branches that end at the header's height, at least one of which rejoins."""
        rng = self.rng
        count = int(rng.integers(1, self.branches + 1))
        ways = []
        for number in range(count):
            share = flow / count * log_uniform(rng, 0.3, 2.0)
            overboard = number > 0 and rng.random() < 0.3
            out = float(rng.uniform(-0.5, 1.0)) if overboard else height
            parts = self.run(share, height, out, depth - 1)
            if overboard:
                parts.append({"kind": "discharge", "height": out, "bore": bore_for(rng, share)})
            if rng.random() < 0.1:
                parts.insert(0, {"kind": "seacock", "open": 0.0, "bore": bore_for(rng, share)})
            self.names += 1
            ways.append({"name": f"branch {self.names}", "part": parts})
        angle = float(rng.choice([30.0, 45.0, 60.0, 90.0])) * math.pi / 180
        return {"kind": "manifold", "bore": bore_for(rng, flow), "angle": angle, "branch": ways}


def random_job(rng: Generator, branches: int = 4, depth: int = 2) -> Job:
    """A valid job; a series loop if `depth` is 0, else one with manifolds in its branches."""
    drawing = _Drawing(rng, branches, depth)
    flow = drawing.flow
    deep, low, out = (float(rng.uniform(*span)) for span in ((-1, -0.2), (-1, 0.3), (-0.5, 1.0)))
    parts: list[Table] = [
        {
            "kind": "intake",
            "height": deep,
            "bore": bore_for(rng, flow),
            "facing": str(rng.choice(["forward", "flush", "aft"])),
        },
        *(drawing.small(flow) for _ in range(rng.integers(0, 3))),
        drawing.hose(flow, deep, low),
        {
            "kind": "pump",
            "curve": random_pump(rng, flow * log_uniform(rng, 0.5, 3.0), drawing.head),
            "supply": float(rng.uniform(6, 16)),
            "count": int(rng.choice([1, 1, 1, 2, 4])),
            "arrangement": str(rng.choice(["parallel", "series"])),
        },
        *drawing.run(flow, low, out, depth),
        {"kind": "discharge", "height": out, "bore": bore_for(rng, flow)},
    ]
    need = flow / max(len(drawing.units), 1)
    tons = need / parse("180 gal/h", "flow")
    # Units of sizes that are sold, whose need is the flow that the loop was generated for.
    cooling = float(np.clip(tons * parse("12000 BTU/h", "power"), 500.0, 50_000.0))
    temperature, salinity = float(rng.uniform(-2, 45)), float(rng.uniform(0, 42))
    return Job.model_validate(
        {
            "water": {
                "temperature": min(max(temperature, freezing_point(salinity)), 40.0),
                "salinity": salinity,
            },
            "boat": {"speed": float(rng.choice([0.0, rng.uniform(0, 15)]))},
            "condenser": [
                {"name": name, "cooling": cooling, "flow_needed": need} for name in drawing.units
            ],
            "part": parts,
        }
    )


def random_cases(rng: Generator, network: Network, count: int) -> Cases:
    """Extreme cases: pumps at 0.3 to 1.5 of their speed, losses over and under by twenty."""
    return Cases(
        speed=rng.uniform(0.3, 1.5, count),
        pump_flow=rng.uniform(0.8, 1.2, count),
        pump_head=rng.uniform(0.8, 1.2, count),
        loss=np.exp(rng.uniform(-3, 3, (count, len(network.parts)))),
        extra_head=rng.uniform(-0.5, 0.5, count),
        tee=rng.uniform(0.5, 1.5, count),
    )
