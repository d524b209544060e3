"""Words for valves to set: which, where, how far from open."""

from collections.abc import Iterable

from loop.balancing.throttle_valves import Throttle
from loop.check.subject import Subject
from loop.parts.seacock import SHUT_ANGLE


def turned(subject: Subject, valve: Throttle) -> str:
    """A valve to set, and the flow that it leaves."""
    return f"{setting(subject, valve)}, which leaves {subject.say(valve.flow, 'flow')}"


def settings(subject: Subject, valves: Iterable[Throttle]) -> str:
    """Valves to set, one after the other."""
    return "; ".join(setting(subject, valve) for valve in valves)


def setting(subject: Subject, valve: Throttle) -> str:
    """What to turn, or to fit, and how far from open: ``turn the by-valve to 34° from open``."""
    if valve.part is not None:
        return _turn(subject.name(valve.part), valve)
    bore, place = subject.say(valve.bore, "bore"), _place(subject, valve)
    if valve.angle < SHUT_ANGLE:
        return f"fit a {bore} ball valve {place}, {valve.angle:.0f}° from open"
    return (
        f"fit an orifice of K {valve.coefficient:.0f} on {bore} {place}, since no ball valve holds "
        "so fine a setting"
    )


def _turn(name: str, valve: Throttle) -> str:
    if valve.angle == 0:
        return f"open {name} fully"
    if valve.angle >= SHUT_ANGLE:
        return (
            f"beside {name} fit an orifice of K {valve.coefficient:.0f}, since no ball valve holds "
            "so fine a setting"
        )
    stands = f"it stands at {valve.was:.0f}°" if valve.was >= 0.5 else "it is open now"
    return f"turn {name} to {valve.angle:.0f}° from open ({stands})"


def _place(subject: Subject, valve: Throttle) -> str:
    if not valve.branch:
        return "after the pump"
    return f"in the branch of {valve.unit}" if valve.unit else f"in the branch {valve.branch}"
