"""Distinct values of an array, without the masked arrays that ``numpy.unique`` loads."""

from typing import Any

import numpy as np
from numpy.typing import NDArray


def distinct(values: NDArray[Any]) -> tuple[NDArray[Any], NDArray[np.intp]]:
    """The distinct values, increasing, and the index of each value among them; `values` is (n,).

    >>> different, place = distinct(np.array([3, 1, 3]))
    >>> different.tolist(), place.tolist()
    ([1, 3], [1, 0, 1])
    """
    order = np.argsort(values, kind="stable")
    ranked = values[order]
    new = np.ones(len(values), dtype=bool)
    new[1:] = ranked[1:] != ranked[:-1]
    place = np.empty(len(values), dtype=np.intp)
    place[order] = np.cumsum(new) - 1
    return ranked[new], place
