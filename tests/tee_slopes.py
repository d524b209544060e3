"""The slopes of a network's tees as one matrix of all its lines."""

import numpy as np

from loop.curve import Array
from loop.hydraulics.manifolds import manifolds
from loop.hydraulics.network import Fork


def by_line(forks: tuple[Fork, ...], lines: int, slopes: Array) -> tuple[Array, Array]:
    """Change of a line's loss (second axis) with another line's flow (third) [s/m²].

    On leaving a header, and on returning to one; from slopes as `Manifolds.slopes` gives them.
    """
    flat = slopes.reshape(len(slopes), -1)
    found = {kind: np.zeros((len(slopes), lines, lines)) for kind in ("leaving", "returning")}
    for kind, line, other, place in manifolds(forks, lines).charges:
        found[kind][:, line, other] += flat[:, place]
    return found["leaving"], found["returning"]
