"""The basis of a sheet's numbers: sources, and estimates where there is no source."""

from collections.abc import Iterator

from loop.check import CheckResult
from loop.hydraulics import Network
from loop.hydraulics.monte_carlo import pump_tolerances
from loop.job.model import APPROACH, FLOW_PER_TON, HEAT_REJECTION
from loop.margins.heat import WATER_SHARE
from loop.parts import Condenser, Hose, Intake, Manifold, Pump, Seacock
from loop.parts.hose import BARB_OVER_HOSE
from loop.parts.intake import SCOOP
from loop.parts.seacock import handle_angle
from loop.sheet.content import Basis
from loop.tolerances import BARB, BORE, LOSS
from loop.units import System
from loop.words.sheet_basis import ON, WHAT
from loop.words.template import Value


def sources(result: CheckResult) -> tuple[Basis, ...]:
    """Published sources behind this sheet, each a statement and its source."""
    return tuple(_sources(result.point.network))


def _sources(network: Network) -> Iterator[Basis]:
    for name in ("water", "viscosity", "vapor", "losses"):
        yield _basis(name)
    yield _basis("pump", source=pump_tolerances(network.pump)[0].source)
    for name in ("together", "intake", "air", "condensing"):
        yield _basis(name)
    if any(isinstance(p, Condenser) and p.tube_bore is not None for p in network.parts):
        yield _basis("tube-speed")
    if any(isinstance(p, Seacock) and handle_angle(p.open) > 0 for p in network.parts):
        yield _basis("turned")
    yield _basis("seacocks")


def _basis(row: str, system: System = "si", **values: Value) -> Basis:
    return Basis(WHAT(row, system, **values), ON(row, system, **values))


def estimates(result: CheckResult) -> tuple[Basis, ...]:
    """Estimates and rules of the trade used for this job, except for what the job states."""
    return tuple(_estimates(result))


def _estimates(result: CheckResult) -> Iterator[Basis]:
    job, network = result.job, result.point.network
    yield _basis("spread", job.units, loss=LOSS.half, bore=BORE.half, barb=BARB.half)
    along, up = pump_tolerances(network.pump)
    yield _basis("pump-spread", flow=along.half, head=up.half, source=along.source)
    if any(u.flow_needed is None and u.flow_per_ton == FLOW_PER_TON for u in job.condenser):
        yield _basis("flow-per-ton", job.units, flow=FLOW_PER_TON)
    if any(u.heat_rejection == HEAT_REJECTION for u in job.condenser):
        yield _basis("rejection", times=HEAT_REJECTION)
    if any(u.approach == APPROACH for u in job.condenser):
        yield _basis("approach", job.units, approach=APPROACH)
    yield _basis("water-share", share=WATER_SHARE)
    yield from _of_parts(network, job.boat.speed)
    if any(air.code == "air-held" for air in result.findings):
        yield _basis("steep")
    factors = {"loss": job.fitted.loss, "pump": job.fitted.pump, "ua": job.fitted.ua}
    if set(factors.values()) != {1.0}:
        shown = {name: f"{factor:.3g}" for name, factor in factors.items()}
        yield _basis("fitted", job.units, **shown)


def _of_parts(network: Network, speed: float) -> Iterator[Basis]:
    hoses = [part for part in network.parts if isinstance(part, Hose)]
    if any(hose.barb_bore is None and hose.barbs for hose in hoses):
        yield _basis("barbs", share=BARB_OVER_HOSE)
    if any(hose.roughness is None for hose in hoses):
        yield _basis("roughness")
    if any(isinstance(p, Intake) and p.grate_area is None for p in network.parts):
        yield _basis("grate")
    if speed > 0 and SCOOP[network.job.intake.facing]:
        yield _basis("scoop", share=f"{SCOOP[network.job.intake.facing]:+g}")
    if any(isinstance(p, Pump) and p.curve.drive == "dc" and p.speed != 1 for p in network.parts):
        yield _basis("dc-speed")
    if any(isinstance(part, Condenser) and len(part.loss) == 1 for part in network.parts):
        yield _basis("one-rating")
    if any(isinstance(part, Manifold) for part in network.parts):
        yield _basis("manifolds")
