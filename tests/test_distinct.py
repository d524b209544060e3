"""The distinct values of an array."""

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from loop.distinct import distinct


@given(st.lists(st.integers(-3, 3)))
def test_they_are_those_of_numpy(values: list[int]) -> None:
    array = np.array(values, dtype=np.intp)
    different, place = distinct(array)
    theirs, inverse = np.unique(array, return_inverse=True)
    assert different.tolist() == theirs.tolist()
    assert place.tolist() == inverse.tolist()
