"""Fault effects: how each fault, by site and severity, changes the model's losses, pump and heat.

One-line effects of a single fault are in that fault's row of `loop.diagnose.faults`.
"""

from loop.diagnose.model_change import ModelChange, Site
from loop.hydraulics import Network
from loop.parts import Manifold, Pump, Seacock, Strainer
from loop.parts.friction import velocity, velocity_head
from loop.parts.scale import TUBE_BORE, insulation, narrowing
from loop.parts.seacock import SHUT_ANGLE, added_coefficient, handle_angle

# Head factor of a pump that moves no water: above zero for the solver.
_NO_HEAD = 1e-5
# Slip of a small AC pump motor at its load and rated voltage (common practice: 4 to 10 %).
_SLIP = 0.07
# Loss factor of a part that passes almost nothing.
_STOPPED = 1e9


def covered(network: Network, site: Site, share: float) -> ModelChange:
    """A passage of which `share` (0 to 1) is covered: the loss goes as 1/(1 − share)².

    As in a strainer's basket, the same flow passes through the remaining area.
    """
    return ModelChange(loss={site.part: (1.0 - share) ** -2 if share < 1 else _STOPPED})


def basket_blocked(network: Network, site: Site, share: float) -> ModelChange:
    """A strainer with `share` of its basket's open area blocked."""
    part = network.parts[site.part]
    assert isinstance(part, Strainer)
    whole = part.blocked + share * (1 - part.blocked)
    factor = part.blocked_factor(whole) if whole < 1 else _STOPPED
    return ModelChange(loss={site.part: factor}, basket=share)


def narrowed(network: Network, site: Site, share: float) -> ModelChange:
    """A hose with its bore reduced by `share`: its whole loss × (1 − share)^−4.8.

    Engineering estimate: a kink is short but sharp, a collapsed lining long and smooth.
    """
    return ModelChange(loss={site.part: narrowing(share)})


def turned(network: Network, site: Site, share: float) -> ModelChange:
    """A valve with its handle turned by `share` of the way to shut, starting where the job has it.

    From `SHUT_ANGLE` on, before the handle's stop, it passes almost nothing.
    Uses the plug-cock values of `loop.parts.seacock`, relative to the loss in the job. Where the
    part is not a seacock, the valve is upstream of it and its K is on that part's bore.
    """
    here = network.parts[site.part]
    start = handle_angle(here.open) if isinstance(here, Seacock) else 0.0
    port = here.clear_port if isinstance(here, Seacock) else None
    angle = start + share * (handle_angle(0.0) - start)
    if angle >= SHUT_ANGLE:
        return ModelChange(loss={site.part: _STOPPED})
    added = added_coefficient(angle) - added_coefficient(start)
    moved = 1.0 if port is None else (here.inner_bore / port) ** 4
    return ModelChange(loss={site.part: 1.0 + added * moved / _own_coefficient(site.part, network)})


def _own_coefficient(index: int, network: Network) -> float:
    """K of a part on its own bore at 1 m/s, including the bore steps that it carries."""
    bore = network.parts[index].inner_bore
    flow = 1.0 / velocity(1.0, bore)
    return max(network.head_loss(index, flow) / velocity_head(flow, bore), 1e-6)


def scaled(network: Network, site: Site, share: float) -> ModelChange:
    """Scale in a condenser tube, thickness `share` of its bore: smaller bore, less heat transfer.

    Loss × 1/(1 − 2 share)^4.8, and resistance thickness/conductivity relative to that of the clean
    condenser.
    """
    bore = getattr(network.parts[site.part], "clear_bore", None) or TUBE_BORE
    return ModelChange(
        loss={site.part: narrowing(2 * share)}, fouling={site.unit: insulation(share * bore)}
    )


def air_drawn(network: Network, site: Site, share: float) -> ModelChange:
    """Air drawn in on the suction side, from 0 (a bubble) to 1 (the pump is full of it).

    Engineering estimate: small centrifugal pumps lose their head at about 5 to 10 % air by volume,
    slowly at first and then entirely; the motor's load follows the water moved.
    """
    return ModelChange(
        pump_head=max((1 - share) ** 0.9, _NO_HEAD),
        pump_flow=max(1 - 0.85 * share, 0.1),
        drive=1 - 0.45 * share,
        air=min(0.25 + 0.75 * share, 1.0),
    )


def held_air(network: Network, site: Site, share: float) -> ModelChange:
    """The falling leg after a high point holds `share` of the air that it can hold.

    At 1 the leg is as in `loop.hydraulics.leg_states` with trapped air: the loss is close to the
    pocket's height (May, Allen & Nelson 2018).
    """
    numbers = [
        number
        for leg in network.legs
        if leg.from_part == site.part and not leg.branch
        for number in leg.sections
    ]
    return ModelChange(legs=frozenset(numbers), full=1 - share, air=0.15 * share)


def blocked(network: Network, site: Site, share: float) -> ModelChange:
    """A passage after the pump that is almost closed as `share` nears 1, without air."""
    return ModelChange(
        loss={site.part: min((1 - share) ** -4, _STOPPED) if share < 1 else _STOPPED}
    )


def unbalanced(network: Network, site: Site, more: float) -> ModelChange:
    """The other units' branches pass 1 + `more` times the job's flow at the same head.

    Their valves are not set, or a branch of less resistance was added; this branch is clear.
    """
    own = network.line_of[site.part]
    lines = {network.unit_line(unit.name) for unit in network.job.condenser} - {own}
    parts = [part for line in lines for part in network.lines[line].parts]
    others = [p for p in parts if not isinstance(network.parts[p], Manifold | Pump)]
    return ModelChange(loss=dict.fromkeys(others, (1.0 + more) ** -2))


def decoupled(network: Network, site: Site, share: float) -> ModelChange:
    """A motor that runs while the impeller stands: no head, and only the motor's own losses.

    These are 0.45 of its power at no flow (engineering estimate).
    """
    return ModelChange(pump_head=_NO_HEAD, drive=0.45)


def unpowered(network: Network, site: Site, share: float) -> ModelChange:
    """No supply at the pump: nothing turns, no current."""
    return ModelChange(
        pump_head=_NO_HEAD, supply=_NO_HEAD, frequency=_NO_HEAD, drive=_NO_HEAD, current=0.0
    )


def dead_motor(network: Network, site: Site, share: float) -> ModelChange:
    """A motor that is dead on a good supply: open winding or cut-out, brushes, electronics.

    It does not turn and draws no current.
    """
    return ModelChange(pump_head=_NO_HEAD, drive=_NO_HEAD, current=0.0)


def jammed(network: Network, site: Site, share: float) -> ModelChange:
    """A locked rotor: no head; the motor hums at two to four times its power and current."""
    return ModelChange(pump_head=_NO_HEAD, drive=1 + share)


def unit_off(network: Network, site: Site, share: float) -> ModelChange:
    """A unit whose compressor is off: its water is not warmed, whatever the flow.

    Where nothing else calls for the pump, it stops too: its relay gives it no voltage.
    """
    stands = unpowered(network, site, 1.0) if site.still else ModelChange()
    return ModelChange(rejected={site.unit: share}) & stands


def low_supply(network: Network, site: Site, share: float) -> ModelChange:
    """Voltage low by `share`. A DC pump slows in proportion; an AC pump by its slip alone.

    Its frequency stays, as on a dock in the evening. The slip of a loaded induction motor goes as
    one over the voltage squared, and its current rises as voltage falls.
    """
    if network.pump.curve.drive == "dc":
        return ModelChange(speed=1 - share, supply=1 - share)
    slip = _SLIP / (1 - share) ** 2
    return ModelChange(speed=(1 - slip) / (1 - _SLIP), supply=1 - share)


def nothing(network: Network, site: Site, share: float) -> ModelChange:
    """No change: the loop as in the job."""
    return ModelChange()
