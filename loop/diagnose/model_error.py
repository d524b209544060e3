"""Model error: how far a reading may lie from its prediction, whatever is known of the boat."""

import numpy as np

from loop.curve import Array
from loop.diagnose.study import LOG_OFFSET, Study
from loop.margins.heat import TRIPS

# Standard deviations by kind of reading: model error as an amount, and as a share of the reading;
# and error of a fault's effect as a share of it (severity excluded, which covers flow). A kind must
# have a row: without one it would be trusted fully. Engineering estimates; a tripped unit cycles,
# so its temperatures say little.
ERRORS: dict[str, tuple[float, float, float]] = {
    "flow": (0.0, 0.02, 0.0),
    "sea_temperature": (0.0, 0.0, 0.0),
    "outlet_temperature": (0.3, 0.0, 0.05),
    "condensing_temperature": (0.8, 0.0, 0.2),
    "pump_inlet_pressure": (400.0, 0.0, 0.07),
    "pump_outlet_pressure": (400.0, 0.0, 0.07),
    "strainer_drop": (200.0, 0.0, 0.1),
    "shutoff_pressure": (400.0, 0.0, 0.12),
    "supply": (0.3, 0.0, 0.0),
    "frequency": (0.1, 0.0, 0.0),
    "pump_power": (0.0, 0.0, 0.35),
    "pump_current": (0.0, 0.05, 0.35),
}
_TRIPPED = 4.0


def model_error(study: Study, single: Array, mean: Array) -> Array:
    """Model error variance, (h, c), in the study's scale; `mean` (h, c) in SI.

    single : the single faults' samples, (h1, draws, c), which show how often a unit trips and how
    often no water moves.
    """
    place, variance = study.instruments, np.zeros_like(mean)
    for number, column in enumerate(place.columns):
        name = column.kind.name
        amount, share, _ = ERRORS[name]
        own = amount + share * mean[:, number]
        if study.scale[number] > 0:
            own = own / (mean[:, number] + LOG_OFFSET * study.scale[number])
        variance[:, number] = own**2
        if name == "condensing_temperature":
            tripped = np.where(mean[:, number] >= TRIPS - 2.0, 1.0, 0.0)
            tripped[: len(single)] = (single[:, :, number] >= TRIPS).mean(axis=1)
            variance[:, number] += tripped * _TRIPPED**2
        if name == "outlet_temperature":
            flow = place.column_of.get(column.key.replace(name, "flow"), place.column_of["flow"])
            still = np.where(mean[:, flow] < 1e-7, 1.0, 0.0)
            still[: len(single)] = (single[:, :, flow] < 1e-7).mean(axis=1)
            variance[:, number] += still * (2 * _TRIPPED) ** 2
    return variance


def effect_error(study: Study, mean: Array) -> Array:
    """Variance from the uncertainty of a fault's own effect, (h, c)."""
    share = np.array([ERRORS[column.kind.name][2] for column in study.instruments.columns])
    return np.asarray((share * (mean - mean[study.healthy])) ** 2)
