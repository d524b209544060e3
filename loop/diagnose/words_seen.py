"""How likely each answer is of the readings that are words: the stream, and the strainer's look."""

import numpy as np

from loop.curve import Array
from loop.diagnose.fault_effects import Change
from loop.diagnose.instruments import Bench

# Engineering estimates, all of them: what a person sees and says.
# Share of the healthy flow below which the discharge is called dry.
_DRY = 0.02
_STREAM_DRY = (0.02, 0.08, 0.90)  # steady, sputtering, none
_STREAM_WET = (0.93, 0.05, 0.02)
_STREAM_AIR = (0.20, 0.72, 0.08)  # with air in it
# Chance that a basket is called dirty: one that is not the trouble, and one fully covered.
_DIRTY_ANYWAY, _DIRTY_COVERED = 0.2, 0.98


def word_chances(
    bench: Bench, changes: list[Change], mean: Array, healthy: Array
) -> dict[str, Array]:
    """Chance of every answer, by key of the reading, each (h, answers) with rows that sum to 1.

    `mean` (h, columns…) are the predicted readings under each change, `healthy` those of the
    healthy loop.
    """
    flow = bench.at["flow"]
    dry = mean[:, flow] < _DRY * healthy[flow]
    air = np.array([min(3 * change.air, 1.0) for change in changes])[:, None]
    wet = (1 - air) * np.array(_STREAM_WET) + air * np.array(_STREAM_AIR)
    stream = np.where(dry[:, None], np.array(_STREAM_DRY), wet)
    basket = np.array([change.basket for change in changes])
    dirty = _DIRTY_ANYWAY + (_DIRTY_COVERED - _DIRTY_ANYWAY) * np.sqrt(basket)
    chances = {"stream": stream, "strainer_seen": np.stack([1 - dirty, dirty], axis=1)}
    return {column.key: chances[column.key] for column in bench.words}
