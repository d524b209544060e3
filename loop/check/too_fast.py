"""Findings of speed against a limit: whether it is higher than before, or barely over."""

from collections.abc import Iterable, Mapping

from loop.words import Finding, Value

# Speed ratio, to the former speed or to the limit, from which a difference matters; as with flows.
_SIGNIFICANT = 1.02
# Findings whose harm is the head lost before the pump.
BEFORE_PUMP = ("inlet-fast", "suction-fast")


def limited_speed(values: Mapping[str, Value]) -> float:
    """The speed [m/s] that a finding compares with a limit; 0 for other findings."""
    speed = values.get("speed")
    return speed if isinstance(speed, float) and "limit" in values else 0.0


def fastest(findings: Iterable[Finding]) -> dict[str, float]:
    """The highest such speed [m/s] for each code that has one."""
    found: dict[str, float] = {}
    for one in findings:
        speed = limited_speed(one.values)
        if speed > found.get(one.code, 0.0):
            found[one.code] = speed
    return found


def is_faster(now: float, before: float) -> bool:
    """Whether water that was too fast is significantly faster."""
    return now > _SIGNIFICANT * before > 0


def barely_too_fast(values: Mapping[str, Value]) -> bool:
    """Whether water is over its limit by less than matters."""
    limit = values.get("limit")
    return isinstance(limit, float) and 0 < limited_speed(values) < _SIGNIFICANT * limit
