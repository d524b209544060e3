"""Arrays as short texts for the card's script."""

import base64

import numpy as np

from loop.curve import Array

# Bytes that may say which number stands somewhere.
_WIDTHS = (1, 2, 3, 4)


def coded(values: Array, size: int = 1) -> dict[str, str | int]:
    """Single-precision numbers, or runs of `size` of them, of which many are equal.

    Each stands once in ``each``; ``at`` says in ``bytes`` bytes, lowest first, which stands where.
    Both are base64, numbers lowest byte first.
    """
    runs = np.ascontiguousarray(values, dtype="<f4").reshape(-1, size)
    # Compared by their bits, as whole runs.
    whole = runs.view(np.dtype((np.void, 4 * size))).ravel()
    each, place = np.unique(whole, return_inverse=True)
    width = next(n for n in _WIDTHS if len(each) <= 256**n)
    where = place.ravel().astype("<u4").view("u1").reshape(-1, 4)[:, :width]
    return {
        "each": base64.b64encode(each.tobytes()).decode("ascii"),
        "at": base64.b64encode(np.ascontiguousarray(where).tobytes()).decode("ascii"),
        "bytes": width,
        "size": size,
    }
