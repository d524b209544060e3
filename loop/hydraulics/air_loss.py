"""Head that air in a hose takes: the fall that is not recovered, part of the hose's loss."""

from loop.hydraulics.point import OperatingPoint


def head_lost_to_air(point: OperatingPoint, index: int) -> float:
    """Head [m] that air in a part takes: its loss beyond what it would lose full of water.

    ``index`` is the part's index in the network. 0 where no water falls in it as a film. The sum
    over the hoses of a leg is the leg's ``head_taken``.
    """
    if not any(piece.part == index for piece in point.films):
        return 0.0
    station = point.stations[index]
    full = point.network.head_loss(index, station.flow) * point.network.job.fitted.loss
    return max(station.head_loss - full, 0.0)
