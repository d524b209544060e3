"""Build the network of lines and joints from a job's parts."""

from collections.abc import Sequence
from dataclasses import replace
from typing import Any

from loop.hydraulics.bore_steps import step_resistances
from loop.hydraulics.effort import spend_on_building
from loop.hydraulics.find_legs import find_legs
from loop.hydraulics.layout import layout_of
from loop.hydraulics.network import SEA_IN, SEA_OUT, Fork, Line, Network
from loop.job import Job, all_parts, locate
from loop.job.address import part_labels
from loop.parts import Discharge, Manifold, Part, Pump
from loop.parts.friction import GRAVITY
from loop.parts.intake import SCOOP


def scoop_head(facing: str, speed: float) -> float:
    """Head [m] that boat speed [m/s] adds at an intake with this facing.

    Engineering estimate: a share of the velocity head of the boat speed
    (`loop.parts.intake.SCOOP`).
    """
    return SCOOP[facing] * speed**2 / (2 * GRAVITY)


def build(job: Job) -> Network:
    """The network of a job."""
    network = _Builder(job).network()
    spend_on_building(len(network.parts) + len(network.lines))
    sections, legs = find_legs(network)
    return network.varied(sections=sections, legs=legs)


def resized(network: Network, job: Job) -> Network:
    """The network of a job that differs from that of `network` in the sizes of its parts alone."""
    parts = tuple(all_parts(job.part))
    forks = tuple(_resized_fork(fork, network.lines, parts) for fork in network.forks)
    other = network.varied(
        job=job,
        parts=parts,
        labels=part_labels(parts),
        forks=forks,
        steps=step_resistances(parts, network.lines, forks),
    )
    vars(other)["layout"] = layout_of(network)
    sections, legs = find_legs(other)
    return other.varied(sections=sections, legs=legs)


def _resized_fork(fork: Fork, lines: Sequence[Line], parts: Sequence[Part]) -> Fork:
    manifold = parts[fork.manifold]
    assert isinstance(manifold, Manifold)
    before = next(line.parts[-1] for line in lines if line.end == fork.split)
    return replace(fork, **_bores(manifold, manifold.bore or parts[before].inner_bore))


def _bores(manifold: Manifold, header: float) -> dict[str, Any]:
    """Fields of a `Fork`: the header's bore, and those of the branches where they begin and end."""
    return {
        "header_bore": header,
        "bores": tuple(min(branch.part[0].inner_bore, header) for branch in manifold.branch),
        "back_bores": tuple(min(branch.part[-1].inner_bore, header) for branch in manifold.branch),
    }


class _Builder:
    """Visits the job's parts once, in flow order, the order of `locate`."""

    def __init__(self, job: Job) -> None:
        self.job = job
        self.located = locate(job.part)
        self.parts = [item.part for item in self.located]
        self.heights: list[float] = []
        self.lines: list[Line] = []
        self.forks: list[Fork] = []
        self.line_of: dict[int, int] = {}
        self.joints = 0

    def network(self) -> Network:
        self._route(self.job.part, SEA_IN, SEA_OUT, 0.0)
        return Network(
            job=self.job,
            water=self.job.water.properties,
            parts=tuple(self.parts),
            places=tuple(item.place for item in self.located),
            labels=tuple(item.label for item in self.located),
            branches=tuple(item.branch for item in self.located),
            heights=tuple(self.heights),
            lines=tuple(self.lines),
            forks=tuple(self.forks),
            joints=self.joints,
            start_head=scoop_head(self.job.intake.facing, self.job.boat.speed),
            line_of=tuple(self.line_of[i] for i in range(len(self.parts))),
            steps=step_resistances(self.parts, self.lines, self.forks),
        )

    def _route(
        self, parts: Sequence[Part], start: int, end: int, height: float
    ) -> tuple[int, int, float]:
        """Add a line's parts; return its first line, its last line and the height at its end."""
        indices: list[int] = []
        first = -1
        for part in parts:
            if not isinstance(part, Manifold):
                height = float(getattr(part, "to", getattr(part, "height", height)))
                indices.append(self._add(height))
                continue
            split = self._joint()
            line = self._line(indices, start, split)
            first = line if first < 0 else first
            # The header has no loss of its own; it is assigned to the line before it.
            self.line_of[len(self.heights)] = line
            bore = part.bore or self.parts[indices[-1]].inner_bore
            indices = []
            start, height = self._fork(part, bore, split, height)
        if not indices:  # a final manifold whose branches all end overboard
            return first, -1, height
        line = self._line(indices, start, end)
        return (line if first < 0 else first), line, height

    def _fork(self, part: Manifold, bore: float, split: int, height: float) -> tuple[int, float]:
        index = self._add(height)
        rejoins = any(not b.overboard for b in part.branch)
        join = self._joint() if rejoins else None
        firsts: list[int] = []
        lasts: list[int | None] = []
        joined = height
        for branch in part.branch:
            end = SEA_OUT if branch.overboard or join is None else join
            first, last, end_height = self._route(branch.part, split, end, height)
            firsts.append(first)
            lasts.append(None if branch.overboard else last)
            joined = joined if branch.overboard else end_height
        self.forks.append(
            Fork(
                manifold=index,
                split=split,
                join=join,
                names=tuple(branch.name for branch in part.branch),
                first=tuple(firsts),
                last=tuple(lasts),
                angle=part.angle,
                **_bores(part, bore),
            )
        )
        return (split if join is None else join), joined

    def _add(self, height: float) -> int:
        """Index of the next part, which ends at this height."""
        self.heights.append(height)
        return len(self.heights) - 1

    def _joint(self) -> int:
        self.joints += 1
        return self.joints - 1

    def _line(self, parts: Sequence[int], start: int, end: int) -> int:
        held = [self.parts[index] for index in parts]
        outlet = held[-1].height if isinstance(held[-1], Discharge) else 0.0
        self.lines.append(
            Line(
                parts=tuple(parts),
                start=start,
                end=end,
                branch=self.located[parts[0]].branch,
                outlet_head=max(outlet, 0.0),
                # An outlet above water cannot draw water back in, and the pump model has no reverse
                # flow: where the pump cannot hold the head, the flow is zero.
                one_way=outlet > 0 or any(p.one_way or isinstance(p, Pump) for p in held),
                shut=any(part.shut for part in held),
            )
        )
        for index in parts:
            self.line_of[index] = len(self.lines) - 1
        return len(self.lines) - 1
