"""Which sections of falling legs hold air: at start-up, and in the best case.

An outer iteration around the solver, for many cases at once and any network: in each state of the
sections the losses rise monotonically with flow, and the network is solved as usual. Each iteration
changes sections in one direction only, so it needs no more rounds than there are sections.
"""

from collections.abc import Callable
from dataclasses import replace
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from loop.curve import Array
from loop.hydraulics.cases import Cases
from loop.hydraulics.flow_paths import open_lines
from loop.hydraulics.flows import Flows
from loop.hydraulics.leg_losses import LegLosses, leg_losses
from loop.hydraulics.legs import Leg
from loop.hydraulics.lines import LineLosses
from loop.hydraulics.network import Network
from loop.hydraulics.resistances import Resistances
from loop.parts.friction import GRAVITY, ROUNDING
from loop.records import dataclass

# Solver of cases whose `air` is given, from flows near the solution or from none.
Solve = Callable[[Cases, Array | None], Flows]
_Mask = NDArray[np.bool_]
# Up to so many cases two states are solved at once: of more, calls cost little.
_AT_ONCE = 256


def as_it_starts(
    network: Network, cases: Cases, solve: Solve, start: Array | Flows | None
) -> Flows:
    """Flows at start-up: air in every leg where priming leaves it, unless the leg fills itself.

    A section fills where the water, at its flow with air in the sections, is faster than the
    clearing band. A leg with a valve (a vented loop, or a bleed whose air stays out when the pump
    stops) fills where its high point, with the leg full, is under pressure; behind a vented loop it
    fills in no other way. A bleed over a line that drains does not count, since nobody opens it.
    This is repeated until no state changes. Sections that have filled but cannot stay full then
    hold air again. A leg up which water of the full loop runs backwards has filled from below.

    `start` is flows near the solution, or a result for the same cases with the legs in some state;
    a case that ends in that state keeps this result.
    """
    states = _States(network, cases, solve, start)
    air = np.broadcast_to(states.open, (cases.count, len(network.sections)))
    back = np.zeros_like(air)
    if network.joints:
        full, flows = states.both(back, air)
        back = states.runs(full.line_flow) < 0
        if back.any():
            flows = states.all_of(air & ~back)
    else:
        sure = states.surely_fill(air)
        flows = states.all_of(air & ~sure[:, None])
        if sure.all():
            return flows
    flows = states.until_still(flows, lambda some, air: air & ~states.fills(some, air))

    def held(some: _Some, air: _Mask) -> _Mask:
        turned = back[some.rows] & (states.runs(some.flows) > 0) & ~states.fills(some, air)
        return air | turned | states.empties(some, air)

    return states.until_still(flows, held)


def at_best(network: Network, cases: Cases, solve: Solve, start: Array | Flows | None) -> Flows:
    """Flows with every leg full that can stay full; `start` as in `as_it_starts`.

    From an outlet in air a cavity climbs every section in which the water, at its flow without air,
    is too slow to hold it, up to the first section that holds; from an outlet under water none
    does. Behind a vented loop whose high point would be under negative pressure the leg holds air.
    The leg of another vented loop upstream may then be under pressure again, and fills.
    """
    states = _States(network, cases, solve, start)
    flows = states.all_of(np.zeros((cases.count, len(network.sections)), dtype=bool))
    flows = states.until_still(flows, lambda some, air: air | states.empties(some, air))
    return states.until_still(flows, lambda some, air: air & ~states.fills(some, air))


def surely_full(network: Network, cases: Cases) -> bool:
    """Whether all legs of a series loop fill at once in every case; False where that is not clear.

    They then run full both as the loop starts and at best.
    """
    if network.joints:
        return False
    states = _States(network, cases)
    return bool(
        states.surely_fill(np.broadcast_to(states.open, (cases.count, len(states.open)))).all()
    )


@dataclass(frozen=True)
class _Some:
    """Some of the cases, by index, and their flows."""

    rows: NDArray[np.intp]
    flows: Array


@dataclass(frozen=True)
class _Heads:
    """Heads [m] at the flows of some cases.

    lines : loss of lines with their tees, without air, (n, lines); returning : the part of it in
    return tees, (n, lines); added : what air would add to each section, (n, sections).
    """

    lines: Array
    returning: Array
    added: Array


class _States:
    """The sections of a network in n cases, with the solutions known so far."""

    def __init__(
        self,
        network: Network,
        cases: Cases,
        solve: Solve | None = None,
        start: Array | Flows | None = None,
    ) -> None:
        self.network, self.cases, self._solve = network, cases, solve
        self._start, self._known = start if isinstance(start, np.ndarray) else None, list[Flows]()
        if isinstance(start, Flows):
            self.learn(start)
        sections = network.sections
        # The content of a line that can have no flow is not known; assume it is full.
        self.open = open_lines(network)[[section.line for section in sections]]
        self._lines = np.array([section.line for section in sections], dtype=np.intp)
        bores = np.array([section.bore for section in sections])
        self._waves = np.pi / 4 * bores**2 * np.sqrt(GRAVITY * bores)
        self._clears = np.array([section.clears[1] for section in sections])
        self._holds = np.array([section.holds for section in sections])
        self._falls = np.array([max(section.fall, 0.0) for section in sections])
        self._vented = np.zeros(len(sections), dtype=bool)
        for leg in network.legs:
            self._vented[list(leg.sections)] |= leg.valve == "vented loop"
        self._tested = [leg for leg in network.legs if leg.tested]
        self._on = np.zeros((len(sections), len(network.lines)))
        self._on[np.arange(len(sections)), self._lines] = 1.0

    def learn(self, answer: Flows) -> None:
        """Keep a solution of all cases in some state, so that it is not solved again."""
        self._known = [*self._known, answer]

    def all_of(self, air: _Mask) -> Flows:
        """The solution with air in these sections."""
        return self._in(air, np.arange(self.cases.count))

    def both(self, air: _Mask, other: _Mask) -> tuple[Flows, Flows]:
        """The solutions in two states, kept; those of few cases are solved at once."""
        n = self.cases.count
        if n > _AT_ONCE:
            self.learn(one := self.all_of(air))
            return one, self.all_of(other)
        found = self._in(np.concatenate([air, other]), np.tile(np.arange(n), 2))
        one, two = found[:n], found[n:]
        self.learn(one)
        self.learn(two)
        return one, two

    def _near(self, air: _Mask, rows: NDArray[np.intp]) -> Array | None:
        """Starting flows: for each case, from the known solution with the most similar state."""
        if not self._known:
            return None if self._start is None else self._start[rows]
        apart = [(known.air[rows] != air).sum(axis=1) for known in self._known]
        flows = np.stack([known.line_flow[rows] for known in self._known])
        return np.asarray(flows[np.argmin(apart, axis=0), np.arange(len(air))])

    def _in(self, air: _Mask, rows: NDArray[np.intp], start: Array | None = None) -> Flows:
        """The solution of some cases in these states, solved only where it is not known."""
        left = np.ones(len(rows), dtype=bool)
        found = None
        for known in self._known:
            own = left & known.settled[rows] & (known.air[rows] == air).all(axis=1)
            if own.any():
                at = np.flatnonzero(own)
                found = (found or known[rows]).with_rows(at, known[rows[at]])
                left &= ~own
        if found is not None and not left.any():
            return found
        assert self._solve is not None
        start = self._near(air, rows) if start is None else start
        if found is None:
            return self._solve(replace(self.cases[rows], air=air), start)
        more = np.flatnonzero(left)
        near = None if start is None else start[more]
        cases = replace(self.cases[rows[more]], air=air[more])
        return found.with_rows(more, self._solve(cases, near))

    def surely_fill(self, air: _Mask) -> NDArray[np.bool_]:
        """Cases of a series loop in which all sections fill at once, shape (n,).

        With air in all of them, the pump still has head to spare at the flow that clears the last
        one and holds it, so that the loop's own flow is higher.
        """
        if self._vented.any() or self._tested:
            return np.zeros(len(air), dtype=bool)
        flow = float((np.maximum(self._clears, self._holds) * self._waves).max())
        taken = self._lines_full.lines(np.full((len(air), 1), flow))[0] - self._lines_full.sea
        return np.asarray((taken[:, 0] + air @ self._falls) < 0)

    def until_still(self, flows: Flows, changed: Callable[[_Some, _Mask], _Mask]) -> Flows:
        """Iterate until no section changes state, on the cases in which one still does."""
        rows = np.arange(len(flows.line_flow))
        for _ in range(len(self.network.sections) + 1):
            some = _Some(rows, flows.line_flow[rows])
            air = changed(some, flows.air[rows])
            moved = (air != flows.air[rows]).any(axis=1)
            rows, air = rows[moved], air[moved]
            if not len(rows):
                break
            flows = flows.with_rows(rows, self._in(air, rows, flows.line_flow[rows]))
        return flows

    def runs(self, flows: Array) -> Array:
        """Flow in each section [m³/s], shape (n, sections)."""
        return flows[:, self._lines]

    def froude(self, flows: Array) -> Array:
        """V/√(gD) of each section, at least 0, shape (n, sections)."""
        return np.asarray(np.maximum(self.runs(flows), 0.0) / self._waves)

    def fills(self, some: _Some, air: _Mask) -> _Mask:
        """Sections that lose their air."""
        full = (self.froude(some.flows) > self._clears) & ~self._vented
        if not self._tested:
            return full
        heads = self._heads(some)
        for leg in self._tested:
            under = self._gauge(leg, some, air, heads) > ROUNDING
            full[:, list(leg.sections)] |= under[:, None]
        return full

    def empties(self, some: _Some, air: _Mask) -> _Mask:
        """Sections that cannot stay full."""
        empty = np.zeros(air.shape, dtype=bool)
        slow = self.froude(some.flows) <= self._holds
        for leg in self.network.legs:
            numbers = list(leg.sections)
            if leg.valve == "vented loop":
                drawn = self._gauge(leg, some, air, self._heads(some)) < -ROUNDING
                empty[:, numbers] |= drawn[:, None]
            if leg.outlet == "air":
                upward = np.logical_and.accumulate(slow[:, numbers[::-1]], axis=1)
                empty[:, numbers[::-1]] |= upward
        return np.asarray(empty & self.open)

    @cached_property
    def _lines_full(self) -> LineLosses:
        """Line losses without air."""
        none = np.zeros((1, len(self.network.sections)), dtype=bool)
        return LineLosses(self.network, replace(self.cases, air=none), exact=False)

    @cached_property
    def _with_air(self) -> LegLosses | None:
        """What air adds with air in all sections."""
        every = np.ones((1, len(self.network.sections)), dtype=bool)
        return leg_losses(self.network, replace(self.cases, air=every))

    @cached_property
    def _behind(self) -> dict[int, Resistances]:
        """Resistance downstream of each tested leg, by its index in `_tested`."""
        return {
            number: Resistances.of_shares(self.network, self.cases, (leg.behind,))
            for number, leg in enumerate(self._tested)
            if leg.behind
        }

    def _heads(self, some: _Some) -> _Heads:
        lines = self._lines_full.of(some.rows)
        taken = lines.lines(some.flows)[0]
        returning = np.zeros_like(taken)
        if self.network.forks:
            leaving, returning = lines.tees_apart(some.flows)
            taken = taken + leaving + returning
        added = np.zeros((len(some.flows), len(self.network.sections)))
        if (sections := self._with_air) is not None:
            added[:, sections.numbers] = sections.of(some.rows).by_section(some.flows).head
        return _Heads(taken, returning, added)

    def _gauge(self, leg: Leg, some: _Some, air: _Mask, heads: _Heads) -> Array:
        """Gauge head [m] at a leg's high point with this leg full, the others as they are, (n,)."""
        network = self.network
        others = air.copy()
        others[:, list(leg.sections)] = False
        added = heads.added * others
        taken = heads.lines + added @ self._on
        last = leg.after[-1] if leg.after else leg.line
        head = heads.returning[:, leg.line] + network.lines[last].outlet_head
        head = head + taken[:, list(leg.after)].sum(axis=1)
        flow = some.flows[:, leg.line]
        behind = self._behind.get(self._tested.index(leg))
        if behind is not None:
            size = np.abs(flow)
            rubs = behind.of(some.rows)(size[:, None])[0][:, 0]
            head = head + network.job.fitted.loss * rubs * flow * size
        own = [
            number
            for number, section in enumerate(network.sections)
            if section.line == leg.line and number > min(leg.sections)
        ]
        head = head + added[:, own].sum(axis=1)
        bore = network.parts[leg.from_part].inner_bore
        speed = flow / (np.pi / 4 * bore**2)
        return np.asarray(head - leg.top - speed**2 / (2 * GRAVITY))
