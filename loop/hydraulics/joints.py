"""A network's manifolds: the headers on which branches leave and come back, and their losses."""

from collections.abc import Iterator
from functools import lru_cache

import numpy as np

from loop.curve import Array
from loop.hydraulics.headers import Header, Headers
from loop.hydraulics.network import Fork


class Manifolds:
    """The headers of some forks, at least one, in a network of so many lines.

    What a tee takes is charged to the line that leaves the header, and on the way back to the line
    that comes back to it.
    """

    def __init__(self, forks: tuple[Fork, ...], lines: int) -> None:
        out = [(leaving(fork), list(fork.first)) for fork in forks]
        back = [(returning(fork), fork.rejoining[1]) for fork in forks if fork.rejoining[1]]
        self._headers = Headers([header for header, _ in out + back])
        self._lines = [numbers for _, numbers in out + back]
        self._out = len(out)
        most = self._headers.branches
        # A branch that a header has not is given a line past the last, in which nothing flows.
        padded = [[*numbers, *[lines] * (most - len(numbers))] for numbers in self._lines]
        self._flows = np.array(padded, dtype=np.intp)
        # A line that no header charges is given the loss past the last, which is none.
        nowhere = len(padded) * most
        self._leaving, self._returning = np.full((2, lines), nowhere, dtype=np.intp)
        for number, charged in enumerate(self._lines):
            place = self._leaving if number < self._out else self._returning
            place[charged] = number * most + np.arange(len(charged))

    def losses(self, flows: Array, exact: bool = False) -> tuple[Array, Array]:
        """Head lost in tees [m] on leaving a header, and on coming back to one.

        Each of shape (n, lines), at all lines' flows [m³/s] of that shape: 0 for a line that no
        header charges, negative where a faster stream pulls a slower along. `exact` as in
        `Headers.losses`.
        """
        lost = _with_none(self._headers.losses(self._by_header(flows), exact))
        return lost[:, self._leaving], lost[:, self._returning]

    def slopes(self, flows: Array) -> Array:
        """Change of each branch's loss with each branch's flow in every header [s/m²].

        Shape (n, headers, branches, branches), those that branches leave before those that they
        come back to; `charges` says which lines are meant.
        """
        return self._headers.slopes(self._by_header(flows))

    @property
    def charges(self) -> Iterator[tuple[str, int, int, int]]:
        """Each place of `slopes`, header after header: kind of header, the line charged, the line
        whose flow changes, and the place."""
        most = self._headers.branches
        for number, lines in enumerate(self._lines):
            kind = "leaving" if number < self._out else "returning"
            for i, line in enumerate(lines):
                for k, other in enumerate(lines):
                    yield kind, line, other, (number * most + i) * most + k

    def _by_header(self, flows: Array) -> Array:
        return _with_none(flows)[:, self._flows]


def _with_none(values: Array) -> Array:
    """Values of each case in a row, with a 0 after the last."""
    n = len(values)
    return np.concatenate([values.reshape(n, -1), np.zeros((n, 1))], axis=1)


def leaving(fork: Fork) -> Header:
    """The header from which a manifold's branches leave."""
    return Header(fork.header_bore, fork.bores, _degrees(fork), converging=False)


def returning(fork: Fork) -> Header:
    """The header on which they come back: those that do, in the water's order."""
    bores = tuple(fork.back_bores[branch] for branch in fork.rejoining[0])
    return Header(fork.header_bore, bores, _degrees(fork), converging=True)


def _degrees(fork: Fork) -> float:
    return float(np.degrees(fork.angle))


@lru_cache(maxsize=256)
def manifolds(forks: tuple[Fork, ...], lines: int) -> Manifolds:
    """The manifolds of these forks; kept, since studies ask for the same often."""
    return Manifolds(forks, lines)
