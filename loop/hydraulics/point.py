"""Operating point of a job: flows, heads and pressures, part by part, with their band."""

from dataclasses import replace
from functools import cached_property
from typing import Any

import numpy as np

from loop.answers import Answer, plain
from loop.curve import Array
from loop.hydraulics.band import band_from_samples, sampled_flows
from loop.hydraulics.build import build
from loop.hydraulics.flows import Flows
from loop.hydraulics.grade_line import Heads, films_at, heads_at
from loop.hydraulics.installed_pump import installed_pump
from loop.hydraulics.leg_report import LegState, leg_states
from loop.hydraulics.legs import Piece
from loop.hydraulics.network import Network
from loop.hydraulics.other_solutions import least_share, other_solutions
from loop.hydraulics.running_lines import without_trickle
from loop.hydraulics.solver import best_flows, nominal_flows, solve_flows
from loop.job import Job, takes_job
from loop.parts import Discharge, Manifold, Pump
from loop.parts.friction import GRAVITY, velocity
from loop.records import dataclass

# Flows that differ by less than this share of the largest are the same.
_SAME_FLOW = 1e-6


@dataclass(frozen=True)
class Station:
    """The water at the far end of one part, in the order of the file.

    Height [m] above the waterline, flow [m³/s], velocity [m/s] in the part's bore, head lost in the
    part [m] (a manifold tee's loss counts with the branch's first or last part), total head [m] and
    gauge pressure [Pa]. Where water runs against the order of the file, flow, velocity and head
    loss are negative. Standing water loses nothing; `StandingWater` gives its head. ``film``: the
    part's far end lies in a leg that holds air, where the water falls as a film at the pressure of
    the air.
    """

    part: str
    kind: str
    label: str
    branch: str
    height: float
    flow: float
    velocity: float
    head_loss: float
    total_head: float
    gauge_pressure: float
    film: bool = False


@dataclass(frozen=True)
class OperatingPoint(Answer):
    """State of the loop at start-up: with air in the falling legs that do not fill themselves.

    flow [m³/s] through the pump, with the low and high edge of its band; pump_head and shutoff_head
    [m]; power [W], NaN where the pump's file states none; past_curve, whether the flow is beyond
    the pump's last measured point; settled, whether the heads balance to 1e-8 m; residual [m];
    line_flow, shape (lines,), with its band; on_tables, the same flows calculated from the parts'
    tables. ``network`` includes the state of the legs, for everything calculated from it. ``legs``
    are the falling legs. ``best`` is the same loop with every leg full that can stay full, None if
    that is no different; ``fullest`` marks such a point, whose band is sampled in the same way. A
    network with tees may have several balanced solutions: this is the worst for the units' needs
    among those found, and ``other`` the best; None if only one was found.
    """

    network: Network
    flow: float
    pump_head: float
    shutoff_head: float
    power: float
    past_curve: bool
    settled: bool
    residual: float
    line_flow: np.ndarray
    on_tables: np.ndarray
    fullest: bool
    stations: tuple[Station, ...]
    legs: tuple[LegState, ...] = ()
    best: "OperatingPoint | None" = None
    other: "OperatingPoint | None" = None

    @cached_property
    def drawn(self) -> Flows:
        """Flows of the sampled loops behind the band, solved on first use."""
        solve = best_flows if self.fullest else solve_flows
        return sampled_flows(self.network, self.on_tables, solve)

    @cached_property
    def _band(self) -> tuple[Array, Array]:
        """Low and high edge of every line's flow [m³/s], sampled on first use.

        The band is calculated from the tables and shifted with the exact solution. It always
        contains that solution, even where a line flows backwards, whose band ends at 0. A loop that
        does not converge has no band.
        """
        low = high = self.on_tables
        if self.settled:
            low, high = band_from_samples(self.network, self.on_tables, self.drawn)
        shift = self.line_flow - self.on_tables
        low = np.where(low > 0, np.maximum(low + shift, 0.0), 0.0)
        return np.minimum(low, self.line_flow), np.maximum(high + shift, self.line_flow)

    @property
    def line_low(self) -> Array:
        """Low edge of every line's band [m³/s], shape (lines,)."""
        return self._band[0]

    @property
    def line_high(self) -> Array:
        """High edge of every line's band [m³/s], shape (lines,)."""
        return self._band[1]

    @property
    def flow_low(self) -> float:
        """Low edge of the pump's band [m³/s]."""
        return float(self.line_low[self.network.pump_line])

    @property
    def flow_high(self) -> float:
        """High edge of the pump's band [m³/s]."""
        return float(self.line_high[self.network.pump_line])

    def flow_through(self, index: int) -> float:
        """Flow through a part [m³/s]."""
        return float(self.line_flow[self.network.line_of[index]])

    def part_flow(self, index: int) -> tuple[float, float, float]:
        """Flow through a part, and the low and high edge of its band [m³/s]."""
        line = self.network.line_of[index]
        return self.flow_through(index), float(self.line_low[line]), float(self.line_high[line])

    @cached_property
    def films(self) -> frozenset[Piece]:
        """Pieces of hose in which water falls as a film."""
        return films_at(self.network, self.line_flow)

    @property
    def pump_inlet(self) -> Station:
        """The water as it enters the pump."""
        return self.stations[self.network.pump_index - 1]

    def to_dict(self) -> dict[str, Any]:
        """Flow with its band, heads and power, and the stations; None for NaN."""
        names = (
            *("flow", "flow_low", "flow_high", "pump_head", "shutoff_head", "power", "residual"),
            *("past_curve", "settled", "stations"),
        )
        return {name: plain(getattr(self, name)) for name in names}

    def __repr__(self) -> str:
        return (
            f"OperatingPoint(flow={self.flow * 1000 * 60:.2f} L/min "
            f"[{self.flow_low * 60000:.2f} to {self.flow_high * 60000:.2f}], "
            f"pump_head={self.pump_head:.3f} m of {self.shutoff_head:.3f} m at shut-off)"
        )


@takes_job
def solve(job: Job) -> OperatingPoint:
    """Operating point of a job: heads balanced to 1e-8 m on the parts' own loss functions.

    A loop in which nothing can flow has flow 0; that is a result, not an error. Whether the pump
    primes the loop by itself is answered by `loop.check`, whose result says so (``starts``); where
    it does not, this is the flow once the loop is primed.
    """
    return operating_point(build(job))


def operating_point(network: Network) -> OperatingPoint:
    """`solve` for a network already built."""
    rough = nominal_flows(network)
    start = network.with_air(rough.air[0]).varied(settles=bool(rough.settled[0]))
    rough, other = _worst_and_best(start, rough)
    point = _point(start, rough)
    best = _best_point(start, rough) if any(start.air or ()) else None
    at_best = best or point
    legs = leg_states(start, point.line_flow, at_best.network, at_best.line_flow)
    second = None if other is None else _point(start, other)
    return replace(point, best=best, other=second, legs=legs)


def _worst_and_best(network: Network, found: Flows) -> tuple[Flows, Flows | None]:
    """The balanced solutions with the least and the greatest share of a unit's need.

    The second is None if no other solution was found.
    """
    others = other_solutions(network, found)
    if not len(others.line_flow):
        return found, None
    every = Flows.concatenate([found, others])
    shares = [least_share(network, flows) for flows in every.line_flow]
    least, most = (int(index) for index in (np.argmin(shares), np.argmax(shares)))
    return every[[least]], every[[most if most != least else 1]]


def _best_point(start: Network, rough: Flows) -> OperatingPoint | None:
    """The best-case point; None if it is the same as at start-up."""
    best = best_flows(start, start=rough.line_flow)
    moved = np.abs(best.line_flow - rough.line_flow).max()
    if moved <= _SAME_FLOW * np.abs(best.line_flow).max():
        return None
    return _point(start.with_air(best.air[0]), best, fullest=True)


def _point(network: Network, rough: Flows, fullest: bool = False) -> OperatingPoint:
    """Operating point from the flows on the tables, in the network's own leg state."""
    flows = solve_flows(network, exact=True, start=rough.line_flow)
    network = network.varied(settles=bool(flows.settled[0]))
    line_flow = without_trickle(network, flows.line_flow[0])
    flows = replace(flows, line_flow=line_flow[None, :])
    pump = installed_pump(network)
    flow = float(line_flow[network.pump_line])
    return OperatingPoint(
        network=network,
        flow=flow,
        pump_head=float(flows.pump_head[0]),
        shutoff_head=float(pump.shutoff_head[0]),
        power=float(pump.power_at(flow)[0]),
        past_curve=bool(pump.past_curve(flow)[0]),
        settled=bool(flows.settled[0]),
        residual=float(flows.residual[0]),
        line_flow=line_flow,
        on_tables=rough.line_flow[0],
        fullest=fullest,
        stations=stations(network, flows),
    )


def stations(network: Network, flows: Flows) -> tuple[Station, ...]:
    """The water at the far end of each part, in the order of the file, for the first case."""
    line_flow = flows.line_flow[0]
    network = network.with_air(flows.air[0])
    heads = heads_at(network, line_flow)
    return tuple(
        _station(network, index, float(line_flow[line]), heads)
        for index, line in enumerate(network.line_of)
    )


def _station(network: Network, index: int, flow: float, heads: Heads) -> Station:
    part, head = network.parts[index], heads.after[index]
    bore = _bore(network, index)
    # Pumps in parallel have a port each, and share the flow.
    ports = part.in_parallel if isinstance(part, Pump) else 1
    speed = velocity(flow / ports, bore)
    height = network.heights[index]
    # Beyond a discharge the jet has lost its velocity head, which is the exit loss.
    moving = 0.0 if isinstance(part, Discharge) else speed**2 / (2 * GRAVITY)
    return Station(
        part=network.places[index],
        kind=part.kind,
        label=network.labels[index],
        branch=network.branches[index],
        height=height,
        flow=flow,
        velocity=speed,
        head_loss=heads.lost[index],
        total_head=head,
        gauge_pressure=network.water.density * GRAVITY * (head - height - moving),
        film=heads.film_at(network, index),
    )


def _bore(network: Network, index: int) -> float:
    part = network.parts[index]
    if isinstance(part, Manifold):
        return next(f.header_bore for f in network.forks if f.manifold == index)
    return part.inner_bore
