"""Head that lines lose to air in the sections of falling legs."""

import copy

import numpy as np
from numpy.typing import NDArray

from loop.curve import Array
from loop.hydraulics.cases import Cases
from loop.hydraulics.network import Network
from loop.hydraulics.resistances import Resistances
from loop.records import dataclass


@dataclass(frozen=True)
class AirLosses:
    """Head [m] that air adds to the own loss of sections, and its slope [s/m²]; (n, sections)."""

    head: Array
    slope: Array


def leg_losses(network: Network, cases: Cases) -> "LegLosses | None":
    """What air adds in the cases' states, or in the network's; None if it adds nothing."""
    air = np.array(network.air or [False], dtype=bool)[None] if cases.air is None else cases.air
    if not air.any():
        return None
    air = air & (np.array([section.fall for section in network.sections]) > 0)
    return LegLosses(network, cases, air) if air.any() else None


class LegLosses:
    """Sections with air: each loses its own friction or its fall, whichever is more.

    Water runs down such a section as a film at the pressure of the air, and its fall is not
    recovered. Where the hose's friction exceeds the fall, the section runs full anyway. Fittings in
    the section keep their own loss. At zero flow a line holds its falls, and air lets no water
    back. Only the sections ``numbers`` are asked: those that hold air in one of the cases. ``air``
    has at least one, and none that does not fall.
    """

    def __init__(self, network: Network, cases: Cases, air: NDArray[np.bool_]) -> None:
        self._fitted = network.job.fitted.loss
        self.numbers = np.flatnonzero(air.any(axis=0))
        sections = [network.sections[number] for number in self.numbers.tolist()]
        self._falls = np.array([section.fall for section in sections])
        self._lines = np.array([section.line for section in sections], dtype=np.intp)
        self._shares = tuple(section.shares for section in sections)
        self._air = np.broadcast_to(air[:, self.numbers], (cases.count, len(sections)))
        self._loss = cases.loss
        if cases.loss is not None:
            self._loss = np.broadcast_to(cases.loss, (cases.count, len(network.parts)))
        self._network = network
        self._resistances = Resistances.of_shares(network, cases, self._shares)
        self._section_to_line = np.zeros((len(self._falls), len(network.lines)))
        self._section_to_line[np.arange(len(self._falls)), self._lines] = 1.0

    def subset(self, rows: NDArray[np.intp]) -> "LegLosses":
        """The losses of some of the cases, by their indices."""
        subset = copy.copy(self)
        subset._resistances = self._resistances.subset(rows)
        subset._air = self._air[rows]
        subset._loss = None if self._loss is None else self._loss[rows]
        return subset

    @property
    def one_way(self) -> NDArray[np.bool_]:
        """Lines in which air blocks reverse flow, shape (n, lines)."""
        return self.falls > 0

    @property
    def falls(self) -> Array:
        """Head [m] below which no water passes each line, shape (n, lines)."""
        return np.asarray((self._falls * self._air) @ self._section_to_line)

    def by_line(self, flows: Array, exact: bool) -> tuple[Array, Array]:
        """Head [m] that air adds to each line at its flow, and its slope [s/m²], (n, lines)."""
        added = self.by_section(flows, exact)
        return added.head @ self._section_to_line, added.slope @ self._section_to_line

    def by_section(self, flows: Array, exact: bool = False) -> AirLosses:
        """The same of each of the sections ``numbers``, shape (n, sections)."""
        flow = flows[:, self._lines]
        size = np.maximum(flow, 0.0)
        value, log_slope = self._resistances(size)
        friction = self._fitted * (self._exact_friction(size) if exact else value * size**2)
        film = self._air & (friction < self._falls)
        friction_slope = self._fitted * (2 * value + log_slope) * size
        return AirLosses(
            np.where(film, self._falls - friction, 0.0), np.where(film, -friction_slope, 0.0)
        )

    def _exact_friction(self, size: Array) -> Array:
        """Friction [m] of sections with air from the parts' functions, before the fitted factor."""
        friction = np.zeros_like(size)
        for number, shares in enumerate(self._shares):
            for row, flow in enumerate(size[:, number].tolist()):
                if flow > 0 and self._air[row, number]:
                    factors = self._factors(row, number)
                    friction[row, number] = sum(
                        share * factor * self._network.head_loss(part, flow)
                        for (part, share), factor in zip(shares, factors, strict=True)
                    )
        return friction

    def _factors(self, row: int, number: int) -> list[float]:
        shares = self._shares[number]
        if self._loss is None:
            return [1.0] * len(shares)
        return [float(self._loss[row, part]) for part, _ in shares]
