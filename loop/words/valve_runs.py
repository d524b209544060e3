"""Ball valves to fit in several branches, as one step."""

import math
from collections.abc import Sequence

from loop.words.actions import FitValve
from loop.words.speaker import Speaker
from loop.words.template import counted

# Most valves that a first line names.
_NAMED = 3


def valves(run: Sequence[FitValve], speaker: Speaker, brief: bool) -> str:
    """Valves of one bore, with the place and setting of each; in `brief`, many are only counted.

    A branch is named by its unit, where it has one.
    """
    bore, each = speaker.number(run[0].bore, "bore"), [_each(one, speaker) for one in run]
    turned = any(one.angle for one in run)
    if brief and len(run) > _NAMED:
        setting = ", each at a setting of its own" if turned else ""
        return f"fit {bore} ball valves in {counted(len(run))} branches{setting}"
    how = ", set from open as follows" if turned else ""
    return f"fit {bore} ball valves in these branches{how}: {', '.join(each)}"


def _each(valve: FitValve, speaker: Speaker) -> str:
    angle = f" at {degrees(valve.angle)}" if valve.angle else ""
    return f"{valve.unit or valve.branch}{angle} (after {speaker.name(valve.part)})"


def degrees(angle: float) -> str:
    """An angle [rad] in whole degrees."""
    return f"{math.degrees(angle):.0f}°"
