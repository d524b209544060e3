"""The kinds of part, one per file."""

from loop.parts.base import Part
from loop.parts.bleed import Bleed
from loop.parts.check_valve import CheckValve
from loop.parts.condenser import Condenser
from loop.parts.discharge import Discharge
from loop.parts.elbow import Elbow
from loop.parts.fitting import Fitting
from loop.parts.hose import Hose
from loop.parts.intake import Intake
from loop.parts.manifold import AnyPart, Branch, Manifold
from loop.parts.pump import Pump
from loop.parts.seacock import Seacock
from loop.parts.strainer import Strainer
from loop.parts.tee import Tee
from loop.parts.vented_loop import VentedLoop

__all__ = [
    "AnyPart",
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
    "Part",
    "Pump",
    "Seacock",
    "Strainer",
    "Tee",
    "VentedLoop",
]
