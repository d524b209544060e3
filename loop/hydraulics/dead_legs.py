"""Heads of standing water, from the joint, the sea or the outlet that it is connected to."""

from collections.abc import Mapping, Sequence

from loop.hydraulics.network import SEA_IN, SEA_OUT, Network
from loop.parts import Pump
from loop.parts.friction import GRAVITY
from loop.seawater import ATMOSPHERE

# A piece of standing water: (-1, joint), or (line, number of walls before it).
_Piece = tuple[int, int]


class Still:
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
        self, network: Network, stands: Sequence[int], joints: Mapping[int, float], gain: float
    ) -> None:
        self.network, self._stands, self._running, self._gain = network, stands, joints, gain
        self._of: dict[_Piece, _Piece] = {}  # union-find parents: joints merge pieces
        self._pieces: dict[int, _Piece] = {}  # by part
        self._fixed: dict[_Piece, float] = {}
        self._rims: dict[_Piece, float] = {}
        self._walls: list[tuple[_Piece, _Piece, float | None]] = []
        self._falls = network.falls_held
        for number in stands:
            self._cut(number)
        for fork in network.forks:
            if fork.split not in joints:
                self._pieces[fork.manifold] = (-1, fork.split)
        self._rims = self._lowest(self._rims)
        self._fixed = {self._root(piece): head for piece, head in self._fixed.items()}
        self._walls = [(self._root(a), self._root(b), gain) for a, b, gain in self._walls]
        self.levels = self._levels()

    def heads(self) -> dict[int, float]:
        """Total head [m] at the far end of each part without flow, manifolds included."""
        network, water = self.network, self.network.water
        vacuum = (ATMOSPHERE - water.vapor_pressure) / (water.density * GRAVITY)
        found = {}
        for index, piece in self._pieces.items():
            lowest = network.heights[index] - (0.0 if self._root(piece) in self._rims else vacuum)
            found[index] = max(self.levels[self._root(piece)], lowest)
        # A line that ends at running water has that water's head, even if it is dry up to there.
        for number in self._stands:
            line = network.lines[number]
            if line.end in self._running:
                found[line.parts[-1]] = self._running[line.end]
        return found

    def _cut(self, number: int) -> None:
        """Add a line: its pieces, the walls between them, and what fixes the head at its ends."""
        line = self.network.lines[number]
        piece = (number, 0)
        self._of[piece] = piece
        self._hang(piece, line.start)
        for index in line.parts:
            part = self.network.parts[index]
            if part.shut or part.one_way or isinstance(part, Pump) or index in self._falls:
                before, piece = piece, (number, piece[1] + 1)
                self._of[piece] = piece
                gain = self._gain if isinstance(part, Pump) else -self._falls.get(index, 0.0)
                self._walls.append((before, piece, None if part.shut else gain))
            self._pieces[index] = piece
        if line.end == SEA_OUT and line.outlet_head > 0:
            self._rims[piece] = line.outlet_head
        else:
            self._hang(piece, line.end)

    def _hang(self, piece: _Piece, end: int) -> None:
        """Connect a piece to the sea, or to a joint, where other lines without flow join it."""
        if end < 0:
            self._fixed[piece] = self.network.start_head if end == SEA_IN else 0.0
        elif end in self._running:
            self._fixed[piece] = self._running[end]
        else:
            joint = (-1, end)
            self._of.setdefault(joint, joint)
            self._of[self._root(piece)] = self._root(joint)

    def _root(self, piece: _Piece) -> _Piece:
        while self._of[piece] != piece:
            piece = self._of[piece]
        return piece

    def _lowest(self, rims: Mapping[_Piece, float]) -> dict[_Piece, float]:
        found: dict[_Piece, float] = {}
        for piece, height in rims.items():
            root = self._root(piece)
            found[root] = min(height, found.get(root, height))
        return found

    def _levels(self) -> dict[_Piece, float]:
        """Total head of each piece; those known best are set first."""
        levels = dict(self._fixed)
        pieces = {self._root(piece) for piece in self._of}
        while len(levels) < len(pieces):
            levels |= self._fed(levels) or self._brim(levels) or self._pulled(levels)
        return levels

    def _fed(self, levels: Mapping[_Piece, float]) -> dict[_Piece, float]:
        """Pieces behind check valves or the pump: the highest head that these pass."""
        found: dict[_Piece, float] = {}
        for before, behind, gain in self._walls:
            if gain is not None and before in levels and behind not in levels:
                head = max(levels[before] + gain, found.get(behind, -float("inf")))
                found[behind] = min(head, self._rims.get(behind, head))
        return found

    def _brim(self, levels: Mapping[_Piece, float]) -> dict[_Piece, float]:
        """The piece with the lowest outlet in air, full to its outlet unless it drains lower."""
        rims = {piece: height for piece, height in self._rims.items() if piece not in levels}
        if not rims:
            return {}
        lowest = min(rims, key=lambda piece: rims[piece])
        return {lowest: min([rims[lowest], *self._bounds(lowest, levels)])}

    def _pulled(self, levels: Mapping[_Piece, float]) -> dict[_Piece, float]:
        """A piece that drains through a check valve or the pump; failing that, a locked piece."""
        for before, *_ in self._walls:
            if before not in levels and (bounds := self._bounds(before, levels)):
                return {before: min(bounds)}
        return next(
            {b: levels[a]} if a in levels else {a: levels[b]}
            for a, b, _ in self._walls
            if (a in levels) != (b in levels)
        )

    def _bounds(self, piece: _Piece, levels: Mapping[_Piece, float]) -> list[float]:
        """Heads that a piece cannot exceed: it would drain through a check valve or the pump."""
        return [
            levels[behind] - gain
            for before, behind, gain in self._walls
            if before == piece and gain is not None and behind in levels
        ]
