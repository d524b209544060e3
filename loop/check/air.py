"""Findings about air: humps, the start, pockets that stay, and bleeds."""

import math
from collections.abc import Iterator
from itertools import pairwise

from loop.air.air_paths import (
    START_SPARE,
    AirPath,
    BleedJudgement,
    Crest,
    clearing_froude,
)
from loop.check.humps import at_place, hump_findings
from loop.check.rehosed import rehosed
from loop.check.result import Finding
from loop.check.rounded import at_most
from loop.check.start import POCKET, start_findings
from loop.check.subject import COMMON, Subject, finding
from loop.hydraulics import solve_flows
from loop.hydraulics.gauge_pressure import draws_air
from loop.job import TRADE_BORES
from loop.margins.speed import HOSE_LEAST, PRESSURE_MOST
from loop.parts import Hose, Part
from loop.parts.friction import GRAVITY, velocity

_SWEEP = "Wisner, Mohsen & Kouwen (1975); Escarameia (2007), 0.61 from memory"


def air_findings(subject: Subject) -> Iterator[Finding]:
    """suction-above-water, suction-hump, start-head-short, air-held, bleed-…; one a place.

    Ways through different branches share the main line: what lies on it is told once.
    """
    told: set[tuple[str, str, str]] = set()
    for path in subject.air:
        for found in (
            *hump_findings(subject, path),
            *start_findings(subject, path),
            *_held(subject, path),
            *_missing(subject, path),
            *_judged(subject, path),
        ):
            key = (found.code, found.where, found.message)
            if key not in told:
                told.add(key)
                yield found


def _held(subject: Subject, path: AirPath) -> Iterator[Finding]:
    if not subject.flows:
        return
    for crest in path.crests:
        if crest.side != "pressure" or crest.running == "swept" or crest.open_end:
            continue
        held = crest.running == "held"
        beyond = ", measured on gentler slopes and carried on to this one" * crest.extrapolated
        band = dict.fromkeys(subject.say(edge, "velocity") for edge in crest.clearing)
        message = (
            f"air at {at_place(subject, crest)} {'stays' if held else 'may stay'}: the water runs "
            f"down from there at {subject.say(crest.velocity, 'velocity')} (Froude number "
            f"{crest.froude:.2f}), and it takes {' to '.join(band)} "
            f"to sweep a {subject.say(crest.bore, 'bore')} bore"
        )
        if crest.bleed is not None:
            level, fix = "note", "crack the bleed there now and then to let the air out"
        elif held:
            level, fix = "warning", f"put a bleed valve there{_smaller(subject, path, crest)}"
        else:
            level, fix = "note", f"a bleed valve there makes sure{_smaller(subject, path, crest)}"
        yield finding(
            "air-held",
            "warning" if level == "warning" else "note",
            subject.where(crest.part),
            message,
            fix,
            f"{_SWEEP}{beyond}",
        )


def _smaller(subject: Subject, path: AirPath, crest: Crest) -> str:
    """The largest trade bore of the falling leg that sweeps the air, and whether flow is left."""
    if subject.marginal:
        return ""
    points = path.profile.points
    leg = [p for p in points if crest.leg[0] < p.distance <= crest.leg[1]]
    hoses = list(dict.fromkeys(p.part for p in leg if isinstance(_part(subject, p.part), Hose)))
    froude = float(clearing_froude(_steepest(path, crest))[1])
    for bore in reversed([b for b in TRADE_BORES if b < crest.bore]):
        changed = rehosed(subject, hoses, bore)
        flows = solve_flows(changed, start=subject.point.line_flow).line_flow[0]
        speed = velocity(float(flows[changed.line_of[hoses[0]]]), bore)
        least = max(froude * math.sqrt(GRAVITY * bore), HOSE_LEAST)
        if least < speed <= PRESSURE_MOST:
            hose = f"{subject.say(bore, 'bore')} hose for {' and '.join(map(subject.name, hoses))}"
            if subject.suffices(changed, flows):
                return f", or fit {hose}, which sweeps it out and leaves flow enough"
            return f"; {hose} would sweep it out, but leave too little flow"
    return ""


def _steepest(path: AirPath, crest: Crest) -> float:
    """Steepest slope [rad] of a crest's falling leg."""
    points = [p for p in path.profile.points if crest.leg[0] <= p.distance <= crest.leg[1]]
    return max(
        math.asin(min(max((a.height - b.height) / (b.distance - a.distance), 0.0), 1.0))
        for a, b in pairwise(points)
        if b.distance > a.distance
    )


def _part(subject: Subject, index: int) -> Part:
    return subject.network.parts[index]


def _missing(subject: Subject, path: AirPath) -> Iterator[Finding]:
    for bleed in path.proposed:
        stopped = f"; {_when(bleed.height)}, for then it would draw air in" * bleed.draws_air
        if bleed.reason == "pump outlet":
            yield finding(
                "bleed-missing",
                "warning",
                subject.where(bleed.part),
                "there is no bleed valve at the pump's outlet, where an air-bound pump is freed "
                "first",
                f"fit a bleed just after the pump, at {subject.say(bleed.height, 'height')}"
                f"{stopped}",
                COMMON,
            )
        else:
            yield finding(
                "bleed-missing",
                "warning",
                subject.where(bleed.part),
                f"the pump cannot drive the air past {at_place(subject, bleed)} with head to spare",
                f"fit a bleed valve there{stopped}",
                f"smallest set of bleeds that leaves {START_SPARE:.0%} of the shut-off head; "
                f"{POCKET}",
            )


def _judged(subject: Subject, path: AirPath) -> Iterator[Finding]:
    for bleed in path.bleeds:
        if bleed.draws_air:
            yield finding(
                "bleed-draws-air",
                "warning",
                subject.where(bleed.part),
                f"while the pump runs the pressure at {subject.name(bleed.part)} is "
                f"{subject.say(bleed.gauge_pressure, 'pressure')}: opened then, it draws air in",
                _not_then(subject, path, bleed),
                "gauge pressure along the line",
            )
        if not bleed.lets_out_air:
            yield _useless(subject, path, bleed)


def _when(height: float) -> str:
    """When to open a bleed that would draw air in.

    Below the water the sea drives the air out of a line at rest. Above it a line at rest drains: it
    can be vented only while it fills.
    """
    if height < 0:
        return "open it only with the pump stopped"
    return "open it while the line fills and close it once the stream runs"


def _not_then(subject: Subject, path: AirPath, bleed: BleedJudgement) -> str:
    """When to open a bleed instead, or where it would be under pressure while the pump runs."""
    suction = bleed.side == "suction"
    # Before the pump, and above the water, there is no time at which air leaves by it.
    when = "keep it shut" if suction and bleed.height >= 0 else _when(bleed.height)
    if not suction:
        network = subject.network
        level = bleed.height + bleed.gauge_pressure / (network.water.density * GRAVITY)
        return f"{when}, or bring the line there down to {at_most(subject, level, 'height')}"
    if any(other.serves_pump for other in path.bleeds):
        return f"{when}, or take it out: the pump's outlet has a bleed"
    if draws_air(subject.point, path.profile, path.profile.pump):
        return when
    after = subject.say(subject.network.heights[subject.network.pump_index], "height")
    return f"{when}, or move it to just after the pump, at {after}"


def _useless(subject: Subject, path: AirPath, bleed: BleedJudgement) -> Finding:
    place = "in a sag" if bleed.place == "sag" else "below the crest"
    target = None if bleed.crest is None else path.crests[bleed.crest]
    return finding(
        "bleed-in-sag",
        "note",
        subject.where(bleed.part),
        f"{subject.name(bleed.part)} sits {place}, where no air gathers: it does nothing",
        f"move it to {at_place(subject, target)}"
        if target is not None
        else "it can go; no crest needs it",
        "air rises: geometry of the line",
    )
