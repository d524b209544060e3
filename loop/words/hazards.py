"""Hazards of actions, stated in the step before the action."""

import math

from loop.job import Boat
from loop.parts import Discharge, Hose, Intake, Manifold, Pump, Seacock
from loop.records import dataclass
from loop.words import actions as do
from loop.words.base import Action, Address, following, hose_before
from loop.words.sea_ways import Joint, joint_after, joints_of, kept_out
from loop.words.speaker import Speaker
from loop.words.template import listed

_BOAT_OUT = "the boat out of the water"
OUT = f"with {_BOAT_OUT}, "
_DIVING = (
    "or by a diver who is not alone, with engine and pump off and shore power unplugged here and "
    "on the boats alongside, "
)
# Nobody hauls a boat to rinse a basket.
SEACOCK_FIRST = "with the missing seacock fitted first, the pump off and every seacock shut, "
_ELECTRICIAN = "have a qualified electrician "
ACID = "wearing gloves and goggles, "
OFF = "the pump off"
LOCKED = "the pump switched off and locked out at the breaker"
WIRING = f"with {LOCKED}, {_ELECTRICIAN}"
AFLOAT = "afloat and upright in still water, a plug at hand, "
# Least height above the water at rest [m] of a hull opening worked on afloat; it must also clear
# the wave crests: a hand's breadth, engineering estimate.
_DRY = 0.1


@dataclass(frozen=True)
class Opened:
    """Where an action opens the line: parts that come off, and joints, by the part before each.

    ``level`` [m] is the lowest height to which the action brings an open end; ``beside`` are the
    parts of a branch that hangs from the joint.
    """

    off: tuple[Address, ...] = ()
    after: tuple[Address, ...] = ()
    level: float = math.inf
    beside: tuple[Address, ...] = ()


def hazard(action: Action, speaker: Speaker) -> str:
    """The precautions, as the beginning of a sentence; empty where there is no hazard."""
    work = opened(action, speaker)
    match action:
        case do.CleanGrate():
            return OUT + _DIVING
        case do.LowerIntake() | do.MoveIntake() | do.TurnScoop():
            return OUT
        case do.RaiseOutlet() | do.LowerOutlet():
            return _at_hole(speaker, action.part, work, action.height)
        case do.FitPart(what="seacock"):
            outlet = _outlet_after(action.part, speaker)
            return OUT if outlet is None else _at_hole(speaker, outlet, work)
        case do.MovePart() if (outlet := _outlet_after(action.to, speaker)) is not None:
            return _at_hole(speaker, outlet, work)
        case do.ChangeBore() if isinstance(speaker.parts[action.part].part, Discharge):
            return _at_hole(speaker, action.part, work)
        case do.MovePart() if any(
            isinstance(speaker.parts[part].part, Pump) for part in (action.part, *action.then)
        ):
            return _first(speaker, work, LOCKED)
        case do.CleanStrainer():
            first = _first(speaker, work)
            return SEACOCK_FIRST if first == OUT else first
        case do.Descale():
            return f"{ACID}{_first(speaker, work)}"
        case do.ChangePump(as_rated=True):
            return f"{_first(speaker, work, LOCKED)}{_ELECTRICIAN}"
        case do.ChangePump() | do.FitPumpRated() | do.MovePump():
            return _first(speaker, work, LOCKED)
        case do.SetSupply() if action.other_mains(speaker.job):
            return f"{_first(speaker, Opened((action.part,)), LOCKED)}{_ELECTRICIAN}"
        case do.SetSupply():
            return WIRING if action.frequency is None else _ELECTRICIAN
        case _:
            return _first(speaker, work) if work != Opened() else ""


def anywhere(
    fix: str, speaker: Speaker, part: Address | None = None, height: object = None
) -> dict[str, str]:
    """Values of the blanks in a fix that has no action.

    ``{sea}`` and ``{power}`` state the precautions for work anywhere: every part but the openings
    in the hull and the seacocks is assumed to come off. ``{wiring}`` is for work on the supply
    alone, ``{basket}`` for opening the strainer `part`, and ``{hole}`` for lowering the outlet
    `part`, or ``{holes}`` several, to a `height` [m]; if that is not given, the boat is out.
    ``{supply}`` is the voltage, and frequency, of the catalog pumps that were tried.
    ``{every_branch}`` and ``{another}`` are given where the loop has branches, or several units.
    """
    fixed = Intake | Discharge | Seacock
    off = (at for at, item in speaker.parts.items() if not isinstance(item.part, fixed))
    work = Opened(tuple(off))
    found = {
        blank: _first(speaker, work, power)
        for blank, power in (("sea", OFF), ("power", LOCKED))
        if f"{{{blank}}}" in fix
    }
    found["wiring"] = WIRING
    if "{supply}" in fix:
        curve = speaker.job.pump.curve
        found["supply"] = speaker.exact(curve.rated_supply, "voltage")
        if curve.rated_frequency is not None:
            found["supply"] += f" {speaker.exact(curve.rated_frequency, 'frequency')}"
    level = height if isinstance(height, float) else 0.0
    if "{hole}" in fix and part is not None:
        found["hole"] = hazard(do.LowerOutlet(part, level), speaker)
    if "{holes}" in fix:
        afloat = dry(level, speaker.job.boat) and (first := _first(speaker, work)) != OUT
        found["holes"] = f"{AFLOAT}{first}" if afloat else OUT
    if "{basket}" in fix and part is not None:
        found["basket"] = hazard(do.CleanStrainer(part), speaker)
    if any(isinstance(item.part, Manifold) for item in speaker.parts.values()):
        found["every_branch"] = "every branch"
    if len(speaker.job.condenser) > 1:
        found["another"] = "another unit"
    return found


def opened(action: Action, speaker: Speaker) -> Opened:
    """Where an action opens the line."""
    match action:
        case do.ChangeHose():
            return Opened((*action.parts, *action.fittings))
        case do.ChangeBarbs():
            return Opened(action.parts)
        case do.LowerLine():
            return Opened(action.parts(speaker.job), level=action.height)
        case do.FitBleed(along=float()):
            return Opened((action.part,))
        case do.FitValve() | do.FitOrifice() if action.branch:
            return Opened(after=(action.part,), beside=_branch(action.part, speaker))
        case do.FitBleed() | do.FitValve() | do.FitOrifice() | do.FitAdapter() | do.FitPart():
            return Opened(after=(action.part,))
        case do.MoveBleed():
            fit = opened(action.fitting, speaker)
            return Opened((action.part, *fit.off), fit.after)
        case do.MovePart():
            return Opened((action.part, *action.then), (action.to,))
        case do.LeadRound():
            return Opened((action.part, action.hose))
        case do.SetHeights():
            return Opened((action.part,), level=min(height for _, height in action.points))
        case do.EvenHose():
            led = speaker.parts[action.part]
            return Opened((action.part,), level=min(led.start, led.end))
        case do.MovePump() | do.MoveStrainer():
            hose = hose_before(speaker.job, action.part).address
            longer = action.longer(speaker.job) if isinstance(action, do.MovePump) else ()
            return Opened((hose, action.part, *longer), level=action.height)
        case do.RaiseOutlet() | do.LowerOutlet():
            return Opened((action.part, *action.longer(speaker.job)))
        case do.LowerIntake() | do.MoveIntake() | do.TurnScoop() | do.CleanStrainer():
            return Opened((action.part,))
        case do.RemovePart() | do.ChangeBore() | do.FitFullBore() | do.Descale():
            return Opened((action.part,))
        case do.ChangeStrainer() | do.ChangeFitting() | do.FitVent():
            return Opened((action.part,))
        case do.ChangePump() | do.FitPumpRated():
            return Opened((action.part,))
        case _:
            return Opened()


def _branch(part: Address, speaker: Speaker) -> tuple[Address, ...]:
    """All parts of the branch in which a part stands."""
    line = speaker.parts[part].path[:-1]
    return tuple(a for a, item in speaker.parts.items() if item.path[: len(line)] == line)


def _outlet_after(part: Address, speaker: Speaker) -> Address | None:
    """The discharge that comes just after a part."""
    after = following(speaker.job, part)
    there = after in speaker.parts and isinstance(speaker.parts[after].part, Discharge)
    return after if there else None


def _at_hole(speaker: Speaker, outlet: Address, work: Opened, new: float = math.inf) -> str:
    """Precautions for work on a discharge's hole: afloat if it, and a new one, are dry at rest.

    ``new`` is the height [m] of the new hole. The hole itself cannot be plugged during the work.
    """
    hole = speaker.parts[outlet].part
    assert isinstance(hole, Discharge)
    if not dry(min(hole.height, new), speaker.job.boat):
        return OUT
    first = _first(speaker, work, spared=outlet)
    return first if first == OUT else f"{AFLOAT}{first}"


def dry(height: float, boat: Boat) -> bool:
    """Whether a hull opening at this height above the water [m] can be worked on afloat."""
    return height > max(_DRY, boat.wave_height / 2)


def _first(speaker: Speaker, work: Opened, power: str = OFF, spared: Address | None = None) -> str:
    """The pump off, and how the sea is kept out of open parts that the water can reach.

    The outlet `spared` is not among those to plug.
    """
    asked = work, power, spared
    if asked not in speaker.first:
        speaker.first[asked] = _kept_out_of(speaker, *asked)
    return speaker.first[asked]


def _kept_out_of(speaker: Speaker, work: Opened, power: str, spared: Address | None) -> str:
    """The text of `_first`, not cached."""
    meets, deep = speaker.meets, work.level <= speaker.reach
    hangs = deep or any(speaker.below_water(part) for part in work.beside)
    joints = set()
    for part in work.off:
        joints |= {one for one in joints_of(meets, part) if deep or _wet(one, speaker)}
    for part in work.after:
        joints |= {one for one in joint_after(meets, part) if hangs or _wet(one, speaker)}
    kept = kept_out(speaker, joints)
    if kept is None:
        return OUT if power == OFF else f"with {power} and {_BOAT_OUT}, "
    plugs = [outlet for outlet in kept.plugs if outlet != spared]
    shut = [f"{speaker.names(kept.cocks)} shut"] if kept.cocks else []
    plugged = [f"{speaker.names(plugs)} plugged"] if plugs else []
    return f"with {listed([power, *shut, *plugged])}, "


def _wet(joint: Joint, speaker: Speaker) -> bool:
    """Whether the sea may come out of an open joint.

    Also a joint above the water, where a hose at it runs lower or is long enough to hang down to
    the water: a loose hose drops, and a full one siphons.
    """
    parts = [part for part in joint if part in speaker.parts]
    return any(speaker.below_water(part) or _hangs(part, speaker) for part in parts)


def _hangs(part: Address, speaker: Speaker) -> bool:
    """Whether a part is a hose whose loose end may hang down to the water."""
    item = speaker.parts[part]
    if not isinstance(item.part, Hose):
        return False
    return min(item.start, item.end) - item.part.length <= speaker.reach
