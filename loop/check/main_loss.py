"""What takes most of the head on a unit's path: one part, a run of one bore, air or the lift."""

from loop.check.context import Context
from loop.parts import Condenser, Elbow, Fitting, Hose, Seacock, Tee
from loop.words import Value

# Shares of the head from which a part, a run of one bore on one side of the pump, and the lift are
# named as the main loss: engineering estimates.
_PART, _RUN, _LIFT = 0.3, 0.4, 0.4
# A condenser normally takes much of the head: above this share it is odd.
_CONDENSER = 0.6
# A part below this share of its run's loss is not the sole cause.
_SOLE_CAUSE = 0.6
# Share of its rated voltage below which a pump has too little.
_LOW_VOLTAGE = 0.95
_PIPES = (Elbow, Fitting, Hose, Seacock, Tee)


def main_loss(context: Context, unit: str) -> dict[str, Value]:
    """``taken``, a share of the head, and what takes it; empty if it is well divided.

    ``taker`` is a part; ``before`` or ``after_pump`` the bore [m] of a run on that side; ``lift``
    the height [m] of the outlet; ``air`` the height of a high point whose falling leg holds air,
    ``highest`` that of the highest of ``airs`` of them. Also ``volts`` and ``rated`` [V] for a pump
    with too little voltage.
    """
    return {**_main_head_loss(context, unit), **_low_voltage(context)}


def _low_voltage(context: Context) -> dict[str, Value]:
    given, rated = context.job.pump.voltage, context.job.pump.curve.rated_supply
    return {"volts": given, "rated": rated} if given < _LOW_VOLTAGE * rated else {}


def _main_head_loss(context: Context, unit: str) -> dict[str, Value]:
    network, point = context.network, context.point
    head = point.pump_head + max(network.start_head, 0.0)
    if head <= 0:
        return {}
    condenser = network.condenser_part(unit)
    path = next(path for _, path in network.paths() if condenser in path)
    shares = {i: point.stations[i].head_loss / head for i in path}
    runs: dict[tuple[str, float], list[int]] = {}
    for index in path:
        part = network.parts[index]
        if isinstance(part, _PIPES):
            side = "before" if index < network.pump_index else "after_pump"
            runs.setdefault((side, part.inner_bore), []).append(index)
    odd = {
        i: s
        for i, s in shares.items()
        if not isinstance(network.parts[i], Condenser) or s > _CONDENSER
    }
    alone = max(odd, key=odd.__getitem__)
    runs.setdefault(("before", 0.0), [])
    (side, bore), run = max(runs.items(), key=lambda found: sum(shares[i] for i in found[1]))
    whole, lift = sum(shares[i] for i in run), max(network.heights[path[-1]], 0.0)
    air = [leg for leg in context.legs_on(path) if leg.head_taken > 0]
    # More than all of it where the unit's branch stands still.
    lost = min(sum(leg.head_taken for leg in air) / head, 1.0)
    if air and lost >= max(_PART, odd[alone] / 2):
        top = max(leg.top for leg in air)
        if len(air) > 1:
            return {"taken": lost, "airs": len(air), "highest": top}
        return {"taken": lost, "air": top}
    if shares[alone] >= max(_PART, _SOLE_CAUSE * whole if alone in run else whole):
        return {"taken": shares[alone], "taker": context.addresses[alone]}
    if whole >= _RUN:
        return {"taken": whole, side: bore}
    return {"taken": lift / head, "lift": lift} if lift >= _LIFT * head else {}
