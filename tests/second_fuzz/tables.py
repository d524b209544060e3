"""The tables of a job besides its parts: water, units, boat, baseline, visits, sizing."""

import math
import random
from typing import Any, Protocol

from tests.second_fuzz.words import bore, name, number, quantity, temperature

Table = dict[str, Any]


class Maker(Protocol):
    """What is generated for one boat."""

    rng: random.Random
    wild: float
    units: list[str]


def with_tables(maker: Maker, parts: list[Table]) -> Table:
    """The tables of a job file with these parts."""
    rng = maker.rng
    job: Table = {"title": name(rng, set()), "units": rng.choice(("us", "si"))}
    job["water"] = {"temperature": temperature(rng, rng.uniform(-1, 40))}
    if rng.random() < 0.4:
        job["water"]["salinity"] = rng.choice((0, 35, 10.5, 42))
    job["defaults"] = {"bore": bore(rng, maker.wild)}
    job["condenser"] = [_cooled(rng, unit) for unit in maker.units]
    job["part"] = parts
    if rng.random() < 0.4:
        job["boat"] = {
            "heel": quantity(rng, rng.uniform(-0.5, 0.5), "angle"),
            "speed": quantity(rng, rng.choice((0, 3, 8, 29)), "speed"),
            "wave_height": quantity(rng, rng.uniform(0, 2), "length"),
        }
    if rng.random() < 0.15:
        job["fitted"] = _fitted(rng)
    visits = [_visit(rng) for _ in range(rng.choice((0, 0, 0, 1, 3, 12)))]
    if visits:
        job["visit"] = visits
    if rng.random() < 0.2:
        confidence = f"{number(rng, 90)} %"
        job["sizing"] = {"bores": [bore(rng, 0.0), "1 in"], "confidence": confidence}
    return job


def size(rng: random.Random, low: float, high: float) -> float:
    """A number in a range, equally likely in each decade."""
    return math.exp(rng.uniform(math.log(low), math.log(high)))


def _cooled(rng: random.Random, unit: str) -> Table:
    table: Table = {"name": unit, "cooling": quantity(rng, size(rng, 300, 3e4), "power")}
    if rng.random() < 0.3:
        table["flow_needed"] = quantity(rng, size(rng, 1e-6, 1e-3), "flow")
    if rng.random() < 0.2:
        table["approach"] = quantity(rng, rng.uniform(1.2, 16), "kelvin")
    if rng.random() < 0.2:
        table["condensing_stop"] = temperature(rng, rng.uniform(30, 80))
    return table


def _fitted(rng: random.Random) -> Table:
    limits = {"loss": (0.06, 15), "pump": (0.5, 2), "ua": (0.1, 9)}
    factors: Table = {key: round(size(rng, *ends), 3) for key, ends in limits.items()}
    if rng.random() < 0.6:
        factors["spread"] = [0.1, 0.01, 2.0]
        factors["correlation"] = [rng.choice((-1, 0.2, 1)), 0.9, -0.9]
    return {**factors, "date": "2024-02-29"}


def _visit(rng: random.Random) -> Table:
    year = rng.choice((1900, 2023, 2024, 2199))
    day = f"{year}-{rng.randint(1, 12):02d}-{rng.randint(1, 28):02d}"
    flow = quantity(rng, size(rng, 1e-5, 5e-4), "flow")
    noted = {"note": name(rng, set())} if rng.random() < 0.3 else {}
    return {"date": day, **noted, "readings": {"flow": flow}}
