"""What is not known about a loop before it is built, as distributions, and draws from them.

Where only limits are known, every value between them is taken as equally likely (JCGM 101:2008,
6.4.2). The same draws serve every option, so that two options differ by what they are and not by
their luck.
"""

import math
from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from loop.curve import Array
from loop.hydraulics import Cases, Network, bore_factors
from loop.hydraulics.band import BORE, LOSS, PUMP_FLOW, PUMP_HEAD
from loop.parts import Condenser, Hose, Manifold, Part, Pump, Strainer
from loop.parts.hose import BARB_OVER_HOSE
from loop.seawater import Water

# Engineering estimates, each the half width of its range: barb bore where the job states it [m] and
# where it follows the rule of thumb (share of the bore); how well a skipper judges a basket (share
# of the basket); how much warmer or colder than the warmest sea stated [K]; voltage at a DC pump's
# terminals (share).
BARB_STATED, BARB_BY_RULE = 0.0254 / 64, 0.05
BLOCKED, SEA, SUPPLY = 0.10, 1.5, 0.02
_MOST_BLOCKED = 0.98
_WARMEST, _COLDEST = 45.0, -2.0  # [°C], the range of the water's properties

# Draws made together: bounds memory however many are asked for.
BLOCK = 10_000


@dataclass(frozen=True)
class Distribution:
    """One uncertain quantity: its range, what one draw of it is shared by, and where it is from."""

    quantity: str
    spread: str
    shared: str
    basis: str


_ESTIMATE = "engineering estimate"
DISTRIBUTIONS = (
    Distribution("pump flow", f"±{PUMP_FLOW:.0%}", "the whole curve", "ISO 9906:2012, grade 2B"),
    Distribution("pump head", f"±{PUMP_HEAD:.0%}", "the whole curve", "ISO 9906:2012, grade 2B"),
    Distribution("losses", f"±{LOSS:.0%}", "all parts of one kind", _ESTIMATE),
    Distribution("tee losses of manifolds", f"±{LOSS:.0%}", "all tees", _ESTIMATE),
    Distribution("hose bore", "±1/32 in", "all hoses: they come off one reel", _ESTIMATE),
    Distribution(
        "barb bore",
        f"±{BARB_BY_RULE:.0%}, or ±1/64 in where the job states it",
        "all barbs",
        _ESTIMATE,
    ),
    Distribution(
        "strainer blocked",
        f"±{100 * BLOCKED:.0f} points about the service",
        "all strainers",
        _ESTIMATE,
    ),
    Distribution("sea temperature", f"±{SEA:g} K about the warmest", "the whole loop", _ESTIMATE),
    Distribution("supply of a DC pump", f"±{SUPPLY:.0%}", "the pump", _ESTIMATE),
)

_KINDS = (
    "intake", "seacock", "hose", "strainer", "bleed", "condenser", "elbow", "tee",
    "check valve", "fitting", "discharge",
)  # fmt: skip
_SINGLE = ("pump_flow", "pump_head", "supply", "tee", "bore", "barb", "blocked", "sea")


@dataclass(frozen=True)
class Draws:
    """Standard draws, each from −1 to 1: ``single`` by name, ``kinds`` by kind of part, (n,)."""

    single: dict[str, Array]
    kinds: dict[str, Array]

    @property
    def count(self) -> int:
        """How many draws there are."""
        return len(self.single["sea"])


def drawn(count: int, seed: int) -> Iterator[Draws]:
    """`count` draws in blocks; the same seed gives the same draws, whatever the job."""
    generator = np.random.default_rng(seed)
    names = len(_SINGLE) + len(_KINDS)
    for first in range(0, count, BLOCK):
        values = generator.uniform(-1.0, 1.0, (min(BLOCK, count - first), names))
        columns = np.ascontiguousarray(values.T)
        yield Draws(
            dict(zip(_SINGLE, columns, strict=False)),
            dict(zip(_KINDS, columns[len(_SINGLE) :], strict=True)),
        )


def sea_temperatures(network: Network, drawn: Draws) -> Array:
    """Temperature of the sea in each draw [°C], shape (n,)."""
    return np.clip(network.water.temperature + SEA * drawn.single["sea"], _COLDEST, _WARMEST)


def cases(network: Network, drawn: Draws) -> Cases:
    """The draws as factors on a network that stands at its worst service."""
    one = drawn.single
    dc = network.pump.curve.drive == "dc"
    return Cases(
        speed=1 + SUPPLY * one["supply"] if dc else np.ones(1),
        pump_flow=1 + PUMP_FLOW * one["pump_flow"],
        pump_head=1 + PUMP_HEAD * one["pump_head"],
        loss=_loss(network, drawn),
        tee=1 + LOSS * one["tee"],
    )


def _loss(network: Network, drawn: Draws) -> Array:
    """Factor on the loss of each part in each draw, shape (n, parts)."""
    bores = bore_factors(network, BORE * drawn.single["bore"])
    warmth = sea_temperatures(network, drawn) - network.water.temperature
    need = sum(unit.needed_flow for unit in network.job.condenser)
    columns = []
    for index, part in enumerate(network.parts):
        factor = bores[:, index]
        if not (isinstance(part, Pump | Manifold) or part.shut):
            factor = factor * (1 + LOSS * drawn.kinds.get(part.kind, drawn.kinds["fitting"]))
            factor *= 1 + _warmth_share(part, network.water, need) * warmth
        if isinstance(part, Hose) and part.barbs:
            places, logs = _barb_probes(part, network.water)
            factor *= np.exp(np.interp(drawn.single["barb"], places, logs))
        elif isinstance(part, Strainer):
            factor *= _blocked_factor(part, drawn.single["blocked"])
        columns.append(factor)
    return np.stack(columns, axis=1)


def _blocked_factor(strainer: Strainer, drawn: Array) -> Array:
    """Loss over the loss as stated, where the basket is blocked more or less than stated."""
    blocked = np.clip(strainer.blocked + BLOCKED * drawn, 0.0, _MOST_BLOCKED)
    return np.asarray(((1 - strainer.blocked) / (1 - blocked)) ** 2)


@lru_cache(maxsize=4096)
def _barb_probes(hose: Hose, water: Water) -> tuple[tuple[float, ...], tuple[float, ...]]:
    """Draws of the barb's bore, and log of the hose's loss factor at each."""
    bore, barb = hose.inner_bore, hose.barb
    stated = hose.barb_bore is not None and not math.isclose(barb, BARB_OVER_HOSE * bore)
    off = min(BARB_STATED, barb / 4) if stated else BARB_BY_RULE * barb
    flow = math.pi / 4 * bore**2  # 1 m/s: the factor changes little with flow
    places = (-1.0, -0.5, 0.0, 0.5, 1.0)
    losses = [
        hose.model_copy(update={"barb_bore": min(barb + off * at, bore)}).head_loss(flow, water)
        for at in places
    ]
    return places, tuple(math.log(loss / losses[2]) for loss in losses)


@lru_cache(maxsize=4096)
def _warmth_share(part: Part, water: Water, flow: float) -> float:
    """Change of a part's loss a kelvin, as a share: thinner water rubs less."""
    if isinstance(part, Condenser):
        return 0.0  # rated by its maker, in whatever water
    cold = Water(max(water.temperature - SEA, _COLDEST), water.salinity)
    warm = Water(min(water.temperature + SEA, _WARMEST), water.salinity)
    lost = part.head_loss(flow, cold)
    if lost == 0:
        return 0.0
    change = math.log(part.head_loss(flow, warm) / lost)
    return change / (warm.temperature - cold.temperature)
