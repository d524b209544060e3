"""Loss of a sudden change of bore, as at the end of a part or within an adapter."""

import fluids

# Bores within this ratio are the same size, as 3/4 in and 19 mm: a step between them has a K below
# 0.0004.
SAME_SIZE = 1.01
# Bores beyond this ratio are joined by an adapter: between two trade sizes.
ADAPTER = 1.12


def narrower(bore: float, other: float) -> bool:
    """Whether a bore [m] is at least a size smaller than another.

    >>> narrower(0.019, 0.01905), narrower(0.016, 0.01905)
    (False, True)
    """
    return bore * SAME_SIZE < other


def step_coefficient(before: float, after: float) -> float:
    """K of a sudden change from one bore to another [m], on the smaller; 0 if they are equal.

    Rennels' sudden contraction and Borda-Carnot sudden expansion, by ``fluids.contraction_sharp``
    and ``fluids.diffuser_sharp``.

    >>> step_coefficient(0.01, 0.02)
    0.5625
    """
    if before == after:
        return 0.0
    if after < before:
        return float(fluids.contraction_sharp(Di1=before, Di2=after))
    return float(fluids.diffuser_sharp(Di1=before, Di2=after))
