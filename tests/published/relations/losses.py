"""Friction and fittings, through the parts of a loop."""

import math
from typing import Any

import fluids

from loop.hydraulics.headers import Tee as HeaderTee
from loop.parts import (
    CheckValve,
    Condenser,
    Discharge,
    Elbow,
    Fitting,
    Hose,
    Intake,
    Seacock,
    Strainer,
    Tee,
    VentedLoop,
)
from loop.parts import friction as loop_friction
from loop.parts.friction import GRAVITY
from loop.parts.seacock import added_coefficient, opening_at
from loop.units.stated import Rating
from tests.published.relations.registry import relation
from tests.published.textbook import Liquid, pipe

_FLOW = 1e-3  # for coefficients that do not depend on the flow


@relation()
def reynolds(flow: float, bore: float, viscosity: float) -> float:
    """Reynolds number."""
    return loop_friction.reynolds(flow, bore, Liquid(kinematic_viscosity=viscosity))


@relation()
def friction_factor(reynolds_number: float, relative_roughness: float) -> float:
    """Darcy friction factor."""
    return loop_friction.friction_factor(reynolds_number, relative_roughness)


@relation("length")
def pipe_head_loss(
    flow: float, bore: float, length: float, roughness: float, viscosity: float
) -> float:
    """Head lost in a straight pipe [m]: a hose without barbs."""
    return pipe(length, bore, roughness).head_loss(flow, Liquid(kinematic_viscosity=viscosity))


@relation("length")
def pipe_head_loss_at_speed(
    speed: float, bore: float, length: float, roughness: float, viscosity: float
) -> float:
    """The same at a given mean velocity."""
    flow = speed * math.pi / 4 * bore**2
    return pipe_head_loss(flow, bore, length, roughness, viscosity)


@relation("pressure")
def pipe_pressure_drop_at_speed(
    speed: float, bore: float, length: float, viscosity: float, density: float
) -> float:
    """Pressure drop of a smooth pipe [Pa]."""
    head = pipe_head_loss_at_speed(speed, bore, length, 0.0, viscosity)
    return density * GRAVITY * head


@relation("pressure")
def pipe_pressure_drop(
    flow: float, bore: float, length: float, roughness: float, viscosity: float, density: float
) -> float:
    """Pressure drop of a pipe [Pa]."""
    return density * GRAVITY * pipe_head_loss(flow, bore, length, roughness, viscosity)


@relation("length")
def velocity_head(flow: float, bore: float) -> float:
    """V²/2g [m]."""
    return loop_friction.velocity_head(flow, bore)


@relation()
def fully_turbulent_friction(bore: float) -> float:
    """Crane's fT, from a tee's run: K = 20 fT."""
    return Tee(bore=bore).loss_coefficient(_FLOW, Liquid()) / 20


@relation()
def tee_run(bore: float) -> float:
    """K of a tee's run."""
    return Tee(bore=bore).loss_coefficient(_FLOW, Liquid())


@relation()
def elbow(bore: float, angle: float) -> float:
    """K of a threaded elbow."""
    return Elbow(bore=bore, angle=angle).loss_coefficient(_FLOW, Liquid())


@relation()
def ball_valve(bore: float) -> float:
    """K of an open seacock of full bore."""
    return Seacock(bore=bore).loss_coefficient(_FLOW, Liquid())


@relation()
def check_valve(bore: float) -> float:
    """K of a swing check valve."""
    return CheckValve(bore=bore).loss_coefficient(_FLOW, Liquid())


@relation()
def return_bend(bore: float) -> float:
    """K of a vented loop, a return bend of close pattern."""
    return VentedLoop(bore=bore).loss_coefficient(_FLOW, Liquid())


@relation()
def plug_cock(angle: float) -> float:
    """K added by turning a seacock's handle."""
    return added_coefficient(math.degrees(angle))


@relation("angle")
def plug_cock_shut() -> float:
    """Angle of the handle [rad] from which a seacock is shut."""

    def shut(angle: float) -> bool:
        return Seacock(bore=0.02, open=opening_at(angle)).shut

    low, high = 0.0, 90.0
    for _ in range(40):
        middle = (low + high) / 2
        low, high = (low, middle) if shut(middle) else (middle, high)
    return math.radians(high)


@relation("pressure")
def condenser_drop(pressure: float, flow: float, run: float) -> float:
    """Pressure drop [Pa] of a condenser at the flow `run`, rated at another."""
    part = Condenser(serves="book", bore=0.02, loss=(Rating(pressure, flow),))
    return Liquid().density * GRAVITY * part.head_loss(run, Liquid())


@relation()
def narrowed_times(share: float) -> float:
    """Factor on a tube's loss if its bore narrows by `share`."""
    scale = share * 0.02 / 2
    clean = Condenser(serves="book", bore=0.02, tube_bore=0.02, loss=(Rating(1e4, 1e-4),))
    narrow = clean.model_copy(update={"scale": scale})
    return narrow.head_loss(1e-4, Liquid()) / clean.head_loss(1e-4, Liquid())


@relation()
def end_of_laminar() -> float:
    """Reynolds number up to which the friction factor is 64/Re."""
    low, high = 1000.0, 4000.0
    for _ in range(40):
        middle = (low + high) / 2
        laminar = abs(loop_friction.friction_factor(middle, 0.0) * middle / 64 - 1) < 1e-9
        low, high = (middle, high) if laminar else (low, middle)
    return low


@relation()
def start_of_turbulent() -> float:
    """Reynolds number from which the friction factor is that of developed turbulent flow."""
    low, high = 2100.0, 6000.0
    for _ in range(40):
        middle = (low + high) / 2
        established = fluids.friction_factor(Re=middle, eD=0.0)
        turbulent = abs(loop_friction.friction_factor(middle, 0.0) / established - 1) < 1e-9
        low, high = (low, middle) if turbulent else (middle, high)
    return high


@relation("length")
def lining_roughness(lining: Any) -> float:
    """Roughness height of a hose's bore [m]."""
    return Hose(length=1.0, to=0.0, bore=0.02, lining=lining).roughness_height


@relation()
def barbed_end(bore: float, share: float) -> float:
    """K of one barb on its hose's bore, the barb being this share of it, without friction.

    The water is so thin that its friction is negligible.
    """
    thin = Liquid(kinematic_viscosity=1e-12)
    barbed, plain = (
        Hose(length=1e-3, to=0.0, bore=bore, roughness=0.0, barbs=n, barb_bore=share * bore)
        for n in (1, 0)
    )
    return barbed.loss_coefficient(_FLOW, thin) - plain.loss_coefficient(_FLOW, thin)


@relation()
def reduced_port(bore: float, port: float) -> float:
    """K of an open seacock whose port is narrower than its bore."""
    return Seacock(bore=bore, port=port).loss_coefficient(_FLOW, Liquid())


@relation()
def blocked_basket(blocked: float) -> float:
    """Factor on the loss of a strainer that is all basket, with this share of it blocked."""
    clean, clogged = (
        Strainer(bore=0.02, k=3.0, basket_share=1.0, blocked=share).head_loss(_FLOW, Liquid())
        for share in (0.0, blocked)
    )
    return clogged / clean


@relation()
def exit_loss(bore: float) -> float:
    """K of a discharge."""
    return Discharge(bore=bore, height=0.0).loss_coefficient(_FLOW, Liquid())


@relation()
def entrance(bore: float) -> float:
    """K of an intake without a grate."""
    return Intake(bore=bore, height=-1.0, grate_open=1.0).loss_coefficient(_FLOW, Liquid())


@relation()
def sudden_enlargement(area_ratio: float) -> float:
    """K on the larger bore; the library's relation, as used for a hose's barb."""
    larger = math.sqrt(area_ratio)
    return float(fluids.diffuser_sharp(Di1=1.0, Di2=larger) * area_ratio**2)


@relation()
def sudden_contraction(area_ratio: float) -> float:
    """K on the smaller bore; the library's relation, as used for a hose's barb."""
    return float(fluids.contraction_sharp(Di1=1.0, Di2=math.sqrt(area_ratio)))


@relation()
def coefficient_of_kv(kv: float, bore: float) -> float:
    """K of a fitting from its Kv."""
    part = Fitting(kv=kv, bore=bore)
    return part.head_loss(_FLOW, Liquid()) / loop_friction.velocity_head(_FLOW, bore)


def _tee(
    header: float, side: float, run: float, angle: float, converging: bool
) -> tuple[float, float]:
    tee = HeaderTee(header, header, math.degrees(angle), converging)
    return tee.coefficients(side / (side + run))


@relation()
def tee_side_coefficient(
    header: float, side: float, run: float, angle: float, converging: bool
) -> float:
    """K of the side branch of a header's tee, based on the combined flow's velocity."""
    return _tee(header, side, run, angle, converging)[0]


@relation()
def tee_run_coefficient(
    header: float, side: float, run: float, angle: float, converging: bool
) -> float:
    """K of the run."""
    return _tee(header, side, run, angle, converging)[1]


@relation("length")
def tee_side_head(header: float, side: float, run: float, angle: float, converging: bool) -> float:
    """Head lost into or out of the side branch [m]."""
    return _tee(header, side, run, angle, converging)[0] * velocity_head(side + run, header)


@relation("length")
def tee_run_head(header: float, side: float, run: float, angle: float, converging: bool) -> float:
    """Head lost along the run [m]."""
    return _tee(header, side, run, angle, converging)[1] * velocity_head(side + run, header)
