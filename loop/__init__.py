"""The seawater loop that cools a boat's air conditioner.

>>> import loop
>>> job = loop.parse_job({})
Traceback (most recent call last):
    ...
loop.job.read.JobError: job: water: is missing; it must be given
job: condenser: is missing; it must be given
job: part: is missing; it must be given

Everything is loaded when first asked for, so that ``import loop`` costs nothing.
"""

import importlib
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from loop.check import CheckResult, Finding
    from loop.check import check as check
    from loop.hydraulics import OperatingPoint, solve
    from loop.job import (
        Boat,
        Defaults,
        Job,
        JobError,
        Sea,
        Unit,
        parse_job,
        parse_toml,
        read_job,
    )
    from loop.parts import (
        Bleed,
        Branch,
        CheckValve,
        Condenser,
        Discharge,
        Elbow,
        Fitting,
        Hose,
        Intake,
        Manifold,
        Pump,
        Seacock,
        Strainer,
        Tee,
    )
    from loop.pumps import PumpCurve, catalogue, load_pump, read_pump
    from loop.seawater import Water

# Where each public name lives; "check" and the like are rooms that can be called.
_HOMES = {
    "loop.hydraulics": ("OperatingPoint", "solve"),
    "loop.job": (
        "Boat",
        "Defaults",
        "Job",
        "JobError",
        "Sea",
        "Unit",
        "parse_job",
        "parse_toml",
        "read_job",
    ),
    "loop.parts": (
        "Bleed",
        "Branch",
        "CheckValve",
        "Condenser",
        "Discharge",
        "Elbow",
        "Fitting",
        "Hose",
        "Intake",
        "Manifold",
        "Pump",
        "Seacock",
        "Strainer",
        "Tee",
    ),
    "loop.pumps": ("PumpCurve", "catalogue", "load_pump", "read_pump"),
    "loop.seawater": ("Water",),
    "loop.check": ("CheckResult", "Finding"),
}
_ROOMS = ("check", "size", "diagnose", "draw")
_HOME_OF = {name: home for home, names in _HOMES.items() for name in names}

__all__ = [
    "Bleed",
    "Boat",
    "Branch",
    "CheckResult",
    "CheckValve",
    "Condenser",
    "Defaults",
    "Discharge",
    "Elbow",
    "Finding",
    "Fitting",
    "Hose",
    "Intake",
    "Job",
    "JobError",
    "Manifold",
    "OperatingPoint",
    "Pump",
    "PumpCurve",
    "Sea",
    "Seacock",
    "Strainer",
    "Tee",
    "Unit",
    "Water",
    "catalogue",
    "check",
    "load_pump",
    "parse_job",
    "parse_toml",
    "read_job",
    "read_pump",
    "solve",
]


def __getattr__(name: str) -> Any:
    if name in _ROOMS:
        return importlib.import_module(f"loop.{name}")
    if name in _HOME_OF:
        return getattr(importlib.import_module(_HOME_OF[name]), name)
    raise AttributeError(f"module 'loop' has no attribute {name!r}")


def __dir__() -> list[str]:
    return sorted({*globals(), *_HOME_OF, *_ROOMS})
