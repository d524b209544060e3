"""What may hurt while an action is done: said in the step, before it."""

from loop.parts import Intake, Seacock
from loop.words import actions as do
from loop.words.base import Action, Address, following
from loop.words.speaker import Speaker
from loop.words.template import listed

_OUT = "with the boat out of the water, "
_WIRING = "by a qualified electrician, "
_ACID = "with gloves and goggles on, "
_POWER = "with the pump switched off and locked out at the breaker, "


def hazard(action: Action, speaker: Speaker) -> str:
    """What to do first, as the beginning of a sentence; empty where nothing may hurt."""
    match action:
        case do.LowerIntake() | do.MoveIntake() | do.TurnScoop():
            return _OUT
        case do.FitPart(what="seacock") | do.FitFullBore():
            return _OUT
        case do.ChangeBore() if isinstance(speaker.parts[action.part].part, Seacock | Intake):
            return _OUT
        case do.ChangeBore() if speaker.parts[action.part].part.kind == "discharge":
            return _OUT if speaker.below_water(action.part) else ""
        case do.Descale():
            return f"{_ACID}{_sea_shut(speaker, [action.part])}"
        case do.RaiseOutlet() if speaker.below_water(action.part):
            return _OUT
        case do.ChangePump(as_rated=True):
            return f"{_WIRING}{_power_and(_sea_shut(speaker, [action.part]))}"
        case do.ChangePump() | do.FitPumpRated() | do.MovePump():
            return _power_and(_sea_shut(speaker, [action.part]))
        case do.SetSupply():
            return _WIRING
        case _:
            return _sea_shut(speaker, opened(action, speaker))


def opened(action: Action, speaker: Speaker) -> list[Address]:
    """The parts at which an action opens the line."""
    match action:
        case do.ChangeHose():
            return list(action.parts)
        case do.LowerLine():
            return list(action.parts(speaker.job))
        case do.FitBleed() | do.FitValve() | do.FitOrifice() | do.FitAdapter() | do.FitPart():
            return _beside(action.part, speaker)
        case do.MoveBleed() | do.MovePart():
            return [action.part, *_beside(action.to, speaker)]
        case do.RemovePart() | do.ChangeBore() | do.CleanStrainer():
            return [action.part]
        case do.SetHeights() | do.MoveStrainer():
            return [action.part]
        case _:
            return []


def _beside(address: Address, speaker: Speaker) -> list[Address]:
    """A part and the one after it, between which something is fitted."""
    after = following(speaker.job, address)
    return [address, after] if after in speaker.parts else [address]


def _sea_shut(speaker: Speaker, addresses: list[Address]) -> str:
    """How the sea is kept out while these parts are open; empty where all lie above it."""
    low = [address for address in addresses if speaker.below_water(address)]
    if not low:
        return ""
    if any(isinstance(speaker.parts[address].part, Intake) for address in addresses):
        return _OUT
    pump = next(
        number for number, item in enumerate(speaker.parts.values()) if item.part.kind == "pump"
    )
    before = list(speaker.parts.values())[:pump]
    cocks = [item.address for item in before if isinstance(item.part, Seacock)]
    if not cocks:
        return "with the intake plugged, or the boat out of the water, "
    return f"with {listed([speaker.name(address) for address in cocks[:1]])} shut, "


def _power_and(sea: str) -> str:
    return f"{_POWER.rstrip(', ')} and {sea.removeprefix('with ')}" if sea else _POWER
