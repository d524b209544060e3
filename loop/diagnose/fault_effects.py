"""What a fault does to the model: factors on losses, pump and heat; nothing outside the model."""

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from loop.hydraulics import Network
from loop.parts import Part, Seacock, Strainer
from loop.parts.friction import velocity, velocity_head
from loop.parts.scale import TUBE_BORE, insulation, narrowing
from loop.parts.seacock import SHUT_ANGLE, added_coefficient, handle_angle

IntArray = NDArray[np.intp]

# Share of its head that a pump keeps which moves no water: a number above zero, for the solver.
_NO_HEAD = 1e-5


@dataclass(frozen=True)
class Site:
    """Where a fault sits: part and unit (-1 where it has none); what a person calls the place."""

    where: str
    part: int = -1
    unit: int = -1


@dataclass(frozen=True)
class Change:
    """Changes to the model, which multiply (losses, pump, supply) or add (heat, sea).

    loss : factor on a part's head loss, by part index.
    speed, pump_flow, pump_head : factors on the pump, as in `loop.hydraulics.Cases`.
    supply : factor on supply voltage and frequency, as a meter would read them.
    drive : factor on the pump's electrical power at its flow.
    fouling : resistance added to a unit's condenser, as a share of its 1/UA, by unit index.
    condensing : temperature [K] added to a unit's condensing temperature, by unit index.
    sea : the sea's temperature over the job's [K]; None where it is not the fault, and in doubt.
    air : share of the stream that is air, 0 to 1, as the eye judges it.
    basket : share of the strainer's basket that is seen to be covered.
    """

    loss: dict[int, float] = field(default_factory=dict)
    speed: float = 1.0
    pump_flow: float = 1.0
    pump_head: float = 1.0
    supply: float = 1.0
    drive: float = 1.0
    fouling: dict[int, float] = field(default_factory=dict)
    condensing: dict[int, float] = field(default_factory=dict)
    sea: float | None = None
    air: float = 0.0
    basket: float = 0.0

    def __and__(self, other: "Change") -> "Change":
        """Both changes at once."""
        loss = dict(self.loss)
        for part, factor in other.loss.items():
            loss[part] = loss.get(part, 1.0) * factor
        return Change(
            loss=loss,
            speed=self.speed * other.speed,
            pump_flow=self.pump_flow * other.pump_flow,
            pump_head=self.pump_head * other.pump_head,
            supply=self.supply * other.supply,
            drive=self.drive * other.drive,
            fouling=_added(self.fouling, other.fouling),
            condensing=_added(self.condensing, other.condensing),
            sea=other.sea if self.sea is None else self.sea,
            air=max(self.air, other.air),
            basket=max(self.basket, other.basket),
        )


def _added(one: dict[int, float], other: dict[int, float]) -> dict[int, float]:
    return {key: one.get(key, 0.0) + other.get(key, 0.0) for key in {*one, *other}}


def covered(network: Network, site: Site, share: float) -> Change:
    """A passage of which `share` (0 to below 1) is covered: the loss goes as 1/(1 − share)².

    As for a strainer's basket: the same water goes through what is left.
    """
    return Change(loss={site.part: (1.0 - share) ** -2})


def basket_blocked(network: Network, site: Site, share: float) -> Change:
    """A strainer with `share` of what was open in its basket blocked."""
    part = network.parts[site.part]
    assert isinstance(part, Strainer)
    whole = part.blocked + share * (1 - part.blocked)
    return Change(loss={site.part: part.blocked_factor(whole)}, basket=share)


def narrowed(network: Network, site: Site, share: float) -> Change:
    """A hose whose bore is narrower by `share`: its whole loss × (1 − share)^−4.8.

    An engineering estimate: a kink is short but sharp, a collapsed lining long and smooth.
    """
    return Change(loss={site.part: narrowing(share)})


def turned(network: Network, site: Site, share: float) -> Change:
    """A valve whose handle is turned by `share` of the way to shut, from where the job has it.

    The plug-cock values of `loop.parts.seacock`, over the loss as the job has it. Where the part
    is no seacock the valve stands before it, and its K is taken on that part's bore.
    """
    here = network.parts[site.part]
    start = handle_angle(here.open) if isinstance(here, Seacock) else 0.0
    port = min(here.port or here.inner_bore, here.inner_bore) if isinstance(here, Seacock) else None
    angle = start + share * (SHUT_ANGLE - start)
    added = added_coefficient(angle) - added_coefficient(start)
    moved = 1.0 if port is None else (here.inner_bore / port) ** 4
    return Change(loss={site.part: 1.0 + added * moved / _own_coefficient(here, network)})


def _own_coefficient(part: Part, network: Network) -> float:
    """K of a part on its own bore, at 1 m/s."""
    flow = 1.0 / velocity(1.0, part.inner_bore)
    own = part.head_loss(flow, network.water)
    return max(own / velocity_head(flow, part.inner_bore), 1e-6)


def scaled(network: Network, site: Site, share: float) -> Change:
    """Scale on a condenser's tube, thickness `share` of its bore: less bore, and less heat.

    Loss × 1/(1 − 2 share)^4.8, and resistance thickness/conductivity over that of the clean
    condenser.
    """
    bore = getattr(network.parts[site.part], "clear_bore", None) or TUBE_BORE
    return Change(
        loss={site.part: narrowing(2 * share)}, fouling={site.unit: insulation(share * bore)}
    )


def filmed(network: Network, site: Site, share: float) -> Change:
    """Slime on a condenser's tube: heat only, resistance `share` of the clean condenser's."""
    return Change(fouling={site.unit: share})


def air_leak(network: Network, site: Site, share: float) -> Change:
    """Air drawn in on the suction side; `share` from 0 (a bubble) to 1 (all but lost).

    An engineering estimate: head falls by 0.7 of the share and flow by 0.5, and the motor's load
    by 0.3, for small centrifugal pumps lose their head at some 5 to 10 % of air by volume.
    """
    return Change(
        pump_head=1 - 0.7 * share, pump_flow=1 - 0.5 * share, drive=1 - 0.3 * share, air=share
    )


def air_bound(network: Network, site: Site, share: float) -> Change:
    """A pump full of air: no head to speak of, the motor half unloaded (engineering estimate)."""
    return Change(pump_head=_NO_HEAD, drive=0.55, air=0.1)


def worn(network: Network, site: Site, share: float) -> Change:
    """A worn impeller: head and flow both down by `share`, power as before (estimate)."""
    return Change(pump_head=1 - share, pump_flow=1 - share)


def decoupled(network: Network, site: Site, share: float) -> Change:
    """A motor that runs while the impeller stands: no head, and no load but the motor's own.

    The motor's own losses are taken as 0.45 of its power at no flow (engineering estimate).
    """
    return Change(pump_head=_NO_HEAD, drive=0.45)


def low_supply(network: Network, site: Site, share: float) -> Change:
    """Supply low by `share`: voltage of a DC pump; voltage and frequency of a slow generator."""
    return Change(speed=1 - share, supply=1 - share)


def hot_condenser(network: Network, site: Site, kelvin: float) -> Change:
    """A fault of the refrigerant side: condensing `kelvin` hotter though the water is right."""
    return Change(condensing={site.unit: kelvin})


def warm_sea(network: Network, site: Site, kelvin: float) -> Change:
    """Sea warmer than the job's by `kelvin`."""
    return Change(sea=kelvin)


def nothing(network: Network, site: Site, share: float) -> Change:
    """The loop as the job has it."""
    return Change()
