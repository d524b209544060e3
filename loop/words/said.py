"""A finding's sentences, made of its values and actions."""

from collections.abc import Mapping

from loop.job import Job
from loop.records import dataclass
from loop.words.action_words import action_text
from loop.words.actions import together
from loop.words.codes import CODES
from loop.words.finding import Finding
from loop.words.hazards import anywhere
from loop.words.sources import SOURCES
from loop.words.speaker import Speaker
from loop.words.start_valves import start_valves
from loop.words.template import Value, listed

# Before what is so of a loop in a state only, by the state.
_STATES = {"rest": "at the dock or at anchor, ", "as it stands": "as the loop stands, "}


@dataclass(frozen=True)
class Said:
    """What a person reads of one finding; sentences without their capital and full stop.

    ``fix`` gives every way, parted by "; or"; ``first_fix`` only the one to take; ``always`` what
    to do whatever the way, with which both begin.
    """

    title: str
    where: str
    message: str
    always: str
    fix: str
    first_fix: str
    source: str


def say(finding: Finding, job: Job, speaker: Speaker | None = None) -> Said:
    """The sentences of a finding about `job`; `speaker` is that job's, where there is one."""
    speaker = speaker or Speaker(job)
    row, case = CODES[finding.code], str(finding.values.get("case", ""))

    def filled(which: str, more: Mapping[str, Value] | None = None) -> str:
        return speaker.fill(row.text(which, case), {**finding.values, **(more or {})}, finding.at)

    valves = start_valves(finding, speaker)
    always = filled("always", {"fitting": action_text(together(valves), speaker)} if valves else {})
    ways = []
    for number, action in enumerate(finding.actions):
        after = finding.values.get("after")
        more: dict[str, Value] = {"after": float(after[number])} if isinstance(after, tuple) else {}
        then = filled("then", more) if "after" not in row.text("then", case) or more else ""
        price = _price(finding, number)
        ways.append(action_text(action, speaker) + (f": {then}" if then else "") + price)
    if not ways:
        opens = any(blank in row.text("fix", case) for blank in ("{sea}", "{power}"))
        ways = [text for text in (filled("fix", anywhere(speaker) if opens else None),) if text]
    basis = finding.basis or row.basis
    return Said(
        title=row.title,
        where=speaker.where(finding.at),
        message=_STATES.get(str(finding.values.get("state")), "") + filled("message"),
        always=always,
        fix="; ".join(part for part in (always, "; or ".join(ways)) if part),
        first_fix="; ".join(part for part in (always, *ways[:1]) if part),
        source="; ".join(SOURCES[key] for key in basis),
    )


def start_order(finding: Finding, job: Job) -> str:
    """What a branch that stays dry beside others takes at each start, its valves fitted."""
    always = CODES[finding.code].text("always", str(finding.values.get("case", "")))
    return Speaker(job).fill(always, finding.values, finding.at)


def _price(finding: Finding, number: int) -> str:
    """What an action brings that is less grave, by the titles of the codes; empty for nothing."""
    brings = finding.values.get("brings")
    codes = str(brings[number]).split() if isinstance(brings, tuple) else []
    titles = [CODES[code].title.lower() for code in codes]
    return f" (it brings a warning: {listed(titles)})" if titles else ""
