"""Findings that hold a speed against a limit: whether one is faster than before, or hardly over."""

from collections.abc import Iterable, Mapping

from loop.words import Finding, Value

# Speed over what it was, or over its limit, from which the difference matters: as with flows.
_MATTERS = 1.02
# Findings of water whose harm is the head that it loses before the pump.
BEFORE_PUMP = ("inlet-fast", "suction-fast")


def speed_over(values: Mapping[str, Value]) -> float:
    """The speed [m/s] that a finding holds against a limit; 0 where it is about something else."""
    speed = values.get("speed")
    return speed if isinstance(speed, float) and "limit" in values else 0.0


def fastest(findings: Iterable[Finding]) -> dict[str, float]:
    """The highest of these speeds [m/s] of each code that has any."""
    found: dict[str, float] = {}
    for one in findings:
        speed = speed_over(one.values)
        if speed > found.get(one.code, 0.0):
            found[one.code] = speed
    return found


def faster(now: float, before: float) -> bool:
    """Whether water that was too fast is faster by what matters."""
    return now > _MATTERS * before > 0


def barely(values: Mapping[str, Value]) -> bool:
    """Whether water is over its limit by less than matters."""
    limit = values.get("limit")
    return isinstance(limit, float) and 0 < speed_over(values) < _MATTERS * limit
