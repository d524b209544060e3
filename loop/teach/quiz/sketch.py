"""Loops for quiz questions: drawn from a seed, changed by name, and described in words."""

import math
from collections.abc import Iterable, Mapping
from dataclasses import field, replace
from functools import partial
from typing import Any, SupportsFloat

import numpy as np

from loop.job import Job
from loop.parts import (
    Bleed,
    Condenser,
    Discharge,
    Hose,
    Intake,
    Manifold,
    Part,
    Pump,
    Seacock,
    Strainer,
)
from loop.parts.seacock import handle_angle
from loop.records import dataclass
from loop.units import System, show
from loop.words.teaching.loops import SAY

Table = Mapping[str, Any]
# Round lengths of each system [m]: a foot or 30 cm, an inch or 2.5 cm.
_FOOT: dict[System, float] = {"us": 0.3048, "si": 0.3}
_INCH: dict[System, float] = {"us": 0.0254, "si": 0.025}
_SEA = 26.0  # °C
_COOLING = 3516.853  # W: one ton, which no question of flow depends on


def feet(count: SupportsFloat, system: System) -> float:
    """A number of feet, or of lengths of 30 cm, in meters."""
    return float(count) * _FOOT[system]


def inches(count: float, system: System) -> float:
    """A number of inches, or of steps of 2.5 cm, in meters."""
    return float(count) * _INCH[system]


@dataclass(frozen=True)
class Sketch:
    """A loop before it is a job: tables of parts by label, in flow order.

    ``needs`` : needed flows [m³/s] of units, where a question depends on them.
    """

    system: System
    bore: float
    parts: Mapping[str, Table]
    needs: Mapping[str, float] = field(default_factory=dict)

    def put(self, changes: Mapping[str, Any]) -> "Sketch":
        """The loop with fields changed: ``{"strainer.blocked": 0.5}``."""
        parts = {label: dict(table) for label, table in self.parts.items()}
        for address, value in changes.items():
            label, _, field = address.partition(".")
            parts[label][field] = value
        return replace(self, parts=parts)

    def after(self, label: str, new: str, table: Table) -> "Sketch":
        """The loop with a part added after the one of this label."""
        parts: dict[str, Table] = {}
        for name, old in self.parts.items():
            parts[name] = old
            if name == label:
                parts[new] = table
        return replace(self, parts=parts)

    def without(self, label: str) -> "Sketch":
        """The loop without a part."""
        return replace(
            self, parts={name: table for name, table in self.parts.items() if name != label}
        )

    @property
    def job(self) -> Job:
        """The loop as a job."""
        names = [name for table in self.parts.values() for name in _units_of(table)]
        data = {
            "title": SAY("title"),
            "units": self.system,
            "water": {"temperature": _SEA},
            "defaults": {"bore": self.bore},
            "condenser": [
                {"name": name, "cooling": _COOLING, "flow_needed": self.needs.get(name)}
                for name in names
            ],
            "part": [
                {**table, **({} if table["kind"] == "manifold" else {"label": label})}
                for label, table in self.parts.items()
            ],
        }
        return Job.model_validate(data)


def _units_of(table: Table) -> list[str]:
    if table["kind"] == "manifold":
        return [
            name
            for branch in table["branch"]
            for part in branch["part"]
            for name in _units_of(part)
        ]
    return [str(table["serves"])] if table["kind"] == "condenser" else []


# Catalogue pumps that the quiz uses, with the bore of the hose [m] on each.
PUMPS: dict[str, float] = {
    "demo-ac-200": 0.015875,
    "demo-ac-250": 0.015875,
    "demo-ac-350": 0.01905,
    "demo-ac-500": 0.01905,
    "demo-ac-700": 0.0254,
    "demo-ac-1000": 0.0254,
}
DC_PUMPS: dict[str, float] = {
    "demo-dc-150": 0.0127,
    "demo-dc-320": 0.015875,
    "demo-dc-600": 0.01905,
    "demo-dc24-450": 0.01905,
}


def series(rng: np.random.Generator, system: System, pumps: Mapping[str, float] = PUMPS) -> Sketch:
    """A single-unit loop whose pressure side rises all the way, so that it holds no air."""
    pump = str(rng.choice(list(pumps)))
    at_unit = int(rng.integers(-6, 10))
    at_outlet = at_unit + int(rng.integers(1, 4))
    parts: dict[str, Table] = {
        "intake": {"kind": "intake", "height": inches(-18, system)},
        "seacock": {"kind": "seacock"},
        "suction hose": hose(rng.integers(3, 8), -15, system),
        "strainer": {"kind": "strainer", "loss": _STRAINER[system]},
        "pump hose": hose(rng.integers(1, 4), -12, system),
        "pump": {"kind": "pump", "curve": pump},
        "outlet bleed": {"kind": "bleed"},
        "supply hose": hose(rng.integers(5, 14), at_unit, system),
        "unit": unit(rng, "cabin", system),
        "return hose": hose(rng.integers(4, 12), at_outlet, system),
        "discharge": {"kind": "discharge", "height": inches(at_outlet, system)},
    }
    return Sketch(system, pumps[pump], parts)


def over_a_high_point(
    rng: np.random.Generator,
    system: System,
    pump: str,
    bore: float,
    high: int,
    before_unit: bool = False,
) -> Sketch:
    """A loop with a hose that rises to a high point and one that falls from it, at 10 to 20°.

    The high point is `high` inches above the waterline, after the unit or before it.
    """
    at_unit, low = int(rng.integers(-6, 4)), int(rng.integers(-2, 4))
    slope = math.radians(float(rng.choice([10, 12, 15, 18, 20])))
    sketch = series(rng, system, {pump: bore}).put({"supply hose.to": inches(at_unit, system)})
    outlet = low + int(rng.integers(2, 5))
    rising = hose(rng.integers(3, 6), high, system)
    fall = inches(high - low, system) / math.sin(slope)
    falling = {"kind": "hose", "length": fall, "to": inches(low, system)}
    if before_unit:
        sketch = sketch.put({"return hose.to": inches(outlet, system)})
        sketch = sketch.after("supply hose", "falling hose", falling)
        sketch = sketch.after("supply hose", "rising hose", rising)
    else:
        sketch = sketch.without("return hose").after("unit", "last hose", hose(2, outlet, system))
        sketch = sketch.after("unit", "falling hose", falling).after("unit", "rising hose", rising)
    return sketch.put({"discharge.height": inches(outlet, system)})


_STRAINER: dict[System, str] = {"us": "0.4 psi at 300 gal/h", "si": "3 kPa at 20 L/min"}
_RATED: dict[System, str] = {"us": "240 gal/h", "si": "15 L/min"}


def hose(length: SupportsFloat, to: float, system: System) -> dict[str, Any]:
    """A hose with a length in feet, to a height in inches."""
    return {"kind": "hose", "length": feet(length, system), "to": inches(to, system)}


def unit(rng: np.random.Generator, name: str, system: System) -> dict[str, Any]:
    """A unit with a random loss."""
    us, si = rng.integers(14, 30) / 10, rng.integers(10, 21)
    drop = f"{us} psi" if system == "us" else f"{si} kPa"
    return {"kind": "condenser", "serves": name, "loss": f"{drop} at {_RATED[system]}"}


def loop_text(job: Job, heights: bool = False, details: bool = False) -> str:
    """The loop in words, from sea to sea.

    Optionally with the heights to which its hoses lead, and with details from makers' data and
    inspection.
    """
    bore = next(part.inner_bore for part in job.part if isinstance(part, Hose))
    return SAY(
        "loop",
        job.units,
        bore=bore,
        parts=_LoopText(bore, job.units, heights, details).all(job.part),
    )


@dataclass(frozen=True)
class _LoopText:
    """Renders the parts of a loop: a part's bore only where it is not the loop's usual one."""

    bore: float
    system: System
    heights: bool
    details: bool

    def all(self, parts: Iterable[Part]) -> str:
        """Parts, one after the other."""
        return ", ".join(self._one(part) for part in parts if not isinstance(part, Bleed))

    def _one(self, part: Part) -> str:
        say = partial(SAY, part.kind, self.system, label=part.label or part.kind)
        match part:
            case Intake():
                return say(level=self._level(part.height) if self.heights else None)
            case Hose():
                return self._hose(part)
            case Seacock():
                return say(angle=handle_angle(part.open) or None)
            case Strainer():
                return say(blocked=part.blocked or None)
            case Pump():
                return say(name=part.curve.name)
            case Condenser() if self.details:
                return say(drop=part.loss[0].drop, flow=part.loss[0].flow)
            case Condenser():
                return say()
            case Discharge():
                return say(level=self._level(part.height))
            case Manifold():
                branches = (
                    SAY("branch", name=branch.name, parts=self.all(branch.part))
                    for branch in part.branch
                )
                return say(branches="; ".join(branches))
        return part.label or part.kind

    def _hose(self, part: Hose) -> str:
        usual = math.isclose(part.inner_bore, self.bore)
        row = {0: "ends-none", 2: ""}.get(part.barbs, "ends")
        return SAY(
            "hose",
            self.system,
            label=part.label,
            barb=part.barb_bore if self.details else None,
            bore=None if usual else part.inner_bore,
            length=show(part.length, "length", self.system, 0 if self.system == "us" else 1),
            ends=row and SAY(row, count=part.barbs),
            level=self._level(part.to) if self.heights else None,
        )

    def _level(self, height: float) -> str:
        """A height relative to the waterline."""
        if abs(height) < inches(0.1, self.system):
            return SAY("level-water")
        return SAY("level-above" if height > 0 else "level-below", self.system, height=abs(height))
