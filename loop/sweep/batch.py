"""Grid points as cases of one network, and their answers."""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from loop.curve import Array, GridPlace, place
from loop.hydraulics import Cases, Flows, Network, installed_pump, solve_flows
from loop.hydraulics.fleet import Fleet
from loop.hydraulics.other_answers import worse_answers
from loop.hydraulics.solver import balanced_from
from loop.parts import Condenser, Pump
from loop.seawater import Water
from loop.sweep.alike import Choice, Ints, Losses, Stepped, numbered
from loop.sweep.answer import Points, heat_into, pump_into, starts_into

# Fixed-point iteration, each round with losses at the flows of the one before: relative change
# below which flows have converged, and the limit on rounds.
_STILL, _ROUNDS = 1e-5, 12


class Batch:
    """Points whose variants all share one structure.

    Parameters
    ----------
    network : Network
        That of the first variant of every choice.
    choices : sequence of Choice
    chosen : array of int, shape (n, choices)
        The variant of each choice at each point.
    """

    def __init__(self, network: Network, choices: Sequence[Choice], chosen: Ints) -> None:
        self._choices, self._chosen = choices, chosen
        self._fleet: Fleet | None = None
        self._head = np.zeros(len(chosen))
        self._losses: dict[int, tuple[Losses, Ints]] = {}
        waters, water_of = self._waters(network)
        parts, steps = list(network.parts), list(network.steps)
        varied: dict[int, tuple[tuple[Stepped, ...], Ints]] = {}
        for number, choice in enumerate(choices):
            self._head += choice.heads[chosen[:, number]]
            for index, every in choice.parts(steps):
                distinct, which = numbered(every)
                varied[index] = distinct, which[chosen[:, number]]
        alone = np.zeros(len(chosen), dtype=np.intp)
        for index, part in enumerate(network.parts):
            every, which = varied.get(index, (((part, steps[index]),), alone))
            if isinstance(part, Pump):
                pumps = tuple(pump for pump, _ in every if isinstance(pump, Pump))
                self._fleet = Fleet(pumps, which) if len(pumps) > 1 else None
            elif not part.shut and len(every) * len(waters) > 1:
                losses = Losses(every, waters, network.water)
                parts[index], steps[index] = losses.reference
                self._losses[index] = losses, which * len(waters) + water_of
        self.network = replace(network, parts=tuple(parts), steps=tuple(steps))

    def _waters(self, network: Network) -> tuple[tuple[Water, ...], Ints]:
        """The distinct waters, and which of them each point has."""
        for number, choice in enumerate(self._choices):
            if "water" in choice.things:
                waters, which = numbered([variant.network.water for variant in choice.variants])
                return waters, which[self._chosen[:, number]]
        return (network.water,), np.zeros(len(self._chosen), dtype=np.intp)

    def solve_into(self, answer: Points, rows: Ints, needed: Array) -> None:
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
        pump = installed_pump(network, Cases(fleet=self._fleet))
        pump_into(answer, rows, pump, flows[:, network.pump_line])
        starts_into(answer, rows, pump, network.job.sizing.lowest_supply, needed)
        for chosen, alike in self._of_heat(network):
            heat_into(answer, rows[chosen], alike, flows[chosen])

    def _flows(self, guess: Array) -> Flows:
        """The answer at every point, from a guess of its line flows [m³/s]."""
        found = self._settled(self._every(guess), guess)
        if not self.network.forks:
            return found
        cases = self._cases(found.line_flow, self._all)
        worse = worse_answers(self.network, cases, found, self._needs())
        other = np.flatnonzero((worse.line_flow != found.line_flow).any(axis=1))
        return self._settled(worse, found.line_flow, other, self._from_there)

    def _every(self, guess: Array) -> Flows:
        """The first answer at every point, with losses at the guessed flows."""
        return solve_flows(self.network, self._cases(guess, self._all))

    def _settled(
        self,
        found: Flows,
        before: Array,
        moving: Ints | None = None,
        again: Callable[[Flows, Ints], Flows] | None = None,
    ) -> Flows:
        """The answers with losses iterated to their own flows; `before`: flows one round ago."""
        moving = self._all if moving is None else moving
        again = again or self._as_it_starts
        for _ in range(_ROUNDS):
            flows = found.line_flow[moving]
            moved = np.abs(flows - before[moving]).max(axis=1)
            moving = moving[moved > _STILL * np.abs(flows).max(axis=1)]
            if not len(moving) or not self._losses:
                break
            before = found.line_flow
            found = found.with_rows(moving, again(found, moving))
        return found

    def _as_it_starts(self, found: Flows, rows: Ints) -> Flows:
        flows = found.line_flow[rows]
        # A network that may have two answers starts each point from scratch, as for a single job.
        near = not self.network.forks and bool(flows.all())
        return solve_flows(self.network, self._cases(flows, rows), start=flows if near else None)

    def _from_there(self, found: Flows, rows: Ints) -> Flows:
        cases = replace(self._cases(found.line_flow[rows], rows), air=found.air[rows])
        return balanced_from(self.network, found.line_flow[rows], cases)

    @property
    def _all(self) -> Ints:
        return np.arange(len(self._chosen))

    def _needs(self) -> Array:
        """Need of each unit at each point [m³/s], shape (n, units)."""
        jobs, which = [self.network.job], np.zeros(len(self._chosen), dtype=np.intp)
        for number, choice in enumerate(self._choices):
            if "condenser" in choice.things:
                jobs = [variant.job for variant in choice.variants]
                which = self._chosen[:, number]
        needs = np.array([[unit.needed_flow for unit in job.condenser] for job in jobs])
        return np.asarray(needs[which])

    def _cases(self, line_flow: Array, rows: Ints) -> Cases:
        """The cases of these points, with part losses at these flows [m³/s]."""
        loss = np.ones((len(rows), len(self.network.parts)))
        at: dict[int, GridPlace] = {}
        for index, (losses, column) in self._losses.items():
            line = self.network.line_of[index]
            if line not in at:
                at[line] = place(line_flow[:, line])
            loss[:, index] = losses.factor(column[rows], at[line])
        return Cases(
            fleet=None if self._fleet is None else self._fleet[rows],
            extra_head=self._head[rows],
            loss=loss if self._losses else None,
        )

    def _of_heat(self, network: Network) -> Iterator[tuple[NDArray[np.bool_], Network]]:
        """Points with the same water, units and condensers, and a network that has them."""
        matter = [number for number, choice in enumerate(self._choices) if _tells_on_heat(choice)]
        alike, which = np.unique(self._chosen[:, matter], axis=0, return_inverse=True)
        for number, variants in enumerate(alike):
            yield which.ravel() == number, self._as_chosen(network, matter, variants)

    def _as_chosen(self, network: Network, matter: Sequence[int], variants: Ints) -> Network:
        """The network with the water, units and condensers of these variants."""
        job, water, parts = network.job, network.water, list(network.parts)
        for number, variant in zip(matter, variants, strict=True):
            choice = self._choices[number]
            there = choice.variants[variant]
            if "water" in choice.things:
                job, water = job.model_copy(update={"water": there.job.water}), there.network.water
            if "condenser" in choice.things:
                job = job.model_copy(update={"condenser": there.job.condenser})
            for index, every in choice.parts(network.steps):
                parts[index] = every[variant][0]
        return replace(network, job=job, water=water, parts=tuple(parts))


def _tells_on_heat(choice: Choice) -> bool:
    """Whether a choice changes the units' temperatures at a given flow."""
    if choice.things & {"water", "condenser"}:
        return True
    return any(
        isinstance(every[0][0], Condenser)
        for _, every in choice.parts(choice.variants[0].network.steps)
    )
