"""An unlisted fault: one quantity of the loop, or two, far from its normal value.

The cause is unknown, but water, heat and power obey the same physics: a second heat source, its own
warm water drawn in again, a replaced pump, a bypass of the condensers.
So each quantity of the model, and each pair, is moved either way as far as a person would notice;
the resulting readings are what "something else" predicts. The distances are engineering estimates,
and so is `SPREAD`: anything from hardly to twice as far.
"""

from collections.abc import Iterator
from itertools import combinations, product

import numpy as np

from loop.diagnose.model_change import ModelChange, Site
from loop.hydraulics import Network
from loop.parts import Condenser
from loop.records import dataclass

# Standard deviation of a quantity's deviation, as a share of the distance it is moved here.
SPREAD = 0.45
_HEAT, _CONDUCTANCE, _HEAD, _POWER, _LOSS, _WARMER = 1.7, 2.0, 1.4, 1.5, 4.0, 8.0


@dataclass(frozen=True)
class Disturbance:
    """One or two quantities, each with its direction: 1 for more, −1 for less.

    ``alone`` : index in `DISTURBANCES` of each of them by itself.
    """

    moved: tuple[tuple[str, int], ...]
    alone: tuple[int, ...]


_QUANTITIES = ("suction", "pressure", "condenser", "head", "power", "heat", "ua", "warmer")
_ONE_WAY = {"warmer": (1,)}


def _single_disturbances() -> Iterator[tuple[str, int]]:
    for name in _QUANTITIES:
        for way in _ONE_WAY.get(name, (1, -1)):
            yield name, way


def _disturbances() -> Iterator[Disturbance]:
    single = list(_single_disturbances())
    for number, move in enumerate(single):
        yield Disturbance((move,), (number,))
    for one, other in combinations(_QUANTITIES, 2):
        for pair in product(_ONE_WAY.get(one, (1, -1)), _ONE_WAY.get(other, (1, -1))):
            moved = ((one, pair[0]), (other, pair[1]))
            yield Disturbance(moved, tuple(single.index(move) for move in moved))


DISTURBANCES: tuple[Disturbance, ...] = tuple(_disturbances())
NUMBERS = np.arange(len(DISTURBANCES), dtype=float)


def disturbed(network: Network, site: Site, number: float) -> ModelChange:
    """The model change of one of `DISTURBANCES`, on the whole loop."""
    whole = ModelChange()
    for name, way in DISTURBANCES[round(number)].moved:
        whole = whole & _change(network, name, way)
    return whole


def _change(network: Network, name: str, way: int) -> ModelChange:
    units = range(len(network.job.condenser))
    match name:
        case "suction" | "pressure" | "condenser":
            parts = [i for i, own in enumerate(_sections(network)) if own == name]
            return ModelChange(loss=dict.fromkeys(parts, _LOSS**way))
        case "head":
            return ModelChange(pump_head=_HEAD**way)
        case "power":
            return ModelChange(drive=_POWER**way)
        case "heat":
            return ModelChange(rejected=dict.fromkeys(units, _HEAT**way))
        case "ua":
            return ModelChange(fouling=dict.fromkeys(units, _CONDUCTANCE**-way - 1.0))
        case _:
            return ModelChange(warmer=_WARMER)


def _sections(network: Network) -> Iterator[str]:
    for index, part in enumerate(network.parts):
        if isinstance(part, Condenser):
            yield "condenser"
        else:
            yield "suction" if index < network.pump_index else "pressure"
