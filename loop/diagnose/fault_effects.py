"""What a fault does to the model: factors on losses, pump and heat; nothing outside the model."""

from collections.abc import Callable
from dataclasses import field
from operator import add, mul

import numpy as np
from numpy.typing import NDArray

from loop.hydraulics import Network
from loop.parts import Manifold, Pump, Seacock, Strainer
from loop.parts.friction import velocity, velocity_head
from loop.parts.scale import TUBE_BORE, insulation, narrowing
from loop.parts.seacock import SHUT_ANGLE, added_coefficient, handle_angle
from loop.records import dataclass

IntArray = NDArray[np.intp]

# Share of its head that a pump keeps which moves no water: a number above zero, for the solver.
_NO_HEAD = 1e-5
# Slip of a small AC pump's motor at its load and rated volts (common practice: 4 to 10 %).
_SLIP = 0.07
# Factor on the loss of a part that lets next to nothing through.
_STOPPED = 1e9


@dataclass(frozen=True)
class Site:
    """Where a fault sits: part and unit (-1 where it has none); what a person calls the place.

    ``still`` says that the pump stands with it, so that no water hides whatever else is wrong.
    """

    where: str
    part: int = -1
    unit: int = -1
    still: bool = False


@dataclass(frozen=True)
class Change:
    """Changes to the model, which multiply (losses, pump, supply) or add (heat, sea).

    loss : factor on a part's head loss, by part index.
    speed, pump_flow, pump_head : factors on the pump, as in `loop.hydraulics.Cases`.
    supply, frequency : factors on the supply's voltage and its frequency, as a meter reads them.
    drive : factor on the pump's electrical power at its flow.
    fouling : resistance added to a unit's condenser, as a share of its 1/UA, by unit index.
    condensing : temperature [K] added to a unit's condensing temperature, by unit index.
    sea : the sea's temperature over the job's [K]; None where it is not the fault, and in doubt.
    warmer : how much warmer than the sea the water is that the intake draws [K].
    legs : numbers of the network's sections of falling legs that hold air.
    full : share of these that is full of water nevertheless.
    rejected : factor on a unit's rejected heat, by unit index: 0 where its compressor stands.
    air : share of the stream that is air, 0 to 1, as the eye judges it.
    basket : share of the strainer's basket that is seen to be covered.
    current : factor on the pump's current beside what its power takes (a weak or jammed motor).
    """

    loss: dict[int, float] = field(default_factory=dict)
    speed: float = 1.0
    pump_flow: float = 1.0
    pump_head: float = 1.0
    supply: float = 1.0
    frequency: float = 1.0
    drive: float = 1.0
    fouling: dict[int, float] = field(default_factory=dict)
    condensing: dict[int, float] = field(default_factory=dict)
    sea: float | None = None
    warmer: float = 0.0
    legs: frozenset[int] = frozenset()
    full: float = 0.0
    rejected: dict[int, float] = field(default_factory=dict)
    air: float = 0.0
    basket: float = 0.0
    current: float = 1.0

    @property
    def of_flows(self) -> tuple[object, ...]:
        """What it changes for the water: equal for changes with which the same flows."""
        loss = frozenset(self.loss.items())
        return loss, self.speed, self.pump_flow, self.pump_head, self.legs, self.full

    def __and__(self, other: "Change") -> "Change":
        """Both changes at once."""
        return Change(
            loss=_both(self.loss, other.loss, mul),
            speed=self.speed * other.speed,
            pump_flow=self.pump_flow * other.pump_flow,
            pump_head=self.pump_head * other.pump_head,
            supply=self.supply * other.supply,
            frequency=self.frequency * other.frequency,
            drive=self.drive * other.drive,
            fouling=_both(self.fouling, other.fouling, add),
            condensing=_both(self.condensing, other.condensing, add),
            sea=other.sea if self.sea is None else self.sea,
            warmer=self.warmer + other.warmer,
            legs=self.legs | other.legs,
            full=max(self.full, other.full),
            rejected=self.rejected | other.rejected,
            air=max(self.air, other.air),
            basket=max(self.basket, other.basket),
            current=self.current * other.current,
        )


def _both(
    one: dict[int, float], other: dict[int, float], join: Callable[[float, float], float]
) -> dict[int, float]:
    """Two tables as one, the values of a key that both have joined."""
    if not (one and other):
        return one or other
    return one | other | {key: join(one[key], other[key]) for key in one.keys() & other.keys()}


def covered(network: Network, site: Site, share: float) -> Change:
    """A passage of which `share` (0 to 1) is covered: the loss goes as 1/(1 − share)².

    As for a strainer's basket: the same water goes through what is left.
    """
    return Change(loss={site.part: (1.0 - share) ** -2 if share < 1 else _STOPPED})


def basket_blocked(network: Network, site: Site, share: float) -> Change:
    """A strainer with `share` of what was open in its basket blocked."""
    part = network.parts[site.part]
    assert isinstance(part, Strainer)
    whole = part.blocked + share * (1 - part.blocked)
    factor = part.blocked_factor(whole) if whole < 1 else _STOPPED
    return Change(loss={site.part: factor}, basket=share)


def narrowed(network: Network, site: Site, share: float) -> Change:
    """A hose whose bore is narrower by `share`: its whole loss × (1 − share)^−4.8.

    An engineering estimate: a kink is short but sharp, a collapsed lining long and smooth.
    """
    return Change(loss={site.part: narrowing(share)})


def turned(network: Network, site: Site, share: float) -> Change:
    """A valve whose handle is turned by `share` of the way to shut, from where the job has it.

    From `SHUT_ANGLE` on, before the handle's stop, it passes next to nothing.
    The plug-cock values of `loop.parts.seacock`, over the loss as the job has it. Where the part
    is no seacock the valve stands before it, and its K is taken on that part's bore.
    """
    here = network.parts[site.part]
    start = handle_angle(here.open) if isinstance(here, Seacock) else 0.0
    port = min(here.port or here.inner_bore, here.inner_bore) if isinstance(here, Seacock) else None
    angle = start + share * (handle_angle(0.0) - start)
    if angle >= SHUT_ANGLE:
        return Change(loss={site.part: _STOPPED})
    added = added_coefficient(angle) - added_coefficient(start)
    moved = 1.0 if port is None else (here.inner_bore / port) ** 4
    return Change(loss={site.part: 1.0 + added * moved / _own_coefficient(site.part, network)})


def _own_coefficient(index: int, network: Network) -> float:
    """K of a part on its own bore, at 1 m/s, with that of the steps of bore that it bears."""
    bore = network.parts[index].inner_bore
    flow = 1.0 / velocity(1.0, bore)
    return max(network.head_loss(index, flow) / velocity_head(flow, bore), 1e-6)


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


def air_drawn(network: Network, site: Site, share: float) -> Change:
    """Air drawn in on the suction side, from 0 (a bubble) to 1 (the pump is full of it).

    An engineering estimate: small centrifugal pumps lose their head at some 5 to 10 % of air by
    volume, slowly at first and then all of it; the motor's load goes with the water moved.
    """
    return Change(
        pump_head=max((1 - share) ** 0.9, _NO_HEAD),
        pump_flow=max(1 - 0.85 * share, 0.1),
        drive=1 - 0.45 * share,
        air=min(0.25 + 0.75 * share, 1.0),
    )


def air_bound(network: Network, site: Site, share: float) -> Change:
    """A pump full of air: no head to speak of, the motor half unloaded (engineering estimate)."""
    return air_drawn(network, site, 1.0)


def held_air(network: Network, site: Site, share: float) -> Change:
    """The falling leg behind a high point holds air: it takes `share` of what it can.

    With all of it the leg is as `loop.hydraulics.leg_states` has it where air stays: the loss is
    close to the pocket's height (May, Allen & Nelson 2018).
    """
    numbers = [
        number
        for leg in network.legs
        if leg.from_part == site.part and not leg.branch
        for number in leg.sections
    ]
    return Change(legs=frozenset(numbers), full=1 - share, air=0.15 * share)


def air_locked(network: Network, site: Site, share: float) -> Change:
    """Air in one branch: its water is throttled, at 1 stopped (an engineering estimate)."""
    return Change(loss={site.part: _throttled(share)}, air=0.1)


def blocked(network: Network, site: Site, share: float) -> Change:
    """A passage after the pump that is all but closed as `share` nears 1; no air with it."""
    return Change(loss={site.part: _throttled(share)})


def unbalanced(network: Network, site: Site, more: float) -> Change:
    """The other units' branches let `more` of the water through than the job has, at one head.

    Their valves are not set, or one of less resistance was added; nothing is in this one's way.
    """
    own = network.line_of[site.part]
    lines = {network.unit_line(unit.name) for unit in network.job.condenser} - {own}
    parts = [part for line in lines for part in network.lines[line].parts]
    others = [p for p in parts if not isinstance(network.parts[p], Manifold | Pump)]
    return Change(loss=dict.fromkeys(others, (1.0 + more) ** -2))


def _throttled(share: float) -> float:
    return min((1.0 - share) ** -4, _STOPPED) if share < 1 else _STOPPED


def worn(network: Network, site: Site, share: float) -> Change:
    """A worn impeller: head and flow both down by `share`, power as before (estimate)."""
    return Change(pump_head=1 - share, pump_flow=1 - share)


def decoupled(network: Network, site: Site, share: float) -> Change:
    """A motor that runs while the impeller stands: no head, and no load but the motor's own.

    The motor's own losses are taken as 0.45 of its power at no flow (engineering estimate).
    """
    return Change(pump_head=_NO_HEAD, drive=0.45)


def unpowered(network: Network, site: Site, share: float) -> Change:
    """No supply at the pump: nothing turns, nothing is drawn."""
    return Change(
        pump_head=_NO_HEAD, supply=_NO_HEAD, frequency=_NO_HEAD, drive=_NO_HEAD, current=0.0
    )


def dead_motor(network: Network, site: Site, share: float) -> Change:
    """A motor that does nothing on a good supply: open winding or cut-out, brushes, electronics.

    It does not turn, and no current passes.
    """
    return Change(pump_head=_NO_HEAD, drive=_NO_HEAD, current=0.0)


def jammed(network: Network, site: Site, share: float) -> Change:
    """A rotor that stands: no head; the motor hums at two to four times its power and current."""
    return Change(pump_head=_NO_HEAD, drive=1 + share)


def weak_motor(network: Network, site: Site, share: float) -> Change:
    """A motor that turns slower by `share` on a good supply (capacitor, brushes, bearing).

    It draws more than its load explains, by about as much again (engineering estimate).
    """
    return Change(speed=1 - share, drive=(1 - share) ** -3, current=1 + share)


def wrong_pump(network: Network, site: Site, share: float) -> Change:
    """A pump that turns the wrong way, or is the wrong one: head and flow down by `share`.

    A centrifugal pump that turns backwards still pumps, some half of its head (common practice);
    its power does not fall with it.
    """
    return Change(pump_head=1 - share, pump_flow=1 - 0.7 * share)


def header_blocked(network: Network, site: Site, share: float) -> Change:
    """Zinc crumbs or weed over a share of a condenser's tubes: loss as for a covered passage.

    The tubes that are covered cool nothing: resistance as the inverse of what is left.
    """
    return Change(
        loss={site.part: (1.0 - share) ** -2}, fouling={site.unit: 0.5 * share / (1.0 - share)}
    )


def unit_off(network: Network, site: Site, share: float) -> Change:
    """A unit whose compressor stands: its water is not warmed, whatever flows.

    Where nothing else calls for the pump it stands too: its relay gives it no volts.
    """
    stands = unpowered(network, site, 1.0) if site.still else Change()
    return Change(rejected={site.unit: share}) & stands


def weak_unit(network: Network, site: Site, share: float) -> Change:
    """A unit that cools, and warms the water, less by `share`: too little charge, or air."""
    return Change(rejected={site.unit: 1.0 - share})


def low_supply(network: Network, site: Site, share: float) -> Change:
    """Volts low by `share`. A DC pump turns slower by as much; an AC one by its slip alone.

    Its frequency stays, as on a dock in the evening; the slip of an induction motor at its load
    goes as one over the square of the volts, its current rises as they fall.
    """
    if network.pump.curve.drive == "dc":
        return Change(speed=1 - share, supply=1 - share)
    slip = _SLIP / (1 - share) ** 2
    return Change(speed=(1 - slip) / (1 - _SLIP), supply=1 - share)


def slow_generator(network: Network, site: Site, share: float) -> Change:
    """A generator that turns slower by `share`: its frequency and its volts are low by as much."""
    return Change(speed=1 - share, supply=1 - share, frequency=1 - share)


def hot_condenser(network: Network, site: Site, kelvin: float) -> Change:
    """A fault of the refrigerant side: condensing `kelvin` hotter though the water is right."""
    return Change(condensing={site.unit: kelvin})


def warm_sea(network: Network, site: Site, kelvin: float) -> Change:
    """Sea warmer than the job's by `kelvin`."""
    return Change(sea=kelvin)


def nothing(network: Network, site: Site, share: float) -> Change:
    """The loop as the job has it."""
    return Change()
