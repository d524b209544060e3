"""Manifolds of a network: supply and return headers, and their tee losses."""

import copy
from functools import lru_cache

import numpy as np

from loop.curve import Array, IntArray
from loop.hydraulics.cases import Cases
from loop.hydraulics.headers import Header, Headers
from loop.hydraulics.network import Fork, Network


class Manifolds:
    """The headers of one or more forks, in a network of `lines` lines.

    A supply tee's loss is charged to the line that leaves the header, a return tee's to the line
    that returns to it.
    """

    def __init__(self, forks: tuple[Fork, ...], lines: int) -> None:
        out = [(supply_header(fork), list(fork.first)) for fork in forks]
        back = [(return_header(fork), fork.rejoining[1]) for fork in forks if fork.rejoining[1]]
        self._headers = Headers([header for header, _ in out + back])
        self._lines = [numbers for _, numbers in out + back]
        self._supply_count = len(out)
        most = self._headers.branches
        # Branches that a header lacks map to a padding line after the last, with no flow.
        padded = [[*numbers, *[lines] * (most - len(numbers))] for numbers in self._lines]
        self._lines_by_branch = np.array(padded, dtype=np.intp).T
        # Lines that no header charges map to a padding loss of 0 after the last.
        nowhere = most * len(padded)
        self._leaving, self._returning = np.full((2, lines), nowhere, dtype=np.intp)
        for number, charged in enumerate(self._lines):
            place = self._leaving if number < self._supply_count else self._returning
            place[charged] = np.arange(len(charged)) * len(padded) + number

    @staticmethod
    def of_cases(network: Network, cases: Cases) -> "Manifolds":
        """Those of a network, or of each case's."""
        lines, networks = len(network.lines), cases.networks
        if networks is None:
            return manifolds(network.forks, lines)
        every = [manifolds(one.forks, lines) for one in networks.networks]
        headers = Headers.of_cases([one._headers for one in every], networks.index)
        return every[0]._with(headers)

    def subset(self, rows: IntArray) -> "Manifolds":
        """Those of some of the cases with networks of their own, by their indices."""
        return self._with(self._headers.subset(rows))

    def _with(self, headers: Headers) -> "Manifolds":
        found = copy.copy(self)
        found._headers = headers
        return found

    def losses(self, flows: Array, exact: bool = False) -> tuple[Array, Array]:
        """Tee losses [m] in supply headers and in return headers, each shape (n, lines).

        `flows` are those of all lines [m³/s], shape (n, lines). The loss is 0 for a line that no
        header charges, and negative where a faster stream entrains a slower one. `exact` as in
        `Headers.losses`.
        """
        by_branch = self._headers.losses(self._by_header(flows), exact).T
        lost = _with_zero_row(by_branch.reshape(-1, len(flows)))
        return lost[self._leaving].T, lost[self._returning].T

    def slopes(self, flows: Array) -> Array:
        """Derivative of each line's tee losses by each line's flow [s/m²], (n, lines, lines)."""
        n, lines = flows.shape
        by_header, found = self._headers.slopes(self._by_header(flows)), np.zeros((n, lines, lines))
        for number, charged in enumerate(self._lines):
            many = len(charged)
            found[np.ix_(range(n), charged, charged)] += by_header[:, number, :many, :many]
        return found

    def _by_header(self, flows: Array) -> Array:
        """The flows as `Headers` wants them, (n, headers, branches)."""
        return _with_zero_row(flows.T)[self._lines_by_branch].T


def _with_zero_row(rows: Array) -> Array:
    """Rows with one of zeros after the last."""
    return np.concatenate([rows, np.zeros((1, rows.shape[1]))])


def supply_header(fork: Fork) -> Header:
    """The supply header of a manifold."""
    return Header(fork.header_bore, fork.bores, _degrees(fork), converging=False)


def return_header(fork: Fork) -> Header:
    """The return header of a manifold, with the branches that rejoin, in flow order."""
    bores = tuple(fork.back_bores[branch] for branch in fork.rejoining[0])
    return Header(fork.header_bore, bores, _degrees(fork), converging=True)


def _degrees(fork: Fork) -> float:
    return float(np.degrees(fork.angle))


@lru_cache(maxsize=256)
def manifolds(forks: tuple[Fork, ...], lines: int) -> Manifolds:
    """The `Manifolds` of these forks, cached: studies often ask for the same ones."""
    return Manifolds(forks, lines)
