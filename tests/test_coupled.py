"""The step that takes the tees' own slopes along: near the answer it closes in at once."""

import numpy as np
import pytest

from loop.hydraulics import Cases, Network, build, solve_flows
from loop.hydraulics.coupled import coupled_step
from loop.hydraulics.lines import LineLosses
from tests.test_balance import many
from tests.test_network import overboard, rejoining


@pytest.mark.parametrize("network", [overboard(), rejoining(), build(many(3))])
@pytest.mark.parametrize("off", [0.97, 1.03])
def test_from_three_hundredths_off_a_step_leaves_a_tenth_of_it(
    network: Network, off: float
) -> None:
    """As Newton's method does: the error left goes with its square. Flows still balance."""
    flows = solve_flows(network).line_flow
    losses = LineLosses(network, Cases(), exact=False)
    for start in (off, 1.0):
        stepped = coupled_step(losses, start * flows)
        error = np.max(np.abs(stepped / flows - 1))
        assert error <= abs(start - 1) / 10 + 1e-6
        for joint in range(network.joints):
            into = sum(stepped[:, i] for i, line in enumerate(network.lines) if line.end == joint)
            out = sum(stepped[:, i] for i, line in enumerate(network.lines) if line.start == joint)
            assert into == pytest.approx(out, rel=1e-9)
