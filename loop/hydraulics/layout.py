"""A network as a cache key for what does not depend on the sizes of its parts."""

from typing import Any

from loop.hydraulics.network import Network
from loop.parts import Hose, Part


class Layout:
    """A network that equals another whose parts lie in the same places, whatever their sizes.

    Same are lines, heights, kinds and positions of parts, points of hoses, and the boat's attitude.
    Bores, pumps and losses may differ.
    """

    def __init__(self, network: Network) -> None:
        self.network = network
        shapes = tuple(map(_shape, network.parts))
        self._same = (shapes, network.heights, network.lines, network.job.boat)
        self._hash = hash((shapes, network.heights))

    def __hash__(self) -> int:
        return self._hash

    def __eq__(self, other: object) -> bool:
        return isinstance(other, Layout) and self._same == other._same


def layout_of(network: Network) -> Layout:
    """The layout of a network, kept on it."""
    kept = vars(network)
    if "layout" not in kept:
        kept["layout"] = Layout(network)
    layout: Layout = kept["layout"]
    return layout


def _shape(part: Part) -> tuple[Any, ...]:
    if isinstance(part, Hose):
        return part.points
    return part.kind, getattr(part, "off_centre", None), getattr(part, "fore_aft", None)
