"""Grid points as cases of one network, and their answers."""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from loop.curve import Array, GridPlace, place
from loop.hydraulics import Cases, Flows, Network, installed_pump, solve_flows
from loop.hydraulics.cases import CasePumps
from loop.hydraulics.other_solutions import worst_solutions
from loop.hydraulics.solver import balanced_from
from loop.parts import Condenser, Pump
from loop.seawater import Water
from loop.sweep.points import Points, write_heat, write_pump, write_starts
from loop.sweep.structures import Ints, LossFactors, PartWithStep, VariantSet, distinct_values

# Fixed-point iteration, each round with losses at the flows of the one before: relative change
# below which flows have converged, and the limit on rounds.
_FLOW_TOLERANCE, _ROUNDS = 1e-5, 12


class Batch:
    """Points whose variants all share one structure.

    Parameters
    ----------
    network : Network
        That of the first variant of every set.
    variant_sets : sequence of VariantSet
    variants : array of int, shape (n, sets)
        The variant of each set at each point.
    """

    def __init__(
        self, network: Network, variant_sets: Sequence[VariantSet], variants: Ints
    ) -> None:
        self._variant_sets, self._variants = variant_sets, variants
        self._fleet: CasePumps | None = None
        self._head = np.zeros(len(variants))
        self._losses: dict[int, tuple[LossFactors, Ints]] = {}
        waters, water_of = self._waters(network)
        parts, steps = list(network.parts), list(network.steps)
        varied: dict[int, tuple[tuple[PartWithStep, ...], Ints]] = {}
        for number, variant_set in enumerate(variant_sets):
            self._head += variant_set.heads[variants[:, number]]
            for index, part_variants in variant_set.parts(steps):
                distinct, which = distinct_values(part_variants)
                varied[index] = distinct, which[variants[:, number]]
        single = np.zeros(len(variants), dtype=np.intp)
        for index, part in enumerate(network.parts):
            part_variants, which = varied.get(index, (((part, steps[index]),), single))
            if isinstance(part, Pump):
                pumps = tuple(pump for pump, _ in part_variants if isinstance(pump, Pump))
                self._fleet = CasePumps(pumps, which) if len(pumps) > 1 else None
            elif not part.shut and len(part_variants) * len(waters) > 1:
                losses = LossFactors(part_variants, waters, network.water)
                parts[index], steps[index] = losses.reference
                self._losses[index] = losses, which * len(waters) + water_of
        self.network = replace(network, parts=tuple(parts), steps=tuple(steps))

    def _waters(self, network: Network) -> tuple[tuple[Water, ...], Ints]:
        """The distinct waters, and which of them each point has."""
        for number, variant_set in enumerate(self._variant_sets):
            if "water" in variant_set.changed:
                waters, which = distinct_values(
                    [variant.network.water for variant in variant_set.variants]
                )
                return waters, which[self._variants[:, number]]
        return (network.water,), np.zeros(len(self._variants), dtype=np.intp)

    def write_answers(self, answer: Points, rows: Ints, needed: Array) -> None:
        """Write the answers of the points into these rows of the grid's.

        `needed`: priming head of each [m], shape (n,).
        """
        network = self.network
        flows = np.broadcast_to(solve_flows(network).line_flow, (len(rows), len(network.lines)))
        found = self._flows(flows)
        flows, answer.head[rows], answer.settled[rows] = (
            found.line_flow,
            found.pump_head,
            found.settled,
        )
        pump = installed_pump(network, Cases(pumps=self._fleet))
        write_pump(answer, rows, pump, flows[:, network.pump_line])
        write_starts(answer, rows, pump, network.job.sizing.lowest_supply, needed)
        for points, network_ in self._by_heat(network):
            write_heat(answer, rows[points], network_, flows[points])

    def _flows(self, guess: Array) -> Flows:
        """The answer at every point, from a guess of its line flows [m³/s]."""
        found = self._converged(self._solve_all(guess), guess)
        if not self.network.forks:
            return found
        cases = self._cases(found.line_flow, self._all_rows)
        worse = worst_solutions(self.network, cases, found, self._needs())
        changed = np.flatnonzero((worse.line_flow != found.line_flow).any(axis=1))
        return self._converged(worse, found.line_flow, changed, self._rebalance)

    def _solve_all(self, guess: Array) -> Flows:
        """The first answer at every point, with losses at the guessed flows."""
        return solve_flows(self.network, self._cases(guess, self._all_rows))

    def _converged(
        self,
        found: Flows,
        before: Array,
        moving: Ints | None = None,
        solve_again: Callable[[Flows, Ints], Flows] | None = None,
    ) -> Flows:
        """The answers with losses iterated to their own flows; `before`: flows one round ago."""
        moving = self._all_rows if moving is None else moving
        solve_again = solve_again or self._solve_again
        for _ in range(_ROUNDS):
            flows = found.line_flow[moving]
            change = np.abs(flows - before[moving]).max(axis=1)
            moving = moving[change > _FLOW_TOLERANCE * np.abs(flows).max(axis=1)]
            if not len(moving) or not self._losses:
                break
            before = found.line_flow
            found = found.with_rows(moving, solve_again(found, moving))
        return found

    def _solve_again(self, found: Flows, rows: Ints) -> Flows:
        flows = found.line_flow[rows]
        # A network that may have two answers starts each point from scratch, as for a single job.
        near = not self.network.forks and bool(flows.all())
        return solve_flows(self.network, self._cases(flows, rows), start=flows if near else None)

    def _rebalance(self, found: Flows, rows: Ints) -> Flows:
        cases = replace(self._cases(found.line_flow[rows], rows), air=found.air[rows])
        return balanced_from(self.network, found.line_flow[rows], cases)

    @property
    def _all_rows(self) -> Ints:
        return np.arange(len(self._variants))

    def _needs(self) -> Array:
        """Need of each unit at each point [m³/s], shape (n, units)."""
        jobs, job_of_point = [self.network.job], np.zeros(len(self._variants), dtype=np.intp)
        for number, variant_set in enumerate(self._variant_sets):
            if "condenser" in variant_set.changed:
                jobs = [variant.job for variant in variant_set.variants]
                job_of_point = self._variants[:, number]
        needs = np.array([[unit.needed_flow for unit in job.condenser] for job in jobs])
        return np.asarray(needs[job_of_point])

    def _cases(self, line_flow: Array, rows: Ints) -> Cases:
        """The cases of these points, with part losses at these flows [m³/s]."""
        loss = np.ones((len(rows), len(self.network.parts)))
        places: dict[int, GridPlace] = {}
        for index, (losses, column) in self._losses.items():
            line = self.network.line_of[index]
            if line not in places:
                places[line] = place(line_flow[:, line])
            loss[:, index] = losses.factor(column[rows], places[line])
        return Cases(
            pumps=None if self._fleet is None else self._fleet[rows],
            extra_head=self._head[rows],
            loss=loss if self._losses else None,
        )

    def _by_heat(self, network: Network) -> Iterator[tuple[NDArray[np.bool_], Network]]:
        """Points with the same water, units and condensers, and a network that has them."""
        numbers = [
            number
            for number, variant_set in enumerate(self._variant_sets)
            if _affects_heat(variant_set)
        ]
        combinations, combination_of_point = np.unique(
            self._variants[:, numbers], axis=0, return_inverse=True
        )
        for number, variants in enumerate(combinations):
            yield (
                combination_of_point.ravel() == number,
                self._with_variants(network, numbers, variants),
            )

    def _with_variants(self, network: Network, numbers: Sequence[int], variants: Ints) -> Network:
        """The network with the water, units and condensers of these variants."""
        job, water, parts = network.job, network.water, list(network.parts)
        for number, variant in zip(numbers, variants, strict=True):
            variant_set = self._variant_sets[number]
            chosen = variant_set.variants[variant]
            if "water" in variant_set.changed:
                job, water = (
                    job.model_copy(update={"water": chosen.job.water}),
                    chosen.network.water,
                )
            if "condenser" in variant_set.changed:
                job = job.model_copy(update={"condenser": chosen.job.condenser})
            for index, part_variants in variant_set.parts(network.steps):
                parts[index] = part_variants[variant][0]
        return replace(network, job=job, water=water, parts=tuple(parts))


def _affects_heat(variant_set: VariantSet) -> bool:
    """Whether a set changes the units' temperatures at a given flow."""
    if variant_set.changed & {"water", "condenser"}:
        return True
    return any(
        isinstance(part_variants[0][0], Condenser)
        for _, part_variants in variant_set.parts(variant_set.variants[0].network.steps)
    )
