"""Small loops from which tests start, as the tables of a job file."""

from copy import deepcopy
from typing import Any

from loop.check import CheckResult, check
from loop.job import Job, parse_job
from loop.words import Finding, Said, say

Table = dict[str, Any]


def plain_loop() -> Table:
    """A loop in which everything is right: 12,000 BTU/h on 3/4 in hose, below the waterline."""
    return {
        "title": "Test loop",
        "water": {"temperature": "75 degF"},
        "defaults": {"bore": "3/4 in", "lining": "smooth rubber"},
        "condenser": [{"name": "saloon", "cooling": "12000 BTU/h"}],
        "part": [
            {"kind": "intake", "height": "-16 in"},
            {"kind": "seacock"},
            {"kind": "hose", "length": "2 ft", "to": "-12 in"},
            {"kind": "strainer", "loss": "0.4 psi at 300 gal/h"},
            {"kind": "hose", "length": "2 ft", "to": "-10 in"},
            {"kind": "pump", "curve": "demo-ac-350"},
            {"kind": "bleed"},
            {"kind": "hose", "length": "10 ft", "to": "10 in"},
            {"kind": "condenser", "serves": "saloon", "loss": "2.2 psi at 240 gal/h"},
            {"kind": "hose", "length": "6 ft", "to": "5 in"},
            {"kind": "discharge", "height": "5 in"},
        ],
    }


def changed(*changes: tuple[str | int, str, Any], base: Table | None = None) -> Table:
    """A loop with single values changed: (part number from 1 or table name, key, value)."""
    data = deepcopy(base or plain_loop())
    for where, key, value in changes:
        table = data["part"][where - 1] if isinstance(where, int) else data.setdefault(where, {})
        if isinstance(table, list):
            table = table[0]
        table[key] = value
    return data


# A hose that turns down 4 in below the waterline and up again, from a deep pump: under water the
# line stays full once bled.
DEEP_FRAME: tuple[tuple[str | int, str, Any], ...] = (
    (1, "height", "-60 in"),
    (3, "length", "4 ft"),
    (3, "to", "-56 in"),
    (5, "to", "-50 in"),
    (8, "length", "30 ft"),
    (8, "via", ["-4 in", "-48 in"]),
)


def job_of(*changes: tuple[str | int, str, Any]) -> Job:
    """The job of the plain loop with these changes."""
    return parse_job(changed(*changes))


def check_of(*changes: tuple[str | int, str, Any]) -> CheckResult:
    """The check of the plain loop with these changes."""
    return check(job_of(*changes))


def codes(result: CheckResult) -> set[str]:
    """Finding codes of a result."""
    return {finding.code for finding in result.findings}


def found(result: CheckResult, code: str) -> list[Finding]:
    """The findings of one code."""
    return [finding for finding in result.findings if finding.code == code]


def said(result: CheckResult, code: str) -> Said:
    """The sentences of the first finding of a code."""
    return say(found(result, code)[0], result.job)


def told(result: CheckResult) -> list[tuple[str, Said]]:
    """Code and sentences of every finding."""
    return [(finding.code, say(finding, result.job)) for finding in result.findings]


def every_finding_speaks(result: CheckResult) -> None:
    """No finding is without a message, a fix or a source."""
    for code, spoken in told(result):
        assert spoken.message.strip(), code
        assert spoken.fix.strip(), code
        assert spoken.source.strip(), code
