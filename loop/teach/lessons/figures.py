"""Figures shown and used in lessons: how each is obtained from an answer of `check`."""

import math
import tomllib
from collections.abc import Callable, Iterable, Mapping
from pathlib import Path
from typing import Any

from loop.air.high_points import HighPoint
from loop.check import CheckResult
from loop.parts import Hose
from loop.records import dataclass
from loop.units import show

# The lessons, and their common texts.
TABLES: Mapping[str, Any] = tomllib.loads(
    (Path(__file__).parent / "ten.toml").read_text(encoding="utf-8")
)
LEG_TEXT: Mapping[str, str] = TABLES["legs"]


@dataclass(frozen=True)
class Measure:
    """A figure of an answer of `check`: its name, its quantity, and its accessor.

    ``read`` gives SI, or text where the quantity is "".
    """

    name: str
    quantity: str
    read: Callable[[CheckResult], Any]

    def shown(self, result: CheckResult) -> str:
        """The figure as text."""
        value = self.read(result)
        return str(value) if not self.quantity else show(value, self.quantity, result.job.units)

    @property
    def label(self) -> str:
        """Its name in a table."""
        return str(TABLES["measures"][self.name])


def _head_loss(label: str) -> Callable[[CheckResult], float]:
    """Head loss of the part of this label; NaN where the loop has none."""

    def lost(result: CheckResult) -> float:
        heads = (at.head_loss for at in result.point.stations if at.label == label)
        return next(heads, math.nan)

    return lost


def _barb_loss(result: CheckResult) -> float:
    """Head loss of all barbed ends together."""
    network = result.point.network
    return result.job.fitted.loss * sum(
        float(part.barb_loss(station.flow, network.water))
        for part, station in zip(network.parts, result.point.stations, strict=True)
        if isinstance(part, Hose)
    )


def _high_point_pressure(result: CheckResult) -> float:
    """Gauge pressure at the first high point on the pressure side; NaN where there is none."""
    high_points: list[HighPoint] = [
        c for path in result.air for c in path.high_points if c.side == "pressure"
    ]
    return high_points[0].gauge_pressure if high_points else math.nan


_READ: Mapping[str, tuple[str, Callable[[CheckResult], Any]]] = {
    "flow": ("flow", lambda result: result.condensers[0].flow),
    "head": ("head", lambda result: result.pump.head),
    "gauge": ("pressure", lambda result: result.point.stations[
        result.point.network.pump_index
    ].gauge_pressure),
    "inlet": ("pressure", lambda result: result.point.pump_inlet.gauge_pressure),
    "start": ("head", lambda result: result.pump.start_head),
    "shutoff": ("head", lambda result: result.pump.shutoff_head),
    "npsh": ("head", lambda result: result.pump.npsh_available),
    "condensing": ("temperature", lambda result: result.condensers[0].condensing_temperature),
    "verdict": ("", lambda result: result.verdict),
    "air": ("", lambda result: LEG_TEXT[next((leg.state for leg in result.point.legs), "none")]),
    "taken": ("head", lambda result: sum(leg.head_taken for leg in result.point.legs)),
    "high_gauge": ("pressure", _high_point_pressure),
    "box": ("flow", lambda result: result.point.network.pump.curve.last_flow),
    "ends": ("head", _barb_loss),
    "unit": ("head", _head_loss("unit")),
    "long": ("head", _head_loss("supply hose")),
    "strainer": ("head", _head_loss("strainer")),
    "lost": ("head", lambda result: sum(
        s.head_loss for s in result.point.stations if s.kind != "pump"
    )),
    "clean_at": ("ratio", lambda result: result.condensers[0].clean_at),
    "need": ("flow", lambda result: result.condensers[0].needed_flow),
}  # fmt: skip
MEASURES: Mapping[str, Measure] = {name: Measure(name, *row) for name, row in _READ.items()}


def figures_of(results: Iterable[CheckResult]) -> dict[str, float]:
    """Every numeric figure of every answer by its name and index: ``flow0``, ``flow1``."""
    return {
        f"{name}{number}": float(measure.read(result))
        for number, result in enumerate(results)
        for name, measure in MEASURES.items()
        if measure.quantity
    }
