"""Factors that vary between the cases of a study: pump, losses, heads; one row per case."""

from collections.abc import Callable, Sequence
from dataclasses import field
from functools import cached_property, lru_cache

import numpy as np
from numpy.typing import NDArray

from loop.curve import Array, CurveFamily
from loop.hydraulics.network import Network
from loop.parts import Pump
from loop.records import dataclass


@dataclass(frozen=True, eq=False)
class CasePumps:
    """The pump of each of n cases: ``index``, shape (n,), are indices into ``pumps``."""

    pumps: tuple[Pump, ...]
    index: NDArray[np.intp]

    def __getitem__(self, rows: slice | NDArray[np.bool_] | NDArray[np.intp]) -> "CasePumps":
        """The pumps of some of the cases."""
        return CasePumps(self.pumps, self.index[rows])

    def per_case(self, number: Callable[[Pump], float]) -> Array:
        """One number for each case's pump, shape (n,)."""
        return np.array([float(number(pump)) for pump in self.pumps])[self.index]

    def head_at(self, rated: Array) -> tuple[Array, Array]:
        """Head [m] of each case's curve and its slope [s/m²] at `rated` flow [m³/s], each (n,)."""
        return _curve_family(self.pumps).extended_with_slope(rated, self.index)

    def evaluate(self, row: Callable[[Pump, Array], Array], rated: Array) -> Array:
        """A row of each case's pump file at `rated` flow [m³/s], shape (n,)."""
        found = np.empty(len(self.index))
        for number, pump in enumerate(self.pumps):
            own = self.index == number
            found[own] = row(pump, rated[own])
        return found


@dataclass(frozen=True, eq=False)
class CaseNetworks:
    """The network of each of n cases: ``index``, shape (n,), are indices into ``networks``.

    These have one layout, and their parts' sizes differ.
    """

    networks: tuple[Network, ...]
    index: NDArray[np.intp]

    def __getitem__(self, rows: slice | NDArray[np.bool_] | NDArray[np.intp]) -> "CaseNetworks":
        """The networks of some of the cases."""
        return CaseNetworks(self.networks, self.index[rows])

    def per_case(self, row: Callable[[Network], Sequence[float]]) -> Array:
        """A row of numbers of each case's network, shape (n, numbers)."""
        return np.array([row(network) for network in self.networks])[self.index]


@lru_cache(maxsize=16)
def _curve_family(pumps: tuple[Pump, ...]) -> CurveFamily:
    return CurveFamily([pump.curve.head_curve for pump in pumps])


def _ones() -> Array:
    return np.ones(1)


@dataclass(frozen=True)
class Cases:
    """Factors on a network, each of shape (n,) or (1,), for n cases solved at once.

    speed : pump speed relative to its speed in the job.
    pump_flow, pump_head : factors on the pump's curve along each axis (tolerance, wear).
    loss : factor on each part's head loss, shape (n, parts) or (1, parts); None for all 1.
    extra_head : head added at the intake [m].
    tee : factor on the losses of manifold tees.
    pumps : the pump of each case; None for the network's pump in all.
    networks : the network of each case, without factors on losses; None for one network in all.
    air : whether each section of the network's falling legs holds air, shape (n, sections) or
        (1, sections); None for the network's state or, if it has none, each case's at start-up.
    """

    speed: Array = field(default_factory=_ones)
    pump_flow: Array = field(default_factory=_ones)
    pump_head: Array = field(default_factory=_ones)
    loss: Array | None = None
    extra_head: Array = field(default_factory=lambda: np.zeros(1))
    tee: Array = field(default_factory=_ones)
    pumps: CasePumps | None = None
    networks: CaseNetworks | None = None
    air: NDArray[np.bool_] | None = None

    @cached_property
    def count(self) -> int:
        """Number of cases."""
        given = [self.speed, self.pump_flow, self.pump_head, self.extra_head, self.tee]
        pumps = None if self.pumps is None else self.pumps.index
        return max(len(a) for a in (*given, self.loss, pumps, self.air) if a is not None)

    def broadcast(self, name: str) -> Array:
        """One factor as an array of shape (n,)."""
        values: Array = getattr(self, name)
        return values if len(values) == self.count else np.broadcast_to(values, (self.count,))

    def __getitem__(self, rows: slice | NDArray[np.bool_] | NDArray[np.intp]) -> "Cases":
        """Some of the cases (slice, mask or indices), to process a large study in chunks."""

        def select(values: Array) -> Array:
            return values if len(values) == 1 else values[rows]

        return Cases(
            speed=select(self.speed),
            pump_flow=select(self.pump_flow),
            pump_head=select(self.pump_head),
            loss=None if self.loss is None else select(self.loss),
            extra_head=select(self.extra_head),
            tee=select(self.tee),
            pumps=None if self.pumps is None else self.pumps[rows],
            networks=None if self.networks is None else self.networks[rows],
            air=self.air if self.air is None or len(self.air) == 1 else self.air[rows],
        )
