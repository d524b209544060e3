"""Which sections of falling legs hold air: at start-up, and in the best case.

An outer iteration around the solver, for many cases at once and any network: in each state of the
sections the losses rise monotonically with flow, and the network is solved as usual. Each iteration
changes sections in one direction only, so it needs no more rounds than there are sections.
"""

from collections.abc import Callable, Sequence
from dataclasses import replace
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from loop.curve import Array
from loop.hydraulics.cases import Cases
from loop.hydraulics.flow_paths import open_lines
from loop.hydraulics.flows import Flows
from loop.hydraulics.leg_losses import LegLosses, leg_losses
from loop.hydraulics.leg_solutions import LegSolutions, Mask, Solve, Subset
from loop.hydraulics.legs import Leg
from loop.hydraulics.lines import LineLosses
from loop.hydraulics.network import Network
from loop.hydraulics.resistances import Resistances
from loop.parts.friction import GRAVITY, ROUNDING
from loop.records import dataclass


def flows_at_start(
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
    states, solutions = _LegStates(network, cases), LegSolutions(cases, solve, start)
    air = np.broadcast_to(states.open, (cases.count, len(network.sections)))
    back = np.zeros_like(air)
    if network.joints:
        full, flows = solutions.in_two_states(back, air)
        back = states.section_flows(full.line_flow) < 0
        if back.any():
            flows = solutions.in_state(air & ~back)
    else:
        sure = states.certainly_fill(air)
        flows = solutions.in_state(air & ~sure[:, None])
        if sure.all():
            return flows
    flows = solutions.until_unchanged(flows, lambda subset, air: air & ~states.fills(subset, air))

    def held(subset: Subset, air: Mask) -> Mask:
        turned = (
            back[subset.rows]
            & (states.section_flows(subset.flows) > 0)
            & ~states.fills(subset, air)
        )
        return air | turned | states.empties(subset, air)

    return solutions.until_unchanged(flows, held)


def flows_at_best(
    network: Network, cases: Cases, solve: Solve, start: Array | Flows | None
) -> Flows:
    """Flows with every leg full that can stay full; `start` as in `flows_at_start`.

    From an outlet in air a cavity climbs every section in which the water, at its flow without air,
    is too slow to hold it, up to the first section that holds; from an outlet under water none
    does. Behind a vented loop whose high point would be under negative pressure the leg holds air.
    The leg of another vented loop upstream may then be under pressure again, and fills.
    """
    states, solutions = _LegStates(network, cases), LegSolutions(cases, solve, start)
    flows = solutions.in_state(np.zeros((cases.count, len(network.sections)), dtype=bool))
    flows = solutions.until_unchanged(flows, lambda subset, air: air | states.empties(subset, air))
    return solutions.until_unchanged(flows, lambda subset, air: air & ~states.fills(subset, air))


def certainly_full(network: Network, cases: Cases) -> bool:
    """Whether all legs of a series loop fill at once in every case; False where that is not clear.

    They then run full both as the loop starts and at best.
    """
    if network.joints:
        return False
    states = _LegStates(network, cases)
    return bool(
        states.certainly_fill(np.broadcast_to(states.open, (cases.count, len(states.open)))).all()
    )


@dataclass(frozen=True)
class _Heads:
    """Heads [m] at the flows of some cases.

    lines : loss of lines with their tees, without air, (n, lines); returning : the part of it in
    return tees, (n, lines); added : what air would add to each section, (n, sections).
    """

    lines: Array
    returning: Array
    added: Array


class _LegStates:
    """Which sections of a network fill, and which cannot stay full, in n cases at given flows."""

    def __init__(self, network: Network, cases: Cases) -> None:
        self.network, self.cases = network, cases
        sections = network.sections
        # The content of a line that can have no flow is not known; assume it is full.
        self.open = open_lines(network)[[section.line for section in sections]]
        self._lines = np.array([section.line for section in sections], dtype=np.intp)
        bores = self._per_case(lambda one: [section.bore for section in one.sections])
        self._wave_flows = np.pi / 4 * bores**2 * np.sqrt(GRAVITY * bores)
        self._clears = np.array([section.clears[1] for section in sections])
        self._holds = self._per_case(lambda one: [section.holds for section in one.sections])
        self._falls = np.array([max(section.fall, 0.0) for section in sections])
        self._vented = np.zeros(len(sections), dtype=bool)
        for leg in network.legs:
            self._vented[list(leg.sections)] |= leg.valve == "vented loop"
        self._pressure_legs = [leg for leg in network.legs if leg.depends_on_pressure]
        self._section_to_line = np.zeros((len(sections), len(network.lines)))
        self._section_to_line[np.arange(len(sections)), self._lines] = 1.0

    def _per_case(self, row: Callable[[Network], Sequence[float]]) -> Array:
        """A row of numbers of the network, (numbers,), or of each case's, (n, numbers)."""
        networks = self.cases.networks
        return np.array(row(self.network)) if networks is None else networks.per_case(row)

    def certainly_fill(self, air: Mask) -> NDArray[np.bool_]:
        """Cases of a series loop in which all sections fill at once, shape (n,).

        With air in all of them, the pump still has head to spare at the flow that clears the last
        one and holds it, so that the loop's own flow is higher.
        """
        if self._vented.any() or self._pressure_legs:
            return np.zeros(len(air), dtype=bool)
        flows = np.maximum(self._clears, self._holds) * self._wave_flows
        flow = flows.max(axis=-1, keepdims=True)
        loss = self._lines_full.lines(np.broadcast_to(flow, (len(air), 1)))[0]
        loss = loss - self._lines_full.sea
        return np.asarray((loss[:, 0] + air @ self._falls) < 0)

    def section_flows(self, flows: Array) -> Array:
        """Flow in each section [m³/s], shape (n, sections)."""
        return flows[:, self._lines]

    def _froude(self, subset: Subset) -> Array:
        """V/√(gD) of each section, at least 0, shape (n, sections)."""
        flows = np.maximum(self.section_flows(subset.flows), 0.0)
        return np.asarray(flows / _of_rows(self._wave_flows, subset))

    def fills(self, subset: Subset, air: Mask) -> Mask:
        """Sections that lose their air."""
        full = (self._froude(subset) > self._clears) & ~self._vented
        if not self._pressure_legs:
            return full
        heads = self._heads(subset)
        for leg in self._pressure_legs:
            under = self._gauge_head(leg, subset, air, heads) > ROUNDING
            full[:, list(leg.sections)] |= under[:, None]
        return full

    def empties(self, subset: Subset, air: Mask) -> Mask:
        """Sections that cannot stay full."""
        empty = np.zeros(air.shape, dtype=bool)
        slow = self._froude(subset) <= _of_rows(self._holds, subset)
        for leg in self.network.legs:
            numbers = list(leg.sections)
            if leg.valve == "vented loop":
                drawn = self._gauge_head(leg, subset, air, self._heads(subset)) < -ROUNDING
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
    def _resistances_downstream(self) -> dict[int, Resistances]:
        """Resistance downstream of each tested leg, by its index in `_pressure_legs`."""
        return {
            number: Resistances.of_shares(self.network, self.cases, (leg.shares_downstream,))
            for number, leg in enumerate(self._pressure_legs)
            if leg.shares_downstream
        }

    def _heads(self, subset: Subset) -> _Heads:
        lines = self._lines_full.subset(subset.rows)
        loss = lines.lines(subset.flows)[0]
        returning = np.zeros_like(loss)
        if self.network.forks:
            leaving, returning = lines.tees_by_side(subset.flows)
            loss = loss + leaving + returning
        added = np.zeros((len(subset.flows), len(self.network.sections)))
        if (sections := self._with_air) is not None:
            own = sections.subset(subset.rows).by_section(subset.flows)
            added[:, sections.numbers] = own.head
        return _Heads(loss, returning, added)

    def _gauge_head(self, leg: Leg, subset: Subset, air: Mask, heads: _Heads) -> Array:
        """Gauge head [m] at a leg's high point with this leg full, the others as they are, (n,)."""
        network = self.network
        others = air.copy()
        others[:, list(leg.sections)] = False
        added = heads.added * others
        loss = heads.lines + added @ self._section_to_line
        last = leg.lines_downstream[-1] if leg.lines_downstream else leg.line
        head = heads.returning[:, leg.line] + network.lines[last].outlet_head
        head = head + loss[:, list(leg.lines_downstream)].sum(axis=1)
        flow = subset.flows[:, leg.line]
        downstream = self._resistances_downstream.get(self._pressure_legs.index(leg))
        if downstream is not None:
            size = np.abs(flow)
            friction_slope = downstream.subset(subset.rows)(size[:, None])[0][:, 0]
            head = head + network.job.fitted.loss * friction_slope * flow * size
        own = [
            number
            for number, section in enumerate(network.sections)
            if section.line == leg.line and number > min(leg.sections)
        ]
        head = head + added[:, own].sum(axis=1)
        bore = self._per_case(lambda one: [one.parts[leg.from_part].inner_bore])
        speed = flow / (np.pi / 4 * _of_rows(bore, subset)[..., 0] ** 2)
        return np.asarray(head - leg.top - speed**2 / (2 * GRAVITY))


def _of_rows(values: Array, subset: Subset) -> Array:
    """Of values of all cases, (n, numbers), those of a subset; or the same, (numbers,), for all."""
    return values[subset.rows] if values.ndim == 2 else values
