"""Findings that say the same of several places, to be told once."""

from collections.abc import Iterable

from loop.check.result import Finding


def grouped(findings: Iterable[Finding]) -> tuple[tuple[Finding, ...], ...]:
    """Findings that differ in their place alone side by side, each group where its first stands."""
    groups: dict[tuple[str, ...], list[Finding]] = {}
    for one in findings:
        said = (one.code, one.level, one.message, one.fix, one.source)
        groups.setdefault(said, []).append(one)
    return tuple(map(tuple, groups.values()))
