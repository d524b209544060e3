"""Uncertainty of a loop before it is built and used, and Monte Carlo samples of it.

As-built variation is sampled in `loop.hydraulics.monte_carlo`; added here are conditions of the
day: the sea, the basket, the supply. All options share the same samples (common random numbers), so
that two options differ by what they are and not by luck.
"""

import math
from collections.abc import Iterator
from dataclasses import replace
from functools import lru_cache

import numpy as np

from loop import tolerances
from loop.curve import Array
from loop.hydraulics import Cases, Network
from loop.hydraulics.monte_carlo import cached_draws, draw_columns, pump_tolerances, sampled_cases
from loop.parts import Condenser, Manifold, Part, Pump, Strainer
from loop.records import dataclass
from loop.seawater import Water
from loop.tolerances import Tolerance
from loop.words.sizing import SAY

_MAX_BLOCKED = 0.98
_WARMEST, _COLDEST = 45.0, -2.0  # [°C], the range of the water's properties
_CONDITIONS = ("sea", "blocked", "supply")

# Samples generated together: bounds memory for any number of samples.
BLOCK = 10_000


@dataclass(frozen=True)
class Distribution:
    """One uncertain quantity: its range, what shares one sample of it, and its source."""

    quantity: str
    spread: str
    shared: str
    basis: str


@dataclass(frozen=True)
class Samples:
    """Standard normal samples: ``day`` by name, (n,); ``built`` as `sampled_cases` takes them."""

    day: dict[str, Array]
    built: Array

    @property
    def count(self) -> int:
        """Number of samples."""
        return len(self.built)


def distributions(network: Network) -> tuple[Distribution, ...]:
    """What is sampled for a network's options: 95 in 100 samples lie in each range."""
    flow, head = pump_tolerances(network.pump)
    low, high = (f"{1000 * height:g}" for height in tolerances.RIBBED)
    return (
        _relative(flow),
        _relative(head),
        _relative(tolerances.LOSS),
        _distribution(
            tolerances.BORE, SAY("range-bore", network.job.units, half=tolerances.BORE.half)
        ),
        _relative(tolerances.BARB),
        _relative(tolerances.BARB_MEASURED),
        Distribution(
            SAY("ribbed"),
            SAY("range-ribbed", low=low, high=high),
            SAY("ribbed-shared"),
            SAY("ribbed-basis"),
        ),
        _distribution(
            tolerances.BLOCKED, SAY("range-blocked", points=100 * tolerances.BLOCKED.half)
        ),
        _distribution(
            tolerances.SEA, SAY("range-sea", network.job.units, half=tolerances.SEA.half)
        ),
        _relative(tolerances.SUPPLY),
    )


def _relative(tolerance: Tolerance) -> Distribution:
    return _distribution(tolerance, SAY("range", half=tolerance.half))


def _distribution(tolerance: Tolerance, spread: str) -> Distribution:
    return Distribution(tolerance.quantity, spread, tolerance.shared, tolerance.source)


def samples_of(network: Network, count: int, seed: int) -> Iterator[Samples]:
    """`count` samples in blocks; the same seed gives the same ones for every option of a job."""
    days, columns = len(_CONDITIONS), draw_columns(network)
    for number, first in enumerate(range(0, count, BLOCK)):
        size = min(BLOCK, count - first)
        normal = cached_draws(size, days + columns, seed + number * 1_000_003)
        yield Samples(dict(zip(_CONDITIONS, normal[:, :days].T, strict=True)), normal[:, days:])


def sea_temperatures(network: Network, samples: Samples) -> Array:
    """Temperature of the sea in each sample [°C], shape (n,)."""
    deviation = tolerances.SEA.sigma * samples.day["sea"]
    return np.clip(network.water.temperature + deviation, _COLDEST, _WARMEST)


def cases(network: Network, samples: Samples) -> Cases:
    """The samples as factors on a network at its worst service."""
    built = sampled_cases(network, samples.built)
    assert built.loss is not None
    dc = network.pump.curve.drive == "dc"
    supply = np.exp(tolerances.SUPPLY.sigma * samples.day["supply"]) if dc else np.ones(1)
    return replace(
        built, speed=built.speed * supply, loss=built.loss * _day_factors(network, samples)
    )


def _day_factors(network: Network, samples: Samples) -> Array:
    """Factor on the loss of each part, from each sample's water and basket, (n, parts)."""
    warming = sea_temperatures(network, samples) - network.water.temperature
    need = network.job.needed_flow
    factors = np.ones((samples.count, len(network.parts)))
    for index, part in enumerate(network.parts):
        if not (isinstance(part, Pump | Manifold) or part.shut):
            factors[:, index] += _change_per_kelvin(part, network.water, need) * warming
        if isinstance(part, Strainer):
            spread = tolerances.BLOCKED.sigma * samples.day["blocked"]
            factors[:, index] *= part.blocked_factor(
                np.clip(part.blocked + spread, 0.0, _MAX_BLOCKED)
            )
    return factors


@lru_cache(maxsize=4096)
def _change_per_kelvin(part: Part, water: Water, flow: float) -> float:
    """Relative change of a part's loss per kelvin: warmer water is less viscous."""
    if isinstance(part, Condenser):
        return 0.0  # rated by its maker, in whatever water
    spread = tolerances.SEA.half
    cold = Water(max(water.temperature - spread, _COLDEST), water.salinity)
    warm = Water(min(water.temperature + spread, _WARMEST), water.salinity)
    lost = part.head_loss(flow, cold)
    if lost == 0:
        return 0.0
    change = math.log(part.head_loss(flow, warm) / lost)
    return change / (warm.temperature - cold.temperature)
