"""Steps of the solver from flows alone."""

from loop.curve import Array
from loop.hydraulics.coupled_newton import coupled_step
from loop.hydraulics.lines import LineLosses


def stepped(losses: LineLosses, flows: Array) -> Array:
    """Flows after `coupled_step` from `flows`, shape (n, lines) [m³/s]."""
    loss, slope = losses.lines(flows)
    return coupled_step(losses, flows, loss + losses.tees(flows), slope)
