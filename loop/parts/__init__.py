"""The kinds of part, one per file."""

from loop.parts.base import Part as Part
from loop.parts.bleed import Bleed as Bleed
from loop.parts.check_valve import CheckValve as CheckValve
from loop.parts.condenser import Condenser as Condenser
from loop.parts.discharge import Discharge as Discharge
from loop.parts.elbow import Elbow as Elbow
from loop.parts.fitting import Fitting as Fitting
from loop.parts.hose import Hose as Hose
from loop.parts.intake import Intake as Intake
from loop.parts.manifold import AnyPart as AnyPart
from loop.parts.manifold import Branch as Branch
from loop.parts.manifold import Manifold as Manifold
from loop.parts.pump import Pump as Pump
from loop.parts.seacock import Seacock as Seacock
from loop.parts.strainer import Strainer as Strainer
from loop.parts.tee import Tee as Tee
from loop.parts.vented_loop import VentedLoop as VentedLoop
