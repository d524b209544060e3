"""Findings about the start: whether the pump drives the air out, and which branch stays dry."""

from collections.abc import Iterator

from loop.air.air_paths import START_SPARE, AirPath, Filling
from loop.air.priming_head import Rises, rises
from loop.check.result import Finding
from loop.check.rounded import apart, at_least, at_most
from loop.check.subject import COMMON, Subject, finding
from loop.parts.seacock import SHUT_ANGLE

# Bringing the line down so much further [m] is less work than bleeds: engineering estimate.
_FEW = 0.15
POCKET = "May, Allen & Nelson (2018), Int. J. Hydraulic Engineering 7(3):51–57, 25 and 38 mm pipes"


def start_findings(subject: Subject, path: AirPath) -> Iterator[Finding]:
    """start-head-short: against the shut-off head, and for a branch while the others run."""
    # A loop that the air in its legs keeps from starting is not one that a shut valve keeps still.
    if not subject.flows and subject.point.best is None:
        return
    if not path.starts_with_spare:
        yield _alone(subject, path)
    if path.starves and path.filling is not None:
        yield _beside(subject, path, path.filling)


def _alone(subject: Subject, path: AirPath) -> Finding:
    short = not path.starts
    where = f"branch {path.branch}" if path.branch else subject.where(subject.network.pump_index)
    needed, held = apart(subject, path.start_head, path.shutoff_head, "head")
    return finding(
        "start-head-short",
        "danger" if short else "warning",
        where,
        f"to start, the pump must push the water up to {needed}, the air pockets behind the "
        f"crests counted in; it holds {held} at no flow{_supply(subject)}"
        + ("" if short else f", which leaves less than {START_SPARE:.0%} to spare"),
        _start_on_less(subject, path),
        f"{POCKET}; spare: {COMMON}",
    )


def _start_on_less(subject: Subject, path: AirPath) -> str:
    """Bleeds where they are enough; else how high the line may rise, or the pump it takes."""
    limit = (1 - START_SPARE) * path.shutoff_head
    if path.bleeds_suffice and path.start_head_proposed <= limit + 1e-9 < path.start_head:
        return (
            f"bleed it as proposed, which brings the start down to "
            f"{subject.say(path.start_head_proposed, 'head')}"
        )
    found = rises(path.profile, path.crests)
    head = path.start_head_vented / (1 - START_SPARE)
    bleeds = ", with a bleed at every crest" * (path.start_head_vented < path.start_head)
    pump = (
        f"fit {subject.job.pump.such} at least {at_least(subject, head, 'head')} at shut-off"
        f"{_supply(subject)}{bleeds}"
    )
    lower = _lower(subject, found, limit, "the line after the pump")
    return f"{lower}, or {pump}" if lower else pump


def _supply(subject: Subject) -> str:
    """Words for the lowest supply, where that is what the shut-off head is of."""
    lowest = subject.job.sizing.lowest_supply
    if lowest is None or all(p.shutoff_head >= subject.point.shutoff_head for p in subject.air):
        return ""
    return f" on {subject.say(lowest, 'voltage')}, the lowest supply"


def _lower(subject: Subject, found: Rises, limit: float, line: str) -> str:
    """How high the line may rise for a start on `limit` [m]; empty where no height would do."""
    if found.vented.head <= limit:
        return f"fit a bleed at every crest of {line}"
    bare, vented = found.highest(limit), found.vented.highest(limit)
    if vented is None:
        return ""
    few = bare is not None and vented - bare < _FEW
    most = at_most(subject, bare if bare is not None and few else vented, "height")
    return f"bring {line} down to {most} where it is higher" + (
        "" if few else ", with a bleed at every crest"
    )


def _beside(subject: Subject, path: AirPath, filling: Filling) -> Finding:
    needed, left = apart(subject, filling.head, filling.head_left, "head")
    others = _and(filling.others)
    runs = "runs" if len(filling.others) == 1 else "run"
    return finding(
        "start-head-short",
        "warning",
        f"branch {path.branch}",
        f"{path.branch} starts last: while {others} {runs}, {left} is left at its "
        f"header{_supply(subject)}, and it takes {needed} to fill {path.branch}, the air in it "
        f"pushing back; it stays dry, though the pump would start it alone",
        _start_beside(subject, path, filling),
        f"{POCKET}; the network solved with {path.branch} dry",
    )


def _start_beside(subject: Subject, path: AirPath, filling: Filling) -> str:
    """One branch after another; or the branch lower, or the pump that fills it all the same."""
    ways = [one_after_another(path.branch, filling)]
    lower = _lower(subject, filling.rises, filling.head_left, path.branch)
    ways += [lower] if lower else []
    pump = filling.pump()
    if pump is not None:
        head, flow = at_least(subject, pump[0], "head"), at_least(subject, pump[1], "flow")
        such = subject.job.pump.such
        ways.append(f"fit {such} at least {head} at {flow}{_supply(subject)}")
    return "; or ".join(ways)


def one_after_another(branch: str, filling: Filling) -> str:
    """What to do with the others' valves until a branch runs."""
    angle = filling.angle()
    several = len(filling.others) > 1
    turned = f" or {angle}° from open" if angle < SHUT_ANGLE else ""
    missing = [o for o, valve in zip(filling.others, filling.valves, strict=True) if valve is None]
    fit = f"fit a ball valve at the start of {_and(tuple(missing))}, and " if missing else ""
    return (
        f"{fit}until water runs through {branch} keep the valve{'s' * several} of "
        f"{_and(filling.others)} shut{turned}, then open {'them' if several else 'it'}"
    )


def _and(names: tuple[str, ...]) -> str:
    *most, last = names
    return f"{', '.join(most)} and {last}" if most else last
