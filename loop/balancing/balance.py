"""Several units on one pump: the throttling that gives each the same share of its need."""

from dataclasses import replace
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from loop.balancing.isolation import Unit, bypasses, open_units, valves
from loop.balancing.throttle_valves import Rig, Throttle, rig, whole
from loop.curve import Array
from loop.hydraulics import Cases, Flows, Network, solve_flows
from loop.hydraulics.band import flow_band
from loop.parts.seacock import SHUT_ANGLE, added_coefficient
from loop.records import dataclass

_ROUNDS = 40
# Shares that differ by less are nearly even: what then changes is the speed's doing.
_NEARLY = 0.1
# Steps over those of the square law, the least and the most.
_BOLDNESS = 0.2, 8.0
# How often the air in legs may turn out to be other than it was while shares were evened.
_STATES = 3
# Rounds that may pass without coming nearer: branches that push each other off will not balance.
_PATIENCE = 8
# Shares of the need that are alike, for the duty of a pump that is still to be found.
_CLOSE = 1e-4
# K at which a line is as good as shut, a hundred times a ball valve's on the point of shutting: a
# unit that has no share of its own by then gets none from throttling the others.
_CLOSED = 1e6
# Flow over need at the middle of the band that leaves the need at its low edge, at the most: the
# band of a running loop is narrower than this.
SPARE_MOST = 1.25
# In turbulent flow, which every hose has at its need, flows on the tables differ by far less than
# this from those on the parts' own functions.
ROOM = 0.004


@dataclass(frozen=True)
class Balance:
    """Throttling that gives every branch the same share of its need.

    ``share`` is the flow over need that every unit then has at least; ``total_flow`` [m³/s] and
    ``pump_head`` [m] what the pump then does; ``line_flow`` [m³/s] that of every line;
    ``throttles`` the valves to set, none on the branch that needs it least unless a valve that is
    there has to be opened. ``network`` is the loop with the valves so set, and ``needs`` each
    unit's line in it with its need [m³/s].
    """

    share: float
    total_flow: float
    pump_head: float
    line_flow: Array
    throttles: tuple[Throttle, ...]
    network: Network
    needs: tuple[tuple[int, float], ...]

    @cached_property
    def low(self) -> float:
        """Flow over need that every unit has at least at the low edge of the band."""
        return _least(flow_band(self.network, self.line_flow)[0], self.needs)

    @property
    def enough(self) -> bool:
        """Whether every unit has its need, at the low edge too."""
        return self.share >= 1 and self.low >= 1


def balance(network: Network) -> Balance | None:
    """The balance of a network's units, or None where there is nothing to balance.

    Valves that branches have are taken as open to begin with. Loss is then added to the greedy
    branches until flow over need is the same for all: a line whose flow is x times its even share
    needs x² times its loss, which is repeated until it stands still. A unit that a shut valve keeps
    from its water is left out. Units in line share one valve, set for the one that needs most; a
    unit on a line that feeds others has none. A branch without a unit is throttled as far as the
    units need it, and no further.
    """
    units = open_units(network)
    chosen = valves(network, units)
    loose = bypasses(network)
    if not chosen or len(chosen) + len(loose) < 2:
        return None
    ways = [("", 0.0, index) for index in loose]
    rigged = rig(network, [*((name, need, i) for name, i, need in chosen), *ways])
    evening = _Evening(rigged, units, len(chosen))
    start = np.array([knob.least for knob in rigged.knobs[: len(chosen)]])
    asis = np.array([knob.present for knob in rigged.knobs[len(chosen) :]])
    found = evening.whole(evening.even(start, asis)[1], asis)
    if loose and not found.enough:
        return _bypass_closed(evening, found, asis)
    return found


def duty(network: Network, share: float = 1.0) -> tuple[float, float] | None:
    """Pump head [m] and flow [m³/s] that give every unit `share` times its need, balanced.

    What a loop takes does not depend on the pump that drives it: the pump of the job is run faster
    or slower (affinity laws) until the flows are right. Shut units are left out. None where no
    pump of up to 64 times the head would do.
    """
    drawn = draught(network, share)
    return None if drawn is None else (drawn.pump_head, drawn.total_flow)


def draught(network: Network, share: float = 1.0) -> Balance | None:
    """The balanced loop behind `duty`; its valves are not in whole degrees."""
    units = open_units(network)
    if not units:
        return None
    chosen = valves(network, units)
    rigged = rig(network, [(name, need, i) for name, i, need in chosen])
    evening = _Evening(rigged, units, len(chosen))
    start = np.array([knob.least for knob in rigged.knobs])
    flows, coefficients = evening.even(start, np.zeros(0), share)
    even = evening.balance(flows, coefficients)
    return even if abs(even.share / share - 1) < 1e-3 else None


def _bypass_closed(evening: "_Evening", open_: Balance, asis: Array) -> Balance:
    """The balance with its bypasses part-closed as little as gives every unit its need.

    The units' own valves stay as they are where that does. Where not even shut bypasses do, it is
    the balance with them shut.
    """
    knobs, rest = evening.rig.knobs[: evening.count], evening.rig.knobs[evening.count :]
    own = np.array([knob.own for knob in rest])
    shut = np.maximum(own + added_coefficient(SHUT_ANGLE - 1), asis)
    unset = np.array([knob.present for knob in knobs])
    least = np.array([knob.least for knob in knobs])
    closed = open_
    for find in (lambda: unset, lambda: evening.even(least, shut)[1]):
        coefficients = find()
        closed = evening.whole(coefficients, shut)
        if closed.enough:
            return _bypass_eased(evening, coefficients, closed, asis)
    return closed if closed.share > open_.share * 1.01 else open_


def _bypass_eased(
    evening: "_Evening", coefficients: Array, closed: Balance, asis: Array
) -> Balance:
    """A balance with its bypasses opened again as far as every unit keeps its need."""
    own = np.array([knob.own for knob in evening.rig.knobs[evening.count :]])
    ways = [np.maximum(own + added_coefficient(a), asis) for a in np.arange(1.0, SHUT_ANGLE)]
    loss = np.stack([evening.rig.loss(np.concatenate([coefficients, way])) for way in ways])
    rows = solve_flows(evening.rig.network, Cases(loss=loss), start=closed.line_flow).line_flow
    wanted = closed.share / closed.low
    enough = [way for way, row in zip(ways, rows, strict=True) if evening.least(row) >= wanted]
    for way in enough[:4]:
        found = evening.whole(coefficients, way)
        if found.low >= 1 + ROOM:
            return found
    return closed


@dataclass(frozen=True)
class _Tried:
    """The knobs' K, the pump's speed as a share of its own, and the flows at these."""

    coefficients: Array
    speed: float
    flows: Flows


class _Evening:
    """The search for even shares by a rig's first `count` knobs, those of the units."""

    def __init__(self, rigged: Rig, units: list[Unit], count: int) -> None:
        self.rig, self.count = rigged, count
        line_of = rigged.network.line_of
        self.needs = tuple((line_of[index], need) for _, index, need in units)
        knobs = rigged.knobs[:count]
        self.need = np.array([knob.need for knob in knobs])
        self.lines = np.array([knob.line for knob in knobs], dtype=np.intp)
        self.floor = np.array([knob.least for knob in knobs])
        self.bore = np.array([knob.bore for knob in knobs])

    def even(
        self, coefficients: Array, others: Array, aim: float | None = None
    ) -> tuple[Flows, Array]:
        """Flows, and the knobs' K, with which the shares are even; `others` are bypasses' K.

        With `aim`, the pump's speed is changed until the unit with the least has that share. Legs
        keep the air that they have while shares are evened, which starts again where that is not
        the air that they then have.
        """
        tried = _Tried(coefficients, 1.0, self.solve(coefficients, others))
        for _ in range(_STATES):
            held = tried.flows.air
            tried = self._evened(tried, others, aim)
            flows = self.solve(tried.coefficients, others, tried.speed, tried.flows)
            tried = replace(tried, flows=flows)
            if (flows.air == held).all():
                break
        return tried.flows, tried.coefficients

    def _evened(self, first: "_Tried", others: Array, aim: float | None) -> "_Tried":
        """The most even of some rounds from a first, the legs' air as it is there."""
        now, kept, eager = first, first, 0.6
        last = self.least(now.flows.line_flow[0])
        least_error, stale = np.inf, 0
        boldness, before, change = 1.0, None, 1.0
        lost = Rig(self.rig.network, self.rig.knobs[: self.count]).line_coefficients(self.need)
        for _ in range(_ROUNDS):
            share = now.flows.line_flow[0, self.lines] / self.need
            least = self.least(now.flows.line_flow[0])
            if not now.flows.settled[0]:
                break  # valves so nearly shut that the flows cannot be told: no balance is near
            uneven = share.max() / max(share.min(), 1e-12) - 1
            error = uneven if aim is None else max(uneven, abs(least / aim - 1))
            stale += 1
            if error < least_error:
                kept, least_error, stale = now, error, 0
            hopeless = aim is None and now.coefficients.max() > _CLOSED and uneven > 1
            if error < _CLOSE or stale > _PATIENCE or hopeless:
                break
            over = self._over(share)
            # Where the pump's speed changes as well, flows answer to both.
            boldness = _bolder(boldness, before, over) if aim is None else 1.0
            coefficients = self._more_even(boldness * over, now.coefficients, lost)
            before, speed = over, now.speed
            if aim is not None:
                # Flow goes with speed, and more steeply where the pump lifts: smaller steps from
                # each that goes too far, and larger ones again where the last, once the shares
                # are near even, was answered by less.
                if (least < aim) != (last < aim):
                    eager *= 0.5
                elif last > aim / 2 and uneven < _NEARLY:
                    answered = np.log(max(least, 1e-3) / last) / change
                    eager = float(min(1 / max(answered, 0.5), 2 * eager))
                last = max(least, 1e-3)
                faster = np.clip((aim / last) ** eager, 0.7, 1.5)
                change = float(np.log(faster)) or 1.0
                speed = float(np.clip(speed * faster, 0.05, 8.0))
            flows = self.solve(coefficients, others, speed, now.flows, now.flows.air)
            now = _Tried(coefficients, speed, flows)
        return kept

    def _over(self, share: Array) -> Array:
        """Logarithm of how far each line's loss falls short of what makes the shares even."""
        middle = np.exp(np.mean(np.log(np.maximum(share, 1e-3))))
        return np.asarray(2 * np.log(np.clip(share / middle, 0.5, 2.0)))

    def _more_even(self, step: Array, coefficients: Array, lost: Array) -> Array:
        """K that bring the shares together; the head that all could do without is left out."""
        added = np.exp(step) * (lost + coefficients) - lost
        # A K takes head by the square of its speed, which at an even share goes with the need.
        weight = (self.need / self.bore**2) ** 2
        spare = np.min((added - self.floor) * weight)
        return np.asarray(np.maximum(added - spare / weight, self.floor))

    def solve(
        self,
        coefficients: Array,
        others: Array,
        speed: float = 1.0,
        near: Flows | None = None,
        air: NDArray[np.bool_] | None = None,
    ) -> Flows:
        """The flows at these K, with this air in the legs where it is given."""
        loss = self.rig.loss(np.concatenate([coefficients, others]))
        cases = Cases(speed=np.array([speed]), loss=loss[None, :], air=air)
        return solve_flows(self.rig.network, cases, start=None if near is None else near.line_flow)

    def least(self, line_flow: Array) -> float:
        """Flow over need of the unit that gets the least of it."""
        return _least(line_flow, self.needs)

    def balance(self, flows: Flows, coefficients: Array) -> Balance:
        """A balance of what the search came to; the knobs' K are those of all of them."""
        line_flow = flows.line_flow[0]
        return Balance(
            share=self.least(line_flow),
            total_flow=float(line_flow[self.rig.network.pump_line]),
            pump_head=float(flows.pump_head[0]),
            line_flow=line_flow,
            throttles=self.rig.throttles(coefficients, line_flow),
            network=self.rig.set_to(coefficients),
            needs=self.needs,
        )

    def whole(self, coefficients: Array, others: Array) -> Balance:
        """What a balance comes to with its valves set to whole degrees, K and flows to match."""
        knobs = self.rig.knobs[: self.count]
        set_to = np.array([whole(k, float(c)) for k, c in zip(knobs, coefficients, strict=True)])
        return self.balance(self.solve(set_to, others), np.concatenate([set_to, others]))


def _bolder(boldness: float, before: Array | None, over: Array) -> float:
    """How much further than friction alone would ask the next step goes: Aitken's rule.

    Where most of a line's head is lift, its flow answers a valve less than by the square root.
    """
    change = None if before is None else before - over
    if before is None or change is None or not (size := float(change @ change)):
        return boldness
    return float(np.clip(boldness * (before @ change) / size, _BOLDNESS[0], _BOLDNESS[1]))


def _least(line_flow: Array, needs: tuple[tuple[int, float], ...]) -> float:
    return min(float(line_flow[line]) / need for line, need in needs)
