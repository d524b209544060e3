"""Steps of the solver from flows alone."""

from loop.curve import Array
from loop.hydraulics.coupled_newton import coupled_step
from loop.hydraulics.lines import LineLosses
from loop.hydraulics.newton_steps import linearized_flows


def stepped(losses: LineLosses, flows: Array) -> Array:
    """Flows after `coupled_step` from `flows`, shape (n, lines) [m³/s]."""
    loss, slope = losses.lines(flows)
    lagged = linearized_flows(losses, flows, loss + losses.tees(flows), slope) - flows
    return coupled_step(losses, flows, lagged, slope)
