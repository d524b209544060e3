"""Whether loops start by themselves: from heights, bleeds, attitude and supply, not flows.

Judged as in `loop.check` (start-head-short, suction-above-water, pump-above-water, intake-shallow,
supply-wrong), where the flow cannot be relied on: flows of a loop that does not start are those
once primed.
"""

from collections.abc import Hashable, Sequence
from dataclasses import replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from loop.air.high_points import Top, find_tops
from loop.air.priming_head import rises
from loop.curve import Array
from loop.hydraulics import Network
from loop.hydraulics.line_profile import Profile, profile
from loop.job import Boat
from loop.margins.suction import height_above_water, intake_exposed, priming_reach, pump_exposed
from loop.parts import Hose, Intake, Pump
from loop.parts.friction import ROUNDING
from loop.pumps.supply import supply_suits
from loop.records import dataclass
from loop.sweep.groups import Group, Variant
from loop.sweep.structures import distinct_values

Facts = NDArray[np.bool_]


@dataclass(frozen=True)
class Start:
    """What the loop needs to start, and what else keeps it from running.

    ``needed`` is the shut-off head that drives the air out [m]; infinite if no water reaches the
    pump. ``intake_dry``: the intake comes out of the water. ``wrong_supply``: the pump is not made
    for its supply.
    """

    needed: float
    intake_dry: bool
    wrong_supply: bool


def start_of(network: Network, boat: Boat) -> Start:
    """The start of one loop."""
    profiles = [profile(network, parts) for _, parts in network.paths()]
    with_tops = [(line, find_tops(line)) for line in profiles]
    gets_water = not pump_exposed(network.pump, network.heights[network.pump_index], boat)
    gets_water = gets_water and not any(
        _high_point_stops_pump(network, line, tops, boat) for line, tops in with_tops
    )
    intake = network.parts[0]
    assert isinstance(intake, Intake)
    return Start(
        max(rises(line, tops).head for line, tops in with_tops) if gets_water else np.inf,
        intake_exposed(intake, boat),
        not supply_suits(network.pump.power_supply, network.pump.curve),
    )


def _high_point_stops_pump(
    network: Network, path: Profile, tops: Sequence[Top], boat: Boat
) -> bool:
    """Whether a suction high point above the water stops a pump that is not self-priming."""
    if network.pump.curve.self_priming:
        return False
    intake = network.parts[0]
    assert isinstance(intake, Intake)
    shares = (
        (path.points[top.last].distance / path.pump_at, top.height)
        for top in tops
        if top.side == "suction"
    )
    return any(
        height_above_water(intake, network.pump, share, height, boat) > ROUNDING
        for share, height in shares
    )


class Starts:
    """The starts of a grid's points, each distinct one calculated once."""

    def __init__(self, base: Network, groups: Sequence[Group]) -> None:
        self._base, self._groups = base, groups
        # Variants with the same start share one number.
        self._which = [
            distinct_values([_start_key(variant) for variant in group.variants])[1]
            for group in groups
        ]
        self._known: dict[tuple[int, ...], Start] = {}

    def look_up(self, chosen: Sequence[NDArray[np.intp]]) -> tuple[Array, Facts, Facts]:
        """Head needed [m], whether the intake comes out, whether the supply is wrong: shapes (n,).

        `chosen`: the points' variants of each group, each of shape (n,).
        """
        keys = np.stack([own[at] for own, at in zip(self._which, chosen, strict=True)], axis=1)
        distinct_keys, first, point_key = np.unique(
            keys, axis=0, return_index=True, return_inverse=True
        )
        found = [
            self._start_of(tuple(key), [int(at[row]) for at in chosen])
            for key, row in zip(distinct_keys.tolist(), first.tolist(), strict=True)
        ]
        point = point_key.ravel()
        return (
            np.array([start.needed for start in found])[point],
            np.array([start.intake_dry for start in found])[point],
            np.array([start.wrong_supply for start in found])[point],
        )

    def _start_of(self, key: tuple[int, ...], numbers: Sequence[int]) -> Start:
        if key not in self._known:
            variants = [
                group.variants[number] for group, number in zip(self._groups, numbers, strict=True)
            ]
            self._known[key] = start_of(*_combined(self._base, variants))
        return self._known[key]


def _start_key(variant: Variant) -> Hashable:
    """What affects the start of a variant."""
    network = variant.network
    return (
        tuple(_part_key(part) for part in network.parts),
        tuple(line.parts for line in network.lines),
        network.heights,
        variant.job.boat,
    )


def _part_key(part: Any) -> Hashable:
    if isinstance(part, Hose):
        return part.points
    if isinstance(part, Pump):
        suits = supply_suits(part.power_supply, part.curve)
        return (part.off_centre, part.fore_aft, part.curve.self_priming, priming_reach(part), suits)
    return (part.off_centre, part.fore_aft) if isinstance(part, Intake) else part.kind


def _combined(base: Network, variants: Sequence[Variant]) -> tuple[Network, Boat]:
    """The network of a point as far as it affects the start, and its boat.

    Groups change separate things: no two change one part, and a group that changes how the parts
    are connected changes them all.
    """
    networks = [variant.network for variant in variants]
    lines = [line.parts for line in base.lines]
    start = next((n for n in networks if [line.parts for line in n.lines] != lines), base)
    parts, heights = list(start.parts), list(start.heights)
    for network in networks:
        if len(network.parts) == len(base.parts) == len(parts):
            for index, part in enumerate(network.parts):
                if part != base.parts[index]:
                    parts[index] = part
                if network.heights[index] != base.heights[index]:
                    heights[index] = network.heights[index]
    boats = (variant.job.boat for variant in variants if variant.job.boat != base.job.boat)
    return (
        replace(start, parts=tuple(parts), heights=tuple(heights)),
        next(boats, base.job.boat),
    )
