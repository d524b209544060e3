"""Findings about air: humps, the start, pockets that stay, and bleeds."""

import math
from collections.abc import Iterator

from loop.check.result import Finding
from loop.check.subject import COMMON, Subject, finding
from loop.job import TRADE_BORES
from loop.margins.air import START_SPARE, AirPath, BleedJudgement, Crest, ProposedBleed
from loop.margins.speed import HOSE_LEAST
from loop.parts.friction import GRAVITY, velocity

_POCKET = "May, Allen & Nelson (2018), Int. J. Hydraulic Engineering 7(3):51–57, 25 and 38 mm pipes"
_SWEEP = "Wisner, Mohsen & Kouwen (1975); Escarameia (2007), 0.61 from memory"


def air_findings(subject: Subject) -> Iterator[Finding]:
    """suction-above-water, suction-hump, start-head-short, air-held, bleed-…; one a place.

    Ways through different branches share the main line: what lies on it is told once.
    """
    told: set[tuple[str, str, str]] = set()
    for path in subject.air:
        for found in (
            *_humps(subject, path),
            *_start(subject, path),
            *_held(subject, path),
            *_missing(subject, path),
            *_judged(subject, path),
        ):
            key = (found.code, found.where, found.message)
            if key not in told:
                told.add(key)
                yield found


def _at(subject: Subject, place: Crest | ProposedBleed) -> str:
    """Where on the boat: ``the high point of hose 2, 14 in above the waterline``."""
    height = subject.say(abs(place.height), "height")
    level = f"{height} {'above' if place.height >= 0 else 'below'} the waterline"
    name = subject.name(place.part)
    if place.on_part:
        return f"{name}, {subject.say(place.along, 'length')} from its start, {level}"
    return f"the far end of {name}, {level}"


def _humps(subject: Subject, path: AirPath) -> Iterator[Finding]:
    for hump in path.suction.humps:
        crest = path.crests[hump.crest]
        stops = hump.above_water and not path.suction.self_priming
        fix = (
            f"bring that point down {subject.say(hump.lower_by, 'height')}, to "
            f"{subject.say(hump.lower_to, 'height')}, so that the line rises all the way"
        )
        if hump.raise_sag:
            fix += ", and raise the low point behind it to the same height"
        yield finding(
            "suction-above-water" if stops else "suction-hump",
            "danger" if stops else "warning",
            subject.where(crest.part),
            f"the suction line has a hump at {_at(subject, crest)}: it holds air"
            + (
                ", and above the waterline the sea does not push it out: a pump that does not "
                "prime itself stops there"
                if stops
                else f", which the pump must pull past; "
                f"{subject.say(crest.drop, 'height')} of it stands in the falling leg"
            ),
            fix,
            f"{COMMON}: the suction rises all the way from the sea to the pump",
        )


def _start(subject: Subject, path: AirPath) -> Iterator[Finding]:
    if not subject.flows or path.starts_with_spare:
        return
    short = not path.starts
    where = f"branch {path.branch}" if path.branch else subject.where(subject.network.pump_index)
    limit = (1 - START_SPARE) * path.shutoff_head
    lowest = subject.job.sizing.lowest_supply
    supply = (
        f" on {subject.say(lowest, 'voltage')}, the lowest supply"
        if lowest is not None and path.shutoff_head < subject.point.shutoff_head
        else ""
    )
    if path.bleeds_suffice and path.start_head_proposed <= limit + 1e-9 < path.start_head:
        fix = (
            f"bleed it as proposed, which brings the start down to "
            f"{subject.say(path.start_head_proposed, 'head')}"
        )
    else:
        head = path.start_head_vented / (1 - START_SPARE)
        down = path.start_head_vented - limit
        fix = (
            f"bring the highest point down {subject.say(max(down, 0.0), 'height')} with a bleed at "
            f"every crest, or fit a pump of at least {subject.say(head, 'head')} at shut-off"
        )
    yield finding(
        "start-head-short",
        "danger" if short else "warning",
        where,
        f"to start, the pump must push the water up to {subject.say(path.start_head, 'head')}, "
        "the air pockets behind the crests counted in; it holds "
        f"{subject.say(path.shutoff_head, 'head')} at no flow{supply}"
        + ("" if short else f", which leaves less than {START_SPARE:.0%} to spare"),
        fix,
        f"{_POCKET}; spare: {COMMON}",
    )


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
            f"air at {_at(subject, crest)} {'stays' if held else 'may stay'}: the water runs down "
            f"from there at {subject.say(crest.velocity, 'velocity')} (Froude number "
            f"{crest.froude:.2f}), and it takes {' to '.join(band)} "
            f"to sweep a {subject.say(crest.bore, 'bore')} bore"
        )
        if crest.bleed is not None:
            level, fix = "note", "crack the bleed there now and then to let the air out"
        elif held:
            level, fix = "warning", f"put a bleed valve there{_smaller(subject, crest)}"
        else:
            level, fix = "note", f"a bleed valve there makes sure{_smaller(subject, crest)}"
        yield finding(
            "air-held",
            "warning" if level == "warning" else "note",
            subject.where(crest.part),
            message,
            fix,
            f"{_SWEEP}{beyond}",
        )


def _smaller(subject: Subject, crest: Crest) -> str:
    """The trade bore in which this flow would sweep the air, where the loop can spare the head."""
    flow = crest.velocity * math.pi / 4 * crest.bore**2
    swept = (4 * flow / (math.pi * math.sqrt(GRAVITY) * crest.clearing_froude[1])) ** 0.4
    fits = [
        bore
        for bore in TRADE_BORES
        if bore <= swept and bore < crest.bore and velocity(flow, bore) >= HOSE_LEAST
    ]
    if not fits or subject.marginal:
        return ""
    return f", or {subject.say(fits[-1], 'bore')} hose if the flow stays above the need"


def _missing(subject: Subject, path: AirPath) -> Iterator[Finding]:
    for bleed in path.proposed:
        # Stopped, a line above the water drains: its crest can only be vented while it fills.
        stopped = (
            "; open it while the line fills and close it once the stream runs, for then it would "
            "draw air in"
            if bleed.draws_air
            else ""
        )
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
                f"the pump cannot drive the air past {_at(subject, bleed)} with head to spare",
                f"fit a bleed valve there{stopped}",
                f"smallest set of bleeds that leaves {START_SPARE:.0%} of the shut-off head; "
                f"{_POCKET}",
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
                f"open it only with the pump stopped, or {_under_pressure(subject, bleed)}",
                "gauge pressure along the line",
            )
        if not bleed.lets_out_air:
            yield _useless(subject, path, bleed)


def _under_pressure(subject: Subject, bleed: BleedJudgement) -> str:
    """Where a bleed would be under pressure while the pump runs."""
    network = subject.network
    if bleed.side == "suction":
        after = subject.say(network.heights[network.pump_index], "height")
        return f"move it to just after the pump, at {after}"
    level = bleed.height + bleed.gauge_pressure / (network.water.density * GRAVITY)
    return f"bring the line there below about {subject.say(level, 'height')}"


def _useless(subject: Subject, path: AirPath, bleed: BleedJudgement) -> Finding:
    place = "in a sag" if bleed.place == "sag" else "below the crest"
    target = None if bleed.crest is None else path.crests[bleed.crest]
    return finding(
        "bleed-in-sag",
        "note",
        subject.where(bleed.part),
        f"{subject.name(bleed.part)} sits {place}, where no air gathers: it does nothing",
        f"move it to {_at(subject, target)}"
        if target is not None
        else "it can go; no crest needs it",
        "air rises: geometry of the line",
    )
