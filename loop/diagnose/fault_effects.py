"""Effects of faults: what each, so bad at its site, changes in the model, on losses, pump and heat.

Those of one line and one fault stand in that fault's row of `loop.diagnose.faults`.
"""

from loop.diagnose.model_change import ModelChange, Site
from loop.hydraulics import Network
from loop.parts import Manifold, Pump, Seacock, Strainer
from loop.parts.friction import velocity, velocity_head
from loop.parts.scale import TUBE_BORE, insulation, narrowing
from loop.parts.seacock import SHUT_ANGLE, added_coefficient, handle_angle

# Share of its head that a pump keeps which moves no water: a number above zero, for the solver.
_NO_HEAD = 1e-5
# Slip of a small AC pump's motor at its load and rated volts (common practice: 4 to 10 %).
_SLIP = 0.07
# Factor on the loss of a part that lets next to nothing through.
_STOPPED = 1e9


def covered(network: Network, site: Site, share: float) -> ModelChange:
    """A passage of which `share` (0 to 1) is covered: the loss goes as 1/(1 − share)².

    As for a strainer's basket: the same water goes through what is left.
    """
    return ModelChange(loss={site.part: (1.0 - share) ** -2 if share < 1 else _STOPPED})


def basket_blocked(network: Network, site: Site, share: float) -> ModelChange:
    """A strainer with `share` of what was open in its basket blocked."""
    part = network.parts[site.part]
    assert isinstance(part, Strainer)
    whole = part.blocked + share * (1 - part.blocked)
    factor = part.blocked_factor(whole) if whole < 1 else _STOPPED
    return ModelChange(loss={site.part: factor}, basket=share)


def narrowed(network: Network, site: Site, share: float) -> ModelChange:
    """A hose whose bore is narrower by `share`: its whole loss × (1 − share)^−4.8.

    An engineering estimate: a kink is short but sharp, a collapsed lining long and smooth.
    """
    return ModelChange(loss={site.part: narrowing(share)})


def turned(network: Network, site: Site, share: float) -> ModelChange:
    """A valve whose handle is turned by `share` of the way to shut, from where the job has it.

    From `SHUT_ANGLE` on, before the handle's stop, it passes next to nothing.
    The plug-cock values of `loop.parts.seacock`, over the loss as the job has it. Where the part
    is no seacock the valve stands before it, and its K is taken on that part's bore.
    """
    here = network.parts[site.part]
    start = handle_angle(here.open) if isinstance(here, Seacock) else 0.0
    port = min(here.port or here.inner_bore, here.inner_bore) if isinstance(here, Seacock) else None
    angle = start + share * (handle_angle(0.0) - start)
    if angle >= SHUT_ANGLE:
        return ModelChange(loss={site.part: _STOPPED})
    added = added_coefficient(angle) - added_coefficient(start)
    moved = 1.0 if port is None else (here.inner_bore / port) ** 4
    return ModelChange(loss={site.part: 1.0 + added * moved / _own_coefficient(site.part, network)})


def _own_coefficient(index: int, network: Network) -> float:
    """K of a part on its own bore, at 1 m/s, with that of the steps of bore that it bears."""
    bore = network.parts[index].inner_bore
    flow = 1.0 / velocity(1.0, bore)
    return max(network.head_loss(index, flow) / velocity_head(flow, bore), 1e-6)


def scaled(network: Network, site: Site, share: float) -> ModelChange:
    """Scale on a condenser's tube, thickness `share` of its bore: less bore, and less heat.

    Loss × 1/(1 − 2 share)^4.8, and resistance thickness/conductivity over that of the clean
    condenser.
    """
    bore = getattr(network.parts[site.part], "clear_bore", None) or TUBE_BORE
    return ModelChange(
        loss={site.part: narrowing(2 * share)}, fouling={site.unit: insulation(share * bore)}
    )


def air_drawn(network: Network, site: Site, share: float) -> ModelChange:
    """Air drawn in on the suction side, from 0 (a bubble) to 1 (the pump is full of it).

    An engineering estimate: small centrifugal pumps lose their head at some 5 to 10 % of air by
    volume, slowly at first and then all of it; the motor's load goes with the water moved.
    """
    return ModelChange(
        pump_head=max((1 - share) ** 0.9, _NO_HEAD),
        pump_flow=max(1 - 0.85 * share, 0.1),
        drive=1 - 0.45 * share,
        air=min(0.25 + 0.75 * share, 1.0),
    )


def held_air(network: Network, site: Site, share: float) -> ModelChange:
    """The falling leg behind a high point holds air: it takes `share` of what it can.

    With all of it the leg is as `loop.hydraulics.leg_states` has it where air stays: the loss is
    close to the pocket's height (May, Allen & Nelson 2018).
    """
    numbers = [
        number
        for leg in network.legs
        if leg.from_part == site.part and not leg.branch
        for number in leg.sections
    ]
    return ModelChange(legs=frozenset(numbers), full=1 - share, air=0.15 * share)


def blocked(network: Network, site: Site, share: float) -> ModelChange:
    """A passage after the pump that is all but closed as `share` nears 1; no air with it."""
    return ModelChange(
        loss={site.part: min((1 - share) ** -4, _STOPPED) if share < 1 else _STOPPED}
    )


def unbalanced(network: Network, site: Site, more: float) -> ModelChange:
    """The other units' branches let `more` of the water through than the job has, at one head.

    Their valves are not set, or one of less resistance was added; nothing is in this one's way.
    """
    own = network.line_of[site.part]
    lines = {network.unit_line(unit.name) for unit in network.job.condenser} - {own}
    parts = [part for line in lines for part in network.lines[line].parts]
    others = [p for p in parts if not isinstance(network.parts[p], Manifold | Pump)]
    return ModelChange(loss=dict.fromkeys(others, (1.0 + more) ** -2))


def decoupled(network: Network, site: Site, share: float) -> ModelChange:
    """A motor that runs while the impeller stands: no head, and no load but the motor's own.

    The motor's own losses are taken as 0.45 of its power at no flow (engineering estimate).
    """
    return ModelChange(pump_head=_NO_HEAD, drive=0.45)


def unpowered(network: Network, site: Site, share: float) -> ModelChange:
    """No supply at the pump: nothing turns, nothing is drawn."""
    return ModelChange(
        pump_head=_NO_HEAD, supply=_NO_HEAD, frequency=_NO_HEAD, drive=_NO_HEAD, current=0.0
    )


def dead_motor(network: Network, site: Site, share: float) -> ModelChange:
    """A motor that does nothing on a good supply: open winding or cut-out, brushes, electronics.

    It does not turn, and no current passes.
    """
    return ModelChange(pump_head=_NO_HEAD, drive=_NO_HEAD, current=0.0)


def jammed(network: Network, site: Site, share: float) -> ModelChange:
    """A rotor that stands: no head; the motor hums at two to four times its power and current."""
    return ModelChange(pump_head=_NO_HEAD, drive=1 + share)


def unit_off(network: Network, site: Site, share: float) -> ModelChange:
    """A unit whose compressor stands: its water is not warmed, whatever flows.

    Where nothing else calls for the pump it stands too: its relay gives it no volts.
    """
    stands = unpowered(network, site, 1.0) if site.still else ModelChange()
    return ModelChange(rejected={site.unit: share}) & stands


def low_supply(network: Network, site: Site, share: float) -> ModelChange:
    """Volts low by `share`. A DC pump turns slower by as much; an AC one by its slip alone.

    Its frequency stays, as on a dock in the evening; the slip of an induction motor at its load
    goes as one over the square of the volts, its current rises as they fall.
    """
    if network.pump.curve.drive == "dc":
        return ModelChange(speed=1 - share, supply=1 - share)
    slip = _SLIP / (1 - share) ** 2
    return ModelChange(speed=(1 - slip) / (1 - _SLIP), supply=1 - share)


def nothing(network: Network, site: Site, share: float) -> ModelChange:
    """The loop as the job has it."""
    return ModelChange()
