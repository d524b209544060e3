"""Actions as instructions: one renderer for each kind of action."""

import math
import re
from collections.abc import Callable, Iterator
from itertools import groupby
from typing import Any

from loop.parts import Condenser
from loop.parts.seacock import SHUT_ANGLE, handle_angle
from loop.pumps import load_pump
from loop.words import actions as do
from loop.words import height_words as high
from loop.words.base import Action, part_at
from loop.words.hazards import LOCKED, OFF, hazard
from loop.words.size_actions import narrower_beside
from loop.words.speaker import Speaker, the_branch
from loop.words.valve_runs import degrees, valves

# Numbers that are spoken with a vowel first: 8, 11, 18.
_AN = re.compile(r"8|1[18]\b")
_OPENED = {
    "running": "",
    "stopped": "; open it only with the pump stopped",
    "filling": "; open it while the line fills, and close it once water runs overboard",
}


def action_text(action: Action, speaker: Speaker, brief: bool = False, tried: bool = False) -> str:
    """An action as an instruction, its hazard first; steps separated by semicolons.

    Several valves to fit are one step; in `brief`, many are counted and not named. What is only
    `tried`, in the program and on no boat, is said without its hazard.
    """
    said = []
    last = ""
    for first, run in _runs(action, speaker):
        text = (
            WORDS[type(run[0])](run[0], speaker) if len(run) == 1 else valves(run, speaker, brief)
        )
        # A hazard that the step before stated is not repeated.
        held = tried or last in (first, first.replace(OFF, LOCKED, 1))
        said.append(f"{'' if held else first}{text}")
        last = last if held else first
    return "; ".join(said)


def _runs(action: Action, speaker: Speaker) -> Iterator[tuple[str, list[Any]]]:
    """Steps with their hazards; ball valves of one bore for parallel branches form one run."""
    steps = [(hazard(step, speaker), step) for step in action.steps]

    def alike(one: tuple[str, Action]) -> object:
        first, step = one
        valve = isinstance(step, do.FitValve) and step.branch
        return (first, step.bore) if isinstance(step, do.FitValve) and valve else id(step)

    for _, run in groupby(steps, alike):
        (first, step), *more = run
        yield first, [step, *(other for _, other in more)]


def _fit_bleed(action: do.FitBleed, speaker: Speaker) -> str:
    return f"fit a bleed valve {_bleed_place(action, speaker)}{_OPENED[action.opened]}"


def _bleed_place(action: do.FitBleed, speaker: Speaker) -> str:
    level = speaker.about_level(action.height)
    if action.along is None:
        return f"just after {speaker.name(action.part)}, {level}"
    along = speaker.exact(action.along, "length")
    return f"in {speaker.name(action.part)}, {along} from its start, {level}"


def _move_bleed(action: do.MoveBleed, speaker: Speaker) -> str:
    place = _bleed_place(action.fitting, speaker)
    return f"move {speaker.name(action.part)} to {place}{_OPENED[action.opened]}"


def _remove_part(action: do.RemovePart, speaker: Speaker) -> str:
    return f"take out {speaker.name(action.part)}"


def _set_valve(action: do.SetValve, speaker: Speaker) -> str:
    name = speaker.name(action.part)
    if action.angle == 0:
        return f"open {name} fully"
    if math.degrees(action.angle) >= SHUT_ANGLE:
        return f"shut {name}"
    now = handle_angle(part_at(speaker.job, action.part).open)  # type: ignore[attr-defined]
    now_at = f"now at {now:.0f}°" if now >= 0.5 else "now open"
    return f"turn {name} to {degrees(action.angle)} from open ({now_at})"


def _fit_valve(action: do.FitValve, speaker: Speaker) -> str:
    bore = speaker.number(action.bore, "bore")
    setting = f", set {degrees(action.angle)} from open" if action.angle else ""
    if math.degrees(action.angle) >= SHUT_ANGLE:
        setting = ", and shut it"
    return f"fit {_a(bore)} ball valve {_after(action, speaker)}{setting}"


def _fit_orifice(action: do.FitOrifice, speaker: Speaker) -> str:
    bore = speaker.number(action.bore, "bore")
    return (
        f"fit an orifice of K {action.coefficient:.4g} on {bore} {_after(action, speaker)}, "
        "since no ball valve holds a setting that fine"
    )


def _after(action: do.FitValve | do.FitOrifice, speaker: Speaker) -> str:
    level = speaker.about_level(speaker.parts[action.part].end)
    place = f"after {speaker.name(action.part)}, {level}"
    if not action.branch:
        return place
    return f"{place}, in {the_branch(action.branch, action.unit)}"


def _change_hose(action: do.ChangeHose, speaker: Speaker) -> str:
    bore = speaker.number(action.bore, "bore")
    smooth = "" if action.lining is None else "smooth "
    text = f"replace {speaker.names(action.parts)} with {bore} {smooth}hose and barbs"
    if action.fittings:
        text += f", with {speaker.names(action.fittings)} in {bore} too"
    narrow = narrower_beside(speaker.job, action)
    if narrow:
        some = "an adapter" if len(narrow) == 1 else "adapters"
        text += f", {'and' if action.fittings else 'with'} {some} to {speaker.names(narrow)}"
    return text


def _change_barbs(action: do.ChangeBarbs, speaker: Speaker) -> str:
    hoses = [part_at(speaker.job, address) for address in action.parts]
    bores = {hose.inner_bore for hose in hoses}
    size = f"{speaker.number(bores.pop(), 'bore')} " if len(bores) == 1 else ""
    barbs = f"full-bore {size}hose barbs"
    return f"fit {barbs} at the ends of {speaker.names(action.parts)}"


def _change_strainer(action: do.ChangeStrainer, speaker: Speaker) -> str:
    loss, flow = speaker.exact(action.loss, "pressure"), speaker.exact(action.flow, "flow")
    name = speaker.name(action.part)
    return f"replace {name} with a strainer that loses {loss} or less at {flow}"


def _change_fitting(action: do.ChangeFitting, speaker: Speaker) -> str:
    loss, flow = speaker.exact(action.loss, "pressure"), speaker.exact(action.flow, "flow")
    count = part_at(speaker.job, action.part).count  # type: ignore[attr-defined]
    it = "it with one that loses" if count == 1 else "them with ones that each lose"
    return f"clean {speaker.name(action.part)}, or replace {it} {loss} or less at {flow}"


def _change_bore(action: do.ChangeBore, speaker: Speaker) -> str:
    part = part_at(speaker.job, action.part)
    now, bore = (speaker.number(size, "bore") for size in (part.inner_bore, action.bore))
    return f"change {speaker.name(action.part)} from {now} to {bore}"


def _fit_full_bore(action: do.FitFullBore, speaker: Speaker) -> str:
    return f"replace {speaker.name(action.part)} with a full-bore valve"


def _descale(action: do.Descale, speaker: Speaker) -> str:
    unit = part_at(speaker.job, action.part)
    assert isinstance(unit, Condenser)
    return f"descale the condenser that serves {unit.serves}"


def _change_pump(action: do.ChangePump, speaker: Speaker) -> str:
    count = speaker.job.pump.count
    text = f"fit {speaker.job.pump.some} like {action.name}"
    if action.single and count > 1:
        text = f"fit one pump like {action.name} in place of the {count}"
    elif action.name == speaker.job.pump.curve.name:
        text = "clean and rebuild the pump, or fit a new one like it"
    text += _frequency(action, speaker)
    return f"{text}, on its rated supply" if action.as_rated else text


def _frequency(action: do.ChangePump, speaker: Speaker) -> str:
    """The frequency a pump needs, where it is a new one and the file does not state the boat's."""
    now = speaker.job.pump
    made = (action.curve or load_pump(action.name)).rated_frequency
    if made is None or now.frequency is not None or made == now.curve.rated_frequency:
        return ""
    return f", made for {speaker.exact(made, 'frequency')}, which the boat's supply must match"


def _fit_pump_rated(action: do.FitPumpRated, speaker: Speaker) -> str:
    pump = speaker.job.pump
    primes = "self-priming " * (action.self_priming or pump.curve.self_priming)
    rated = "rated" if pump.count == 1 else "that together give"
    head, flow = speaker.exact(action.head, "head"), speaker.exact(action.flow, "flow")
    some = pump.some.replace("pump", f"{primes}pump", 1)
    lift = pump.curve.priming_lift or 0.0
    above = f", from {speaker.number(lift, 'height')} above the water" * (lift > 0)
    return f"fit {some} {rated} {head} at {flow}{above}, or a little more"


def _clean_strainer(action: do.CleanStrainer, speaker: Speaker) -> str:
    return f"clean {speaker.name(action.part)}"


def _change_grate(action: do.ChangeGrate, speaker: Speaker) -> str:
    face = f"a face of {speaker.exact(action.area, 'area')} or more, {action.open:.0%} of it open"
    return f"replace the grate of {speaker.name(action.part)} with one that has {face}"


def _clean_grate(action: do.CleanGrate, speaker: Speaker) -> str:
    grate = f"clear growth and weed off the grate of {speaker.name(action.part)}"
    return f"{grate}, which is {action.open:.0%} open when clean"


def _set_supply(action: do.SetSupply, speaker: Speaker) -> str:
    volts, hertz = (
        None if value is None else speaker.exact(value, quantity)
        for value, quantity in ((action.voltage, "voltage"), (action.frequency, "frequency"))
    )
    causes = "voltage, wire size, connections"
    corrected = f"correct the supply ({causes}) so that the pump gets {volts}"
    if hertz is None:
        return corrected
    if action.other_mains(speaker.job):
        there = speaker.job.pump.frequency or action.frequency or 0.0
        other = speaker.exact(there, "frequency")
        given = hertz if volts is None else f"{volts} and {hertz}"
        how = "from another supply: wiring cannot change the frequency"
        return f"fit a pump made for {other}, or give this one {given} ({how})"
    given = "" if volts is None else f"; then, with {LOCKED}, {corrected}"
    return f"set the speed of the generator, or the inverter, to {hertz} under load{given}"


def _fit_part(action: do.FitPart, speaker: Speaker) -> str:
    bore, after = speaker.number(action.bore, "bore"), speaker.name(action.part)
    rated = ""
    if action.loss is not None and action.flow is not None:
        loss = speaker.exact(action.loss, "pressure")
        rated = f" that loses {loss} or less at {speaker.exact(action.flow, 'flow')}"
    return f"fit {_a(bore)} {action.what}{rated} just after {after}"


def _a(bore: str) -> str:
    """A bore with its article: an 8 mm, a 3/4 in."""
    return f"{'an' if _AN.match(bore) else 'a'} {bore}"


def _fit_adapter(action: do.FitAdapter, speaker: Speaker) -> str:
    sizes = " to ".join(speaker.number(bore, "bore") for bore in (action.bore, action.to))
    return f"fit an adapter, {sizes}, just after {speaker.name(action.part)}, flat side up"


def _move_part(action: do.MovePart, speaker: Speaker) -> str:
    beyond = f" with {speaker.names(action.then)} after it" if action.then else ""
    hull = "" if action.off_centre is None else ", in the intake's own hull"
    part, to = speaker.name(action.part), speaker.name(action.to)
    return f"move {part}{beyond} to just after {to}{hull}"


def _together(action: do.Together, speaker: Speaker) -> str:
    return action_text(action, speaker)


# One a kind; each takes an action of its own kind.
WORDS: dict[type[Action], Callable[[Any, Speaker], str]] = {
    do.FitBleed: _fit_bleed,
    do.MoveBleed: _move_bleed,
    do.RemovePart: _remove_part,
    do.SetValve: _set_valve,
    do.FitValve: _fit_valve,
    do.FitVent: high.fit_vent,
    do.FitOrifice: _fit_orifice,
    do.ChangeHose: _change_hose,
    do.ChangeBarbs: _change_barbs,
    do.ChangeStrainer: _change_strainer,
    do.ChangeBore: _change_bore,
    do.ChangeFitting: _change_fitting,
    do.FitFullBore: _fit_full_bore,
    do.ChangePump: _change_pump,
    do.FitPumpRated: _fit_pump_rated,
    do.SetHeights: high.set_heights,
    do.EvenHose: high.even_hose,
    do.LeadRound: high.lead_round,
    do.LowerOutlet: high.lower_outlet,
    do.RaiseOutlet: high.raise_outlet,
    do.LowerLine: high.lower_line,
    do.LowerIntake: high.lower_intake,
    do.MoveIntake: high.move_intake,
    do.MovePump: high.move_pump,
    do.MoveStrainer: high.move_strainer,
    do.TurnScoop: high.turn_scoop,
    do.CleanStrainer: _clean_strainer,
    do.ChangeGrate: _change_grate,
    do.CleanGrate: _clean_grate,
    do.Descale: _descale,
    do.SetSupply: _set_supply,
    do.FitPart: _fit_part,
    do.FitAdapter: _fit_adapter,
    do.MovePart: _move_part,
    do.Together: _together,
}
