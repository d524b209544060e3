"""What the numbers of one sheet rest on: sources, and estimates made for want of one."""

from collections.abc import Iterator

from loop.check import CheckResult
from loop.hydraulics import Network
from loop.hydraulics.boats import pump_tolerances
from loop.job.model import APPROACH, FLOW_PER_TON, HEAT_REJECTION
from loop.margins.heat import WATER_SHARE
from loop.parts import Condenser, Hose, Intake, Manifold, Part, Pump, Seacock
from loop.parts.hose import BARB_OVER_HOSE
from loop.parts.intake import SCOOP
from loop.parts.seacock import handle_angle
from loop.sheet.content import Basis
from loop.tolerances import BARB, BORE, LOSS
from loop.units import show

_COMMON = "common practice"
_ESTIMATE = "engineering estimate"


def sources(result: CheckResult) -> tuple[Basis, ...]:
    """Published sources behind this sheet, as statement and source."""
    return tuple(_sources(result.point.network))


def _sources(network: Network) -> Iterator[Basis]:
    yield Basis("Density and heat capacity of the water", "TEOS-10 (IOC, SCOR and IAPSO 2010)")
    yield Basis("Viscosity", "Sharqawy, Lienhard & Zubair, Desalin. Water Treat. 16 (2010)")
    yield Basis("Vapour pressure", "Wagner & Pruss (2002), lowered for salt after Sharqawy (2010)")
    yield Basis(
        "Losses", "Darcy–Weisbach and Colebrook; fittings after Crane TP-410, by the fluids library"
    )
    yield Basis("Pump's tolerance", pump_tolerances(network.pump)[0].source)
    yield Basis("Tolerances together", "loops drawn at random, JCGM 101:2008")
    yield Basis("Depth of the intake", "ANSI/HI 9.8")
    yield Basis(
        "Air that stays or leaves",
        "Wisner, Mohsen & Kouwen (1975); Escarameia (2007); May, Allen & Nelson (2018)",
    )
    yield Basis("Condensing temperature", "effectiveness–NTU, Kays & London")
    if any(isinstance(p, Condenser) and p.tube_bore is not None for p in network.parts):
        yield Basis(
            "Speed in copper-nickel tube",
            "Copper Development Association; Powell & Michels, CORROSION/2000 paper 627",
        )
    if _turned(network):
        yield Basis(
            "Part-closed valves", "Weisbach's plug cock, as handbooks reprint it; from memory"
        )
    yield Basis("Seacocks and through-hulls", "ISO 9093 / ABYC H-27")


def estimates(result: CheckResult) -> tuple[Basis, ...]:
    """Estimates and rules of the trade that this job leans on; what the job states is left out."""
    return tuple(_estimates(result))


def _estimates(result: CheckResult) -> Iterator[Basis]:
    job, network = result.job, result.point.network
    bore = show(BORE.half, "bore", job.units, digits=3 if job.units == "us" else 1)
    yield Basis(
        f"Losses within ±{LOSS.half:.0%}, hose bore ±{bore}, barbs ±{BARB.half:.0%}", _ESTIMATE
    )
    along, up = pump_tolerances(network.pump)
    yield Basis(f"Pump within ±{along.half:.0%} of flow and ±{up.half:.0%} of head", along.source)
    if any(u.flow_needed is None and u.flow_per_ton == FLOW_PER_TON for u in job.condenser):
        yield Basis(f"{show(FLOW_PER_TON, 'flow', job.units)} of water a ton of cooling", _COMMON)
    if any(u.heat_rejection == HEAT_REJECTION for u in job.condenser):
        yield Basis(f"A unit rejects {HEAT_REJECTION:g} times its cooling", _COMMON)
    if any(u.approach == APPROACH for u in job.condenser):
        approach = show(APPROACH, "temperature_difference", job.units)
        yield Basis(f"Condensing {approach} over the leaving water at the needed flow", _COMMON)
    yield Basis(
        f"{WATER_SHARE:.0%} of the condenser's resistance to heat on the water side", _ESTIMATE
    )
    yield from _of_parts(network, job.boat.speed)
    if any(air.code == "air-held" for air in result.findings):
        yield Basis("Air on legs steeper than about 22°", "extrapolated from gentler slopes")
    fitted = job.fitted
    if (fitted.loss, fitted.pump, fitted.ua) != (1.0, 1.0, 1.0):
        yield Basis(
            f"Losses × {fitted.loss:.3g}, pump × {fitted.pump:.3g}, condensers × {fitted.ua:.3g}",
            "fitted to readings of this boat",
        )


def _of_parts(network: Network, speed: float) -> Iterator[Basis]:
    hoses = [part for part in network.parts if isinstance(part, Hose)]
    if any(hose.barb_bore is None and hose.barbs for hose in hoses):
        yield Basis(f"Barbs of {BARB_OVER_HOSE:g} times the hose's bore", _COMMON)
    if any(hose.roughness is None for hose in hoses):
        yield Basis("Roughness of the hose, from its lining", "middle of the tables' range")
    if any(isinstance(p, Intake) and p.grate_area is None for p in network.parts):
        yield Basis("Grate with twice the bore's area on its face", _COMMON)
    if speed > 0 and SCOOP[network.job.intake.facing]:
        share = SCOOP[network.job.intake.facing]
        yield Basis(f"Scoop takes {share:+g} of the boat's velocity head", _ESTIMATE)
    if any(isinstance(p, Pump) and p.curve.drive == "dc" and p.speed != 1 for p in network.parts):
        yield Basis("Speed of the pump in step with its voltage", "a first approximation")
    if any(_one_rating(part) for part in network.parts):
        yield Basis("Condenser's loss with flow to the 1.8", "turbulent flow in smooth tube")
    if any(isinstance(part, Manifold) for part in network.parts):
        yield Basis("Manifolds as tees in a row", "Crane TP-410")


def _one_rating(part: Part) -> bool:
    return isinstance(part, Condenser) and len(part.loss) == 1


def _turned(network: Network) -> bool:
    return any(isinstance(p, Seacock) and handle_angle(p.open) > 0 for p in network.parts)
