"""The standard normal distribution."""

import numpy as np
import pytest
from scipy.special import ndtr

from loop.normal import normal_share


def test_it_is_that_of_scipy() -> None:
    z = np.random.default_rng(3).normal(0, 4, (40, 500))
    assert normal_share(z) == pytest.approx(ndtr(z), abs=2e-11)
    ends = np.array([-np.inf, -9.0, 0.0, 9.0, np.inf])
    assert normal_share(ends) == pytest.approx([0, 0, 0.5, 1, 1], abs=1e-15)
