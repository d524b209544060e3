"""The seawater loop that cools a boat's air conditioner.

>>> import loop
>>> job = loop.read_job("examples/kittiwake.toml")
>>> result = loop.check(job)
>>> result.verdict
'good'
>>> unit = result.condensers[0]  # in SI units and °C, like every result
>>> unit.flow > unit.needed_flow
True

`read_job`, `write_job` : a job from and to its file; `Job.replace` changes it
`check` : what flows, whether it is enough, what is wrong, and actions that fix it
`solve`, `sweep`, `boats` : the flows of one job, of a grid of changes, of boats built like it
`size` : which hose and pump; `baseline`, `diagnose` : this boat when clean, what is failing
`draw`, `explain`, `sheet` : a figure, the calculation in steps, the job sheet

Errors in a file or a value raise `JobError`, which lists every mistake at once.

Everything is loaded on first use, so ``import loop`` costs nothing. Six functions share the name of
the package that defines them: ``loop.check(job)`` calls the function, and ``from loop.check import
Finding`` uses the package.
"""

import importlib
import sys
from types import ModuleType
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from loop.check import CheckResult as CheckResult
    from loop.check import CondenserResult as CondenserResult
    from loop.check import Finding as Finding
    from loop.check import check as check
    from loop.diagnose import Baseline as Baseline
    from loop.diagnose import Cause as Cause
    from loop.diagnose import Diagnosis as Diagnosis
    from loop.diagnose import Readings as Readings
    from loop.diagnose import diagnose as diagnose
    from loop.diagnose import read_readings as read_readings
    from loop.diagnose.baseline import baseline as baseline
    from loop.draw import draw as draw
    from loop.hydraulics import OperatingPoint as OperatingPoint
    from loop.hydraulics import solve as solve
    from loop.job import Boat as Boat
    from loop.job import Defaults as Defaults
    from loop.job import Job as Job
    from loop.job import JobError as JobError
    from loop.job import Sea as Sea
    from loop.job import Unit as Unit
    from loop.job import parse_job as parse_job
    from loop.job import parse_toml as parse_toml
    from loop.job import read_job as read_job
    from loop.job import write_job as write_job
    from loop.parts import Bleed as Bleed
    from loop.parts import Branch as Branch
    from loop.parts import CheckValve as CheckValve
    from loop.parts import Condenser as Condenser
    from loop.parts import Discharge as Discharge
    from loop.parts import Elbow as Elbow
    from loop.parts import Fitting as Fitting
    from loop.parts import Hose as Hose
    from loop.parts import Intake as Intake
    from loop.parts import Manifold as Manifold
    from loop.parts import Pump as Pump
    from loop.parts import Seacock as Seacock
    from loop.parts import Strainer as Strainer
    from loop.parts import Tee as Tee
    from loop.parts import VentedLoop as VentedLoop
    from loop.pumps import PumpCurve as PumpCurve
    from loop.pumps import UnknownPumpError as UnknownPumpError
    from loop.pumps import catalogue as catalogue
    from loop.pumps import load_pump as load_pump
    from loop.pumps import read_pump as read_pump
    from loop.seawater import Water as Water
    from loop.sheet import Sheet as Sheet
    from loop.sheet import sheet as sheet
    from loop.sheet import to_html as to_html
    from loop.sheet import to_pdf as to_pdf
    from loop.size import Option as Option
    from loop.size import SizeResult as SizeResult
    from loop.size import size as size
    from loop.sweep import Boats as Boats
    from loop.sweep import Sweep as Sweep
    from loop.sweep import boats as boats
    from loop.sweep import sweep as sweep
    from loop.teach import Explanation as Explanation
    from loop.teach.explain import explain as explain
    from loop.units import UnitError as UnitError

__version__: str

# The module that defines each public name.
_HOMES = {
    "loop.check": "CheckResult CondenserResult Finding check",
    "loop.diagnose": "Baseline Cause Diagnosis Readings baseline diagnose read_readings",
    "loop.draw": "draw",
    "loop.hydraulics": "OperatingPoint solve",
    "loop.job": ("Boat Defaults Job JobError Sea Unit parse_job parse_toml read_job write_job"),
    "loop.parts": (
        "Bleed Branch CheckValve Condenser Discharge Elbow Fitting Hose Intake Manifold Pump "
        "Seacock Strainer Tee VentedLoop"
    ),
    "loop.pumps": "PumpCurve UnknownPumpError catalogue load_pump read_pump",
    "loop.seawater": "Water",
    "loop.sheet": "Sheet sheet to_html to_pdf",
    "loop.size": "Option SizeResult size",
    "loop.sweep": "Boats Sweep boats sweep",
    "loop.teach": "Explanation explain",
    "loop.units": "UnitError",
}
_HOME_OF = {name: home for home, names in _HOMES.items() for name in names.split()}

__all__ = [*_HOME_OF]


class _Package(ModuleType):
    """This package; importing a subpackage does not hide the function of the same name."""

    def __setattr__(self, name: str, value: Any) -> None:
        if not (name in _HOME_OF and isinstance(value, ModuleType)):
            super().__setattr__(name, value)


sys.modules[__name__].__class__ = _Package


# A type checker sees the names above, and must not see a module-level `__getattr__`.
if not TYPE_CHECKING:

    def __getattr__(name: str) -> Any:
        if name == "__version__":
            return importlib.import_module("loop.version").program_version()
        if name in _HOME_OF:
            return getattr(importlib.import_module(_HOME_OF[name]), name)
        raise AttributeError(f"module 'loop' has no attribute {name!r}")


def __dir__() -> list[str]:
    rooms = {name for name in globals() if f"{__name__}.{name}" in sys.modules}
    kept = {name for name in globals() if name.startswith("__")}
    return sorted({*rooms, *kept, *__all__, "__version__"})
