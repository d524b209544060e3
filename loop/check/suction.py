"""Findings about the intake and the way to the pump."""

import math
from collections.abc import Iterator

from loop.check.result import Finding
from loop.check.rounded import apart, at_least, at_most
from loop.check.subject import COMMON, Subject, finding
from loop.job import Boat
from loop.margins.suction import NPSH_RATIO, intake_depth, lowest_immersion
from loop.parts import Strainer
from loop.parts.intake import SCOOP

# Rounding of heights that were read from text [m].
_ROUNDING = 1e-9


def suction_findings(subject: Subject) -> Iterator[Finding]:
    """intake-shallow, intake-facing-aft, pump-above-water, strainer-above-water, cavitation."""
    yield from _intake(subject)
    yield from _heights(subject)
    if subject.flows:
        yield from _cavitation(subject)


def _intake(subject: Subject) -> Iterator[Finding]:
    intake, boat = subject.job.intake, subject.job.boat
    depth = intake_depth(intake, boat, subject.point.flow)
    where = subject.where(0)
    if depth.short_by > _ROUNDING:
        out = depth.worst <= 0
        worst, needed = apart(subject, depth.worst, depth.needed, "height")
        yield finding(
            "intake-shallow",
            "danger" if out else "warning",
            where,
            f"{_attitude(subject)} the intake "
            + (
                "comes out of the water"
                if out
                else f"is {worst} deep, and draws air at less than {needed}"
            ),
            f"drop the intake at least {at_least(subject, depth.short_by, 'height')}, to "
            f"{at_most(subject, intake.height - depth.short_by, 'height')}{_nearer(subject)}",
            "needed depth: ANSI/HI 9.8; attitude: geometry",
        )
    if intake.facing == "aft":
        lost = -subject.network.start_head
        yield finding(
            "intake-facing-aft",
            "warning" if lost > 0 else "note",
            where,
            "the scoop faces aft: under way the water streams past its mouth and pulls instead of "
            "pushing"
            + (
                f", {subject.say(lost, 'head')} at {subject.say(boat.speed, 'speed')}"
                if lost > 0
                else ""
            ),
            "turn the scoop to face forward, or fit a flush grate"
            + (
                f", which at this speed is {subject.say(lost, 'head')} to the good"
                if lost > 0
                else ""
            ),
            f"share of the speed's velocity head {SCOOP['aft']:+.1f}: engineering estimate",
        )


def _attitude(subject: Subject) -> str:
    """What the boat does to the intake at its worst: ``at 12° of heel, light,``."""
    boat = subject.job.boat
    said = [
        f"{subject.say(value, quantity)} of {word}"
        for value, quantity, word in (
            (boat.heel, "angle", "heel"),
            (boat.trim, "angle", "trim"),
            (boat.wave_height, "height", "waves"),
            (boat.light_rise, "height", "rise when light"),
        )
        if value
    ]
    return f"at {', '.join(said)}," if said else "at rest"


def _nearer(subject: Subject) -> str:
    """How far off the centreline the intake would be deep enough, where heel lifts it."""
    intake, boat = subject.job.intake, subject.job.boat
    lifted = math.sin(abs(boat.heel))
    short = intake_depth(intake, boat, subject.point.flow).short_by
    nearest = abs(intake.off_centre) - (short / lifted if lifted > 0 else math.inf)
    if nearest < 0:
        return ""
    return f", or move it to {at_most(subject, nearest, 'length')} off the centreline"


def _heights(subject: Subject) -> Iterator[Finding]:
    network, boat = subject.network, subject.job.boat
    pump = network.pump
    height = network.heights[network.pump_index]
    immersion = lowest_immersion(height, pump.off_centre, pump.fore_aft, _still(subject))
    if immersion < -_ROUNDING and not pump.curve.self_priming:
        yield finding(
            "pump-above-water",
            "danger",
            subject.where(network.pump_index),
            f"the pump stands {at_least(subject, -immersion, 'height')} above the water"
            + (" at the worst heel and lightest load" if height <= 0 else "")
            + "; it does not prime itself, so once it holds air it pumps nothing",
            f"mount it at {at_most(subject, height + immersion, 'height')} or lower, below the "
            "waterline at the worst heel and lightest load, or fit a self-priming pump",
            COMMON,
        )
    for index, part in enumerate(network.parts):
        if isinstance(part, Strainer) and index < network.pump_index:
            level = network.heights[index] + boat.light_rise
            if level > _ROUNDING:
                yield finding(
                    "strainer-above-water",
                    "warning",
                    subject.where(index),
                    f"the strainer stands {subject.say(level, 'height')} above the waterline: it "
                    "drains when the pump stops, and traps air under its lid",
                    f"mount it at {at_most(subject, -boat.light_rise, 'height')} or lower",
                    COMMON,
                )


def _still(subject: Subject) -> Boat:
    """The boat without waves, which the pump's water does not feel."""
    return subject.job.boat.model_copy(update={"wave_height": 0.0})


def _cavitation(subject: Subject) -> Iterator[Finding]:
    pump = subject.pump
    if not pump.npsh_available < NPSH_RATIO * pump.npsh_required:
        return
    ratio = pump.npsh_available / pump.npsh_required
    more = NPSH_RATIO * pump.npsh_required - pump.npsh_available
    yield finding(
        "cavitation",
        "danger" if ratio < 1 else "warning",
        subject.where(subject.network.pump_index),
        f"the pump has {subject.say(pump.npsh_available, 'head')} at its inlet and needs "
        f"{subject.say(pump.npsh_required, 'head')}: a ratio of {ratio:.2f}, under {NPSH_RATIO}. "
        "The water boils in the wheel, which is noisy and eats it",
        f"win {at_least(subject, more, 'head')} on the suction side: lower the pump, shorten the "
        "hose or take it a size larger, clean the strainer",
        f"ratio: {COMMON}; vapour pressure: see seawater.py",
    )
