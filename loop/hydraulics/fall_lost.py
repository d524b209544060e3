"""The fall that air in a hose does not give back, which stands with the hose's own loss."""

from loop.hydraulics.point import OperatingPoint


def fall_lost(point: OperatingPoint, index: int) -> float:
    """Head [m] that a part's air takes: what it loses beyond what it would lose full of water.

    ``index`` is the part's in the network; 0 where no water falls in it as a film. Over the hoses
    of a leg it adds up to the leg's ``head_taken``.
    """
    if not any(piece.part == index for piece in point.films):
        return 0.0
    station = point.stations[index]
    full = point.network.head_loss(index, station.flow) * point.network.job.fitted.loss
    return max(station.head_loss - full, 0.0)
