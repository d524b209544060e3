"""Pump, or group of pumps, as installed: its curve at its speed and number."""

from collections.abc import Callable
from functools import cached_property

import numpy as np
from numpy.typing import ArrayLike, NDArray

from loop.curve import Array
from loop.hydraulics.cases import CasePumps, Cases
from loop.hydraulics.network import Network
from loop.parts import Pump
from loop.records import dataclass

# Relative rounding within which a flow past the curve's last point counts as on it.
_ROUNDING = 1e-9


@dataclass(frozen=True)
class InstalledPump:
    """A pump, or group of equal pumps, at its speed in a loop.

    speed : relative to rated, shape (n,) or (1,), with the factor that a baseline found.
    flow, head : further factors on the curve's two axes, each shape (n,) or (1,).
    case_pumps : the pump of each case, where they differ.

    Notes
    -----
    Affinity laws: flow scales with speed, head and required NPSH with its square, power with its
    cube (Crane TP-410; any pump textbook). Pumps in parallel share the flow, pumps in series add
    their heads, and all of them draw power.
    """

    pump: Pump
    speed: Array
    flow: Array
    head: Array
    case_pumps: CasePumps | None = None

    def subset(self, rows: NDArray[np.intp]) -> "InstalledPump":
        """The pump in some of the cases, by their indices."""
        case_pumps = None if self.case_pumps is None else self.case_pumps[rows]
        speed, flow, head = (
            values if len(values) == 1 else values[rows]
            for values in (self.speed, self.flow, self.head)
        )
        found = InstalledPump(self.pump, speed, flow, head, case_pumps)
        for name in ("flow_scale", "head_scale", "_slope_scale"):
            if (known := vars(self).get(name)) is not None:
                vars(found)[name] = known if len(known) == 1 else known[rows]
        return found

    def _per_case(self, number: Callable[[Pump], float]) -> Array | float:
        """A number of the pump, or of each case's pump."""
        return number(self.pump) if self.case_pumps is None else self.case_pumps.per_case(number)

    @cached_property
    def flow_scale(self) -> Array:
        """Flow of the group relative to the pump curve's, shape (n,)."""
        return self.flow * self.speed * self._per_case(lambda pump: pump.in_parallel)

    @cached_property
    def head_scale(self) -> Array:
        """Head of the group relative to the pump curve's, shape (n,)."""
        return self.head * self.speed**2 * self._per_case(lambda pump: pump.in_series)

    @cached_property
    def _slope_scale(self) -> Array:
        """Slope of the group's head over that of its curve, shape (n,)."""
        return self.head_scale / self.flow_scale

    @property
    def last_flow(self) -> Array:
        """Flow at the curve's last measured point [m³/s]."""
        return self.flow_scale * self._per_case(lambda pump: pump.curve.last_flow)

    @property
    def shutoff_head(self) -> Array:
        """Head at zero flow [m]."""
        return self.head_scale * self._per_case(lambda pump: pump.curve.shutoff_head)

    def rated_flow(self, flow: ArrayLike) -> Array:
        """Flow [m³/s] at which the pump's curve is read when the group moves `flow`."""
        return np.asarray(flow) / self.flow_scale

    def past_curve(self, flow: ArrayLike) -> "np.ndarray[tuple[int], np.dtype[np.bool_]]":
        """Whether `flow` [m³/s] lies beyond the last measured point."""
        return np.asarray(np.asarray(flow) > self.last_flow * (1 + _ROUNDING))

    def head_at(self, flow: ArrayLike) -> tuple[Array, Array]:
        """Head [m] at `flow` [m³/s] and its slope [s/m²].

        Head is extrapolated linearly past the curve's last point, and equals shut-off head below
        zero flow.
        """
        rated = self.rated_flow(np.maximum(flow, 0.0))
        if self.case_pumps is None:
            head, slope = self.pump.curve.head_curve.extended_with_slope(rated)
        else:
            head, slope = self.case_pumps.head_at(rated)
        return self.head_scale * head, self._slope_scale * slope

    def power_at(self, flow: ArrayLike) -> Array:
        """Electrical power [W] of the group at `flow` [m³/s]; NaN past the curve, or unknown."""
        power = self._evaluate(lambda pump, rated: pump.curve.power(rated), flow)
        return power * self.speed**3 * self._per_case(lambda pump: pump.count)

    def npsh_required_at(self, flow: ArrayLike) -> Array:
        """Required NPSH [m] at `flow` [m³/s]; NaN past the curve, or unknown."""
        needed = self._evaluate(lambda pump, rated: pump.curve.npsh_required(rated), flow)
        return needed * self.speed**2

    def _evaluate(self, row: Callable[[Pump, Array], Array], flow: ArrayLike) -> Array:
        """Value of a row of the pump's file at one pump's share of `flow`."""
        rated = self.rated_flow(flow)
        return (
            row(self.pump, rated)
            if self.case_pumps is None
            else self.case_pumps.evaluate(row, rated)
        )


def installed_pump(network: Network, cases: Cases | None = None) -> InstalledPump:
    """The pump of a network in each of `cases`, or as in the job if omitted."""
    cases = cases or Cases()
    of_supply = (
        network.pump.speed if cases.pumps is None else cases.pumps.per_case(lambda pump: pump.speed)
    )
    speed = of_supply * network.job.fitted.pump * cases.speed
    return InstalledPump(network.pump, speed, cases.pump_flow, cases.pump_head, cases.pumps)
