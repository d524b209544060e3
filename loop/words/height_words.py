"""Actions that raise, lower or move something, as instructions: one renderer for each kind."""

from collections.abc import Mapping

from loop.parts import Condenser, Elbow, Hose, Pump, VentedLoop
from loop.words import actions as do
from loop.words.base import Address, at_end_of, part_at
from loop.words.height_actions import outlet_of
from loop.words.numbers import round_up
from loop.words.speaker import Speaker, the_branch
from loop.words.template import listed

# An outlet elsewhere leaves a hole in the hull.
_OLD_HOLE = ", and have a yard close the old hole"


def set_heights(action: do.SetHeights, speaker: Speaker) -> str:
    """A hose rerouted through other heights, with the parts at its far end."""
    hose = part_at(speaker.job, action.part)
    assert isinstance(hose, Hose)
    heights = {height for _, height in action.points}
    on_way = all(along < hose.length - 1e-6 for along, _ in action.points)
    if on_way and len(heights) == 1:
        places = listed([speaker.number(along, "length") for along, _ in action.points])
        level = speaker.level(*heights)
        return f"reroute {speaker.name(action.part)} to {level} at {places} from its start"
    points = []
    for along, height in action.points:
        at = f"{speaker.number(along, 'length')} from its start"
        if abs(along - hose.length) < 1e-6:
            along_with = _along_with(action.part, speaker)
            at = "its far end"
            if along_with:
                at += f", with {speaker.names(along_with)} there"
        points.append(f"to {speaker.level(height)} at {at}")
    return f"reroute {speaker.name(action.part)} {listed(points)}"


def _along_with(hose: Address, speaker: Speaker) -> list[Address]:
    """Parts at a hose's far end, except units and vents before the pump, which must not stay."""
    pump = next(item.path for item in speaker.parts.values() if isinstance(item.part, Pump))
    return [
        item.address
        for item in at_end_of(speaker.job, hose)
        if not isinstance(item.part, Condenser | VentedLoop) or item.path > pump
    ]


def even_hose(action: do.EvenHose, speaker: Speaker) -> str:
    """A hose led without high or low points."""
    return f"lead {speaker.name(action.part)} evenly from end to end, with no high points or dips"


def lead_round(action: do.LeadRound, speaker: Speaker) -> str:
    """Hose in long bends in place of elbows."""
    elbow, hose = part_at(speaker.job, action.part), part_at(speaker.job, action.hose)
    assert isinstance(elbow, Elbow)
    assert isinstance(hose, Hose)
    radius = speaker.number(round_up(hose.radius, "height", speaker.job.units), "height")
    bends = "one bend" if action.bends == 1 else f"at most {action.bends} bends"
    elbows = speaker.name(action.part)
    if elbow.count > 1:
        plain = speaker.parts[action.part].label == elbow.kind
        elbows = f"the {elbow.count} elbows" if plain else f"{elbows}, all {elbow.count}"
    run = f"run {speaker.name(action.hose)} around in {bends}"
    return f"take out {elbows}, and {run} of {radius} radius or more"


def lower_outlet(action: do.LowerOutlet, speaker: Speaker) -> str:
    """A discharge lowered from where it was."""
    was = speaker.number(outlet_of(speaker.job, action.part), "height")
    level = speaker.level(action.height)
    longer = _longer(action.longer(speaker.job), speaker)
    return f"lower {speaker.name(action.part)} from {was} to {level}{longer}{_OLD_HOLE}"


def raise_outlet(action: do.RaiseOutlet, speaker: Speaker) -> str:
    """A discharge raised."""
    longer = _longer(action.longer(speaker.job), speaker)
    return f"raise {speaker.name(action.part)} to {speaker.level(action.height)}{longer}{_OLD_HOLE}"


def _longer(hoses: Mapping[Address, float], speaker: Speaker) -> str:
    """Hoses that no longer reach, replaced with longer ones."""
    more = [
        f"{speaker.name(at)} {speaker.number(round_up(by, 'height', speaker.job.units), 'height')}"
        for at, by in hoses.items()
    ]
    return f", with {listed(more)} longer" if more else ""


def lower_line(action: do.LowerLine, speaker: Speaker) -> str:
    """A branch, or the line after the pump, lowered."""
    line = the_branch(action.branch) if action.branch else "the line after the pump"
    return f"lower {line} to {speaker.level(action.height)} wherever it is higher"


def fit_vent(action: do.FitVent, speaker: Speaker) -> str:
    """A vented loop in a hose or at its start."""
    hose, level = speaker.name(action.part), speaker.level(action.height)
    along = f", {speaker.number(action.along, 'length')} from its start"
    place = f"in {hose}{along}" if action.along > 0 else f"at the start of {hose}"
    if action.more(speaker.job) == 0:
        return f"fit a vented loop {place}, {level}"
    return f"fit a vented loop {place}, at {level} or higher, with hose up to it and back down"


def lower_intake(action: do.LowerIntake, speaker: Speaker) -> str:
    """The intake lowered."""
    longer = _longer(action.longer(speaker.job), speaker)
    return f"lower the intake to {speaker.level(action.height)}{longer}"


def move_intake(action: do.MoveIntake, speaker: Speaker) -> str:
    """The intake moved nearer to the centerline, or to the middle of the boat's length."""
    if action.fore_aft is not None:
        middle = "of the middle of the waterline, fore and aft"
        return f"move the intake to within {speaker.exact(action.fore_aft, 'height')} {middle}"
    assert action.off_centre is not None
    near = speaker.exact(action.off_centre, "height")
    return f"move the intake to within {near} of the centerline"


def move_pump(action: do.MovePump, speaker: Speaker) -> str:
    """The pump mounted lower."""
    longer = _longer(action.longer(speaker.job), speaker)
    return f"mount the pump at {speaker.level(action.height)} or lower{longer}"


def move_strainer(action: do.MoveStrainer, speaker: Speaker) -> str:
    """A strainer mounted lower."""
    return f"mount {speaker.name(action.part)} at {speaker.level(action.height)} or lower"


def turn_scoop(action: do.TurnScoop, speaker: Speaker) -> str:
    """A scoop turned forward, or a grate in its place."""
    if action.facing == "flush":
        return "fit a flush grate in place of the scoop"
    return "turn the scoop to face forward"
