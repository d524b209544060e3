"""Heads of standing water, from the joint, the sea or the outlet that it is connected to."""

from collections.abc import Mapping, Sequence

from loop.hydraulics.network import SEA_IN, SEA_OUT, Network
from loop.parts import Pump
from loop.parts.friction import GRAVITY
from loop.seawater import ATMOSPHERE

# A piece of standing water: (-1, joint), or (line, number of walls before it).
_Piece = tuple[int, int]


class StandingWater:
    """Water in lines without flow, cut into pieces at shut and check valves, pump and air pockets.

    A piece connected to a joint with flow, to the sea at the intake or to an outlet under water has
    the head there. Behind a check valve or the pump it has the head that those pass (plus the
    pump's shut-off head), unless something else fixes it. A piece whose outlet is open to the air
    stands no higher than the outlet, and is assumed to stand that high unless something holds it
    lower; its parts above that level are dry, at atmospheric pressure (what a high point keeps back
    besides, and whether it drained, is not known). A leg that holds air passes the head in excess
    of its fall. A piece before a shut valve on the pump's suction is pulled down by the pump's
    head. Water locked between shut valves gets the head of its neighbor; its pressure is not known.
    No water is below its own vapor pressure.
    """

    def __init__(
        self,
        network: Network,
        lines_at_rest: Sequence[int],
        joint_heads: Mapping[int, float],
        pump_gain: float,
    ) -> None:
        self.network, self._lines_at_rest, self._joint_heads, self._pump_gain = (
            network,
            lines_at_rest,
            joint_heads,
            pump_gain,
        )
        self._parent: dict[_Piece, _Piece] = {}  # union-find parents: joints merge pieces
        self._pieces: dict[int, _Piece] = {}  # by part
        self._fixed: dict[_Piece, float] = {}
        self._outlet_heights: dict[_Piece, float] = {}
        self._barriers: list[tuple[_Piece, _Piece, float | None]] = []
        self._falls = network.falls_held
        for number in lines_at_rest:
            self._add_line(number)
        for fork in network.forks:
            if fork.split not in joint_heads:
                self._pieces[fork.manifold] = (-1, fork.split)
        self._outlet_heights = self._lowest_outlets(self._outlet_heights)
        self._fixed = {self._root(piece): head for piece, head in self._fixed.items()}
        self._barriers = [
            (self._root(a), self._root(b), pump_gain) for a, b, pump_gain in self._barriers
        ]
        self.levels = self._levels()

    def heads(self) -> dict[int, float]:
        """Total head [m] at the far end of each part without flow, manifolds included."""
        network, water = self.network, self.network.water
        vacuum = (ATMOSPHERE - water.vapor_pressure) / (water.density * GRAVITY)
        found = {}
        for index, piece in self._pieces.items():
            lowest = network.heights[index] - (
                0.0 if self._root(piece) in self._outlet_heights else vacuum
            )
            found[index] = max(self.levels[self._root(piece)], lowest)
        # A line that ends at running water has that water's head, even if it is dry up to there.
        for number in self._lines_at_rest:
            line = network.lines[number]
            if line.end in self._joint_heads:
                found[line.parts[-1]] = self._joint_heads[line.end]
        return found

    def _add_line(self, number: int) -> None:
        """Add a line: its pieces, the walls between them, and what fixes the head at its ends."""
        line = self.network.lines[number]
        piece = (number, 0)
        self._parent[piece] = piece
        self._connect(piece, line.start)
        for index in line.parts:
            part = self.network.parts[index]
            if part.shut or part.one_way or isinstance(part, Pump) or index in self._falls:
                before, piece = piece, (number, piece[1] + 1)
                self._parent[piece] = piece
                gain = self._pump_gain if isinstance(part, Pump) else -self._falls.get(index, 0.0)
                self._barriers.append((before, piece, None if part.shut else gain))
            self._pieces[index] = piece
        if line.end == SEA_OUT and line.outlet_head > 0:
            self._outlet_heights[piece] = line.outlet_head
        else:
            self._connect(piece, line.end)

    def _connect(self, piece: _Piece, end: int) -> None:
        """Connect a piece to the sea, or to a joint, where other lines without flow join it."""
        if end < 0:
            self._fixed[piece] = self.network.start_head if end == SEA_IN else 0.0
        elif end in self._joint_heads:
            self._fixed[piece] = self._joint_heads[end]
        else:
            joint = (-1, end)
            self._parent.setdefault(joint, joint)
            self._parent[self._root(piece)] = self._root(joint)

    def _root(self, piece: _Piece) -> _Piece:
        while self._parent[piece] != piece:
            piece = self._parent[piece]
        return piece

    def _lowest_outlets(self, outlet_heights: Mapping[_Piece, float]) -> dict[_Piece, float]:
        found: dict[_Piece, float] = {}
        for piece, height in outlet_heights.items():
            root = self._root(piece)
            found[root] = min(height, found.get(root, height))
        return found

    def _levels(self) -> dict[_Piece, float]:
        """Total head of each piece; those known best are set first."""
        levels = dict(self._fixed)
        pieces = {self._root(piece) for piece in self._parent}
        while len(levels) < len(pieces):
            levels |= (
                self._filled_through_barriers(levels)
                or self._filled_to_outlet(levels)
                or self._drained_or_locked(levels)
            )
        return levels

    def _filled_through_barriers(self, levels: Mapping[_Piece, float]) -> dict[_Piece, float]:
        """Pieces behind check valves or the pump: the highest head that these pass."""
        found: dict[_Piece, float] = {}
        for before, behind, gain in self._barriers:
            if gain is not None and before in levels and behind not in levels:
                head = max(levels[before] + gain, found.get(behind, -float("inf")))
                found[behind] = min(head, self._outlet_heights.get(behind, head))
        return found

    def _filled_to_outlet(self, levels: Mapping[_Piece, float]) -> dict[_Piece, float]:
        """The piece with the lowest outlet in air, full to its outlet unless it drains lower."""
        outlet_heights = {
            piece: height for piece, height in self._outlet_heights.items() if piece not in levels
        }
        if not outlet_heights:
            return {}
        lowest = min(outlet_heights, key=lambda piece: outlet_heights[piece])
        return {lowest: min([outlet_heights[lowest], *self._upper_bounds(lowest, levels)])}

    def _drained_or_locked(self, levels: Mapping[_Piece, float]) -> dict[_Piece, float]:
        """A piece that drains through a check valve or the pump; failing that, a locked piece."""
        for before, *_ in self._barriers:
            if before not in levels and (bounds := self._upper_bounds(before, levels)):
                return {before: min(bounds)}
        return next(
            {b: levels[a]} if a in levels else {a: levels[b]}
            for a, b, _ in self._barriers
            if (a in levels) != (b in levels)
        )

    def _upper_bounds(self, piece: _Piece, levels: Mapping[_Piece, float]) -> list[float]:
        """Heads that a piece cannot exceed: it would drain through a check valve or the pump."""
        return [
            levels[behind] - gain
            for before, behind, gain in self._barriers
            if before == piece and gain is not None and behind in levels
        ]
