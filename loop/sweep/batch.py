"""Points of a grid as cases of one network, and their answers."""

from collections.abc import Iterator, Sequence
from dataclasses import replace
from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

from loop.curve import Array, GridPlace, place
from loop.hydraulics import Cases, Network, installed_pump, solve_flows
from loop.parts import Condenser, Part, Pump
from loop.seawater import Water
from loop.sweep.alike import Choice, Ints, Losses
from loop.sweep.answer import Answer, heat_into, pump_into

T = TypeVar("T")

# Flows that move by less than this share of the largest from one round to the next, each with
# losses at the flows of the one before, stay as they are; so many rounds at most.
_STILL, _ROUNDS = 1e-5, 12


class Batch:
    """Points whose variants are all of one structure.

    Parameters
    ----------
    network : Network
        That of the first variant of every choice.
    choices : sequence of Choice
    chosen : array of int, shape (n, choices)
        The variant of each choice that each point takes.
    """

    def __init__(self, network: Network, choices: Sequence[Choice], chosen: Ints) -> None:
        self._choices, self._chosen = choices, chosen
        self._speed, self._head = np.ones(len(chosen)), np.zeros(len(chosen))
        self._losses: dict[int, tuple[Losses, Ints]] = {}
        waters, water_of = self._waters(network)
        parts = list(network.parts)
        varied: dict[int, tuple[tuple[Part, ...], Ints]] = {}
        for number, choice in enumerate(choices):
            self._head += choice.heads[chosen[:, number]]
            for index, every in choice.parts():
                distinct, which = _numbered(every)
                varied[index] = distinct, which[chosen[:, number]]
        alone = np.zeros(len(chosen), dtype=np.intp)
        for index, part in enumerate(network.parts):
            every, which = varied.get(index, ((part,), alone))
            if isinstance(part, Pump):
                self._speed = self._speeds(every)[which]
            elif not part.shut and len(every) * len(waters) > 1:
                losses = Losses(every, waters, network.water)
                parts[index] = losses.reference
                self._losses[index] = losses, which * len(waters) + water_of
        self.network = replace(network, parts=tuple(parts))

    def _waters(self, network: Network) -> tuple[tuple[Water, ...], Ints]:
        """The waters that there are, and which of them each point has."""
        for number, choice in enumerate(self._choices):
            if "water" in choice.things:
                waters, which = _numbered([variant.network.water for variant in choice.variants])
                return waters, which[self._chosen[:, number]]
        return (network.water,), np.zeros(len(self._chosen), dtype=np.intp)

    @staticmethod
    def _speeds(pumps: Sequence[Part]) -> Array:
        """Speed of each pump over the first's."""
        speeds = np.array([pump.speed for pump in pumps if isinstance(pump, Pump)])
        return np.asarray(speeds / speeds[0])

    def solve_into(self, answer: Answer, rows: Ints) -> None:
        """Puts the answers of the points into these rows of a grid's."""
        network = self.network
        flows = np.broadcast_to(solve_flows(network).line_flow, (len(rows), len(network.lines)))
        flows, answer.head[rows], answer.settled[rows] = self._flows(flows.copy())
        pump = installed_pump(network, Cases(speed=self._speed))
        pump_into(answer, rows, pump, flows[:, network.pump_line])
        for chosen, alike in self._of_heat(network):
            heat_into(answer, rows[chosen], alike, flows[chosen])

    def _flows(self, flows: Array) -> tuple[Array, Array, Array]:
        """Flows of the lines [m³/s], the pump's head [m] and whether each settled, from a guess."""
        head, settled = np.zeros(len(flows)), np.zeros(len(flows), dtype=bool)
        moving: Ints = np.arange(len(flows))
        for number in range(_ROUNDS):
            # Where a network may have two answers, each begins as the job itself does.
            near = number > 0 and not self.network.forks and bool(flows[moving].all())
            found = solve_flows(
                self.network,
                self._cases(flows[moving], moving),
                start=flows[moving] if near else None,
            )
            moved = np.abs(found.line_flow - flows[moving]).max(axis=1)
            still = moved <= _STILL * np.abs(found.line_flow).max(axis=1)
            flows[moving] = found.line_flow
            head[moving], settled[moving] = found.pump_head, found.settled
            moving = moving[~still]
            if not len(moving) or not self._losses:
                break
        return flows, head, settled

    def _cases(self, line_flow: Array, rows: Ints) -> Cases:
        """The cases of these points, with the losses that parts have at these flows [m³/s]."""
        loss = np.ones((len(rows), len(self.network.parts)))
        at: dict[int, GridPlace] = {}
        for index, (losses, column) in self._losses.items():
            line = self.network.line_of[index]
            if line not in at:
                at[line] = place(line_flow[:, line])
            loss[:, index] = losses.factor(column[rows], at[line])
        return Cases(
            speed=self._speed[rows],
            extra_head=self._head[rows],
            loss=loss if self._losses else None,
        )

    def _of_heat(self, network: Network) -> Iterator[tuple[NDArray[np.bool_], Network]]:
        """The points whose water, units and condensers are alike, and a network that has them."""
        matter = [number for number, choice in enumerate(self._choices) if _tells_on_heat(choice)]
        alike, which = np.unique(self._chosen[:, matter], axis=0, return_inverse=True)
        for number, variants in enumerate(alike):
            yield which.ravel() == number, self._as_chosen(network, matter, variants)

    def _as_chosen(self, network: Network, matter: Sequence[int], variants: Ints) -> Network:
        """The network with its water, units and condensers as these variants have them."""
        job, water, parts = network.job, network.water, list(network.parts)
        for number, variant in zip(matter, variants, strict=True):
            choice = self._choices[number]
            there = choice.variants[variant]
            if "water" in choice.things:
                job, water = job.model_copy(update={"water": there.job.water}), there.network.water
            if "condenser" in choice.things:
                job = job.model_copy(update={"condenser": there.job.condenser})
            for index, every in choice.parts():
                parts[index] = every[variant]
        return replace(network, job=job, water=water, parts=tuple(parts))


def _numbered(every: Sequence[T]) -> tuple[tuple[T, ...], Ints]:
    """The different ones among them, and the number of each among those, shape (n,)."""
    numbers: dict[T, int] = {}
    which = [numbers.setdefault(one, len(numbers)) for one in every]
    return tuple(numbers), np.array(which, dtype=np.intp)


def _tells_on_heat(choice: Choice) -> bool:
    """Whether a choice changes what the units make of their flow."""
    if choice.things & {"water", "condenser"}:
        return True
    return any(isinstance(every[0], Condenser) for _, every in choice.parts())
