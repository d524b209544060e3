"""A job as lines and joints: the input of the solver.

A line is a run of parts with one flow. A manifold is two joints, where its branches leave and where
they meet again. A series loop is a network without joints, solved by the same code.
"""

from collections.abc import Iterable
from dataclasses import field, fields
from functools import cached_property, lru_cache
from itertools import pairwise
from typing import Any, TypeAlias

import numpy as np
from numpy.typing import NDArray

from loop.curve import Array, tabulate
from loop.hydraulics.legs import Leg, Section
from loop.job import Job
from loop.parts import Condenser, Manifold, Part, Pump
from loop.records import dataclass
from loop.seawater import Water

# Ends of a line that are not joints.
SEA_IN, SEA_OUT = -1, -2
# Groups of shares of parts' losses, each as (part, share).
Shares: TypeAlias = tuple[tuple[tuple[int, float], ...], ...]


@dataclass(frozen=True)
class Line:
    """Parts with one common flow, from one joint (or the sea) to the next.

    ``parts`` are indices into `Network.parts`; ``start`` and ``end`` joints, or SEA_IN, SEA_OUT;
    ``outlet_head`` the head [m] at which a line that ends overboard meets the sea. ``one_way``
    lines have no reverse flow; ``shut`` lines have no flow.
    """

    parts: tuple[int, ...]
    start: int
    end: int
    branch: str = ""
    outlet_head: float = 0.0
    one_way: bool = False
    shut: bool = False


@dataclass(frozen=True)
class Fork:
    """A manifold: the lines that leave it, in order, and those that return where branches rejoin.

    ``first`` and ``last`` give, for each branch, the line that leaves the header and the line that
    returns to it (None for a branch that ends overboard). ``bores`` and ``back_bores`` are the
    branches' bores [m] where they leave the header and where they return.
    """

    manifold: int
    split: int
    join: int | None
    names: tuple[str, ...]
    first: tuple[int, ...]
    last: tuple[int | None, ...]
    header_bore: float
    bores: tuple[float, ...]
    back_bores: tuple[float, ...]
    angle: float

    def __hash__(self) -> int:
        """Hash of the fields that distinguish manifolds; in a sizing only the bores differ."""
        return hash((self.manifold, self.first, self.header_bore, self.bores, self.back_bores))

    @property
    def rejoining(self) -> tuple[list[int], list[int]]:
        """Indices of the branches that return to the header, and the lines by which they do."""
        back = [(i, line) for i, line in enumerate(self.last) if line is not None]
        return [i for i, _ in back], [line for _, line in back]


@dataclass(frozen=True)
class Network:
    """Lines, joints and the parts on them.

    ``places`` are the parts' positions in the file, as ``part 4 (hose)``; ``labels`` the user's
    names for them; ``branches`` the branch of each part, "" on the main line. ``air`` marks which
    of the ``sections`` of falling legs hold air; None where the solver is to find out. ``steps``
    are the resistances [s²/m⁵] of the bore steps that each part carries. ``settles`` is false where
    all solution methods have failed; the fallbacks are then not tried again.
    """

    job: Job
    water: Water
    parts: tuple[Part, ...]
    places: tuple[str, ...]
    labels: tuple[str, ...]
    branches: tuple[str, ...]
    heights: tuple[float, ...]
    lines: tuple[Line, ...]
    forks: tuple[Fork, ...]
    joints: int
    start_head: float
    line_of: tuple[int, ...] = field(repr=False)
    steps: tuple[float, ...] = field(repr=False)
    sections: tuple[Section, ...] = field(default=(), repr=False)
    legs: tuple[Leg, ...] = field(default=(), repr=False)
    air: tuple[bool, ...] | None = None
    settles: bool = True

    def varied(self, **changes: Any) -> "Network":
        """A copy with these fields changed; cached results that do not depend on them are kept."""
        stale = {name for name, of in _DEPENDS_ON.items() if of & changes.keys()}
        kept = (_FIELDS | _DEPENDS_ON.keys()) - stale
        other = object.__new__(Network)
        vars(other).update((name, value) for name, value in vars(self).items() if name in kept)
        vars(other).update(changes)
        assert vars(other).keys() <= _FIELDS | _DEPENDS_ON.keys()
        return other

    def with_air(self, air: Iterable[bool]) -> "Network":
        """A copy with air in these sections, shape (sections,)."""
        return self.varied(air=tuple(bool(holds) for holds in air))

    @cached_property
    def pump_index(self) -> int:
        """Index of the pump among `parts`."""
        return next(i for i, part in enumerate(self.parts) if isinstance(part, Pump))

    @property
    def pump(self) -> Pump:
        """The pump."""
        part = self.parts[self.pump_index]
        assert isinstance(part, Pump)
        return part

    @property
    def pump_line(self) -> int:
        """Index of the pump's line."""
        return self.line_of[self.pump_index]

    @property
    def falls_held(self) -> dict[int, float]:
        """Fall [m] of each section that holds air, by the part where it begins."""
        return {
            section.pieces[0].part: section.fall
            for section, air in zip(self.sections, self.air or (), strict=False)
            if air and section.fall > 0
        }

    @property
    def full(self) -> "Network":
        """A copy with every falling leg full."""
        return self.with_air(False for _ in self.sections)

    @cached_property
    def starts(self) -> NDArray[np.intp]:
        """Joint (or sea) at which each line begins, shape (lines,)."""
        return np.array([line.start for line in self.lines])

    @cached_property
    def ends(self) -> NDArray[np.intp]:
        """Joint (or sea) at which each line ends, shape (lines,)."""
        return np.array([line.end for line in self.lines])

    @cached_property
    def tables(self) -> Array:
        """Resistance of each part on the flow grid [s²/m⁵], shape (nodes, parts); 0 where shut.

        Includes the bore steps that the part carries.
        """
        own = np.stack([part_table(part, self.water) for part in self.parts], axis=1)
        return np.asarray(own + np.array(self.steps))

    def head_loss(self, index: int, flow: float) -> float:
        """Head loss [m] of a part at a flow [m³/s] above 0, with the bore steps it carries."""
        own = self.parts[index].head_loss(flow, self.water)
        return float(own + self.steps[index] * flow**2)

    @cached_property
    def line_tables(self) -> Array:
        """Resistance of each line on the flow grid [s²/m⁵], shape (nodes, lines)."""
        return np.stack(
            [self.tables[:, list(line.parts)].sum(axis=1) for line in self.lines], axis=1
        )

    def share_tables(self, shares: Shares) -> tuple[Array, Array]:
        """Resistance on the flow grid of each share, (nodes, shares), and of each group of them."""
        if shares not in self._share_tables:
            columns = [pair for group in shares for pair in group]
            table = self.tables[:, [part for part, _ in columns]]
            table = table * np.array([share for _, share in columns])
            ends = np.cumsum([0, *map(len, shares)])
            summed = [table[:, a:b].sum(axis=1) for a, b in pairwise(ends.tolist())]
            self._share_tables[shares] = table, np.stack(summed, axis=1)
        return self._share_tables[shares]

    @cached_property
    def _share_tables(self) -> dict[Shares, tuple[Array, Array]]:
        """Those of `share_tables` that were asked for."""
        return {}

    @cached_property
    def condenser_parts(self) -> dict[str, int]:
        """Index of the part that serves each unit."""
        parts = enumerate(self.parts)
        return {part.serves: index for index, part in parts if isinstance(part, Condenser)}

    def condenser_part(self, unit: str) -> int:
        """Index of the part that serves a unit; raises KeyError if none does."""
        return self.condenser_parts[unit]

    def unit_line(self, unit: str) -> int:
        """Index of a unit's line; raises KeyError if none serves it."""
        return self.line_of[self.condenser_parts[unit]]

    def paths(self) -> list[tuple[str, tuple[int, ...]]]:
        """Every path from sea to sea: branch names joined by " / ", and its parts."""
        return _paths(self)


# Cached results of a network, and the fields that each depends on.
_DEPENDS_ON: dict[str, set[str]] = {
    "ways": {"parts", "lines"},  # of `loop.hydraulics.flow_paths`
    "layout": {"parts", "heights", "lines", "job"},  # of `layout_of`
    "pump_index": {"parts"},
    "condenser_parts": {"parts"},
    "starts": {"lines"},
    "ends": {"lines"},
    "tables": {"parts", "water", "steps"},
    "line_tables": {"parts", "water", "steps", "lines"},
    "_share_tables": {"parts", "water", "steps"},
}


_FIELDS = frozenset(one.name for one in fields(Network))


@lru_cache(maxsize=4096)
def part_table(part: Part, water: Water) -> Array:
    """Resistance of one part on the flow grid, cached: studies often ask for the same part."""
    if part.shut or isinstance(part, Pump | Manifold):
        table = tabulate(np.zeros_like)
    else:
        table = tabulate(lambda flows: part.head_loss(flows, water))
    table.flags.writeable = False
    return table


def _paths(network: Network) -> list[tuple[str, tuple[int, ...]]]:
    """Paths from sea to sea that together cover every line, without redundant ones."""
    into: dict[int, int] = {}
    out_of: dict[int, int] = {}
    for number, line in enumerate(network.lines):
        into.setdefault(line.end, number)
        out_of.setdefault(line.start, number)
    covered: set[int] = set()
    found = []
    for number in range(len(network.lines)):
        # With joints, any path through a branch includes the main line.
        if number in covered or (network.forks and not network.lines[number].branch):
            continue
        before, at = [], number
        while network.lines[at].start != SEA_IN:
            at = into[network.lines[at].start]
            before.append(at)
        after, at = [], number
        while network.lines[at].end != SEA_OUT:
            at = out_of[network.lines[at].end]
            after.append(at)
        path = [*reversed(before), number, *after]
        covered.update(path)
        name = max((network.lines[i].branch for i in path), key=len)
        found.append((name, tuple(p for i in path for p in network.lines[i].parts)))
    return found
