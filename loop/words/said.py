"""A finding's sentences, made of its values and actions."""

from collections.abc import Mapping

from loop.job import Job
from loop.records import dataclass
from loop.words.action_words import action_text
from loop.words.actions import Action, together
from loop.words.codes import CODES
from loop.words.finding import Finding
from loop.words.hazards import anywhere
from loop.words.sources import QUANTITIES, SOURCES
from loop.words.speaker import Speaker
from loop.words.start_valves import start_valves
from loop.words.template import Value, listed

# Before what is so of a loop in a state only, by the state.
_STATES = {"rest": "at the dock or at anchor, ", "as it stands": "as the loop stands, "}


@dataclass(frozen=True)
class Way:
    """One way to cure a finding: what to do, what that leads to, and what it brings.

    ``action`` is None where it is advice only; ``whose`` says first for which units it is, where
    others have ways of their own.
    """

    action: Action | None
    text: str
    then: str = ""
    price: str = ""
    whose: str = ""

    @property
    def whole(self) -> str:
        """All of it."""
        return f"{self.whose}{self.text}{f': {self.then}' if self.then else ''}{self.price}"


@dataclass(frozen=True)
class Said:
    """What a person reads of one finding; sentences without their capital and full stop.

    ``ways`` are what cures it, the one to take first; ``always`` what to do whatever the way.
    """

    title: str
    where: str
    message: str
    always: str
    ways: tuple[Way, ...]
    source: str

    @property
    def fix(self) -> str:
        """What to do always, and every way, parted by "; or"."""
        return ways_text(self.always, [way.whole for way in self.ways])

    @property
    def first_fix(self) -> str:
        """What to do always, and the way to take."""
        return ways_text(self.always, [way.whole for way in self.ways[:1]])


def ways_text(always: str, ways: list[str]) -> str:
    """What to do always, and ways of which each is enough."""
    return "; ".join(part for part in (always, "; or ".join(ways)) if part)


def say(finding: Finding, job: Job, speaker: Speaker | None = None) -> Said:
    """The sentences of a finding about `job`; `speaker` is that job's, where there is one."""
    speaker = speaker or Speaker(job)
    row, case = CODES[finding.code], str(finding.values.get("case", ""))

    def filled(which: str, more: Mapping[str, Value] | None = None) -> str:
        return fill_row(finding, which, speaker, more)

    valves = start_valves(finding, speaker)
    always = filled("always", {"fitting": action_text(together(valves), speaker)} if valves else {})
    ways = []
    for number, action in enumerate(finding.actions):
        after = finding.values.get("after")
        more: dict[str, Value] = {"after": float(after[number])} if isinstance(after, tuple) else {}
        then = filled("then", more) if more else ""
        ways.append(Way(action, action_text(action, speaker), then, _price(finding, number)))
    if not ways:
        advice = filled("fix", anywhere(row.text("fix", case), speaker, finding.at.part))
        ways = [Way(None, advice)] if advice else []
    elif row.text("instead", case):
        ways.append(Way(None, filled("instead")))
    basis = finding.basis or row.basis
    return Said(
        title=row.title,
        where=speaker.where(finding.at),
        message=in_state(finding) + filled("message"),
        always=always,
        ways=tuple(ways),
        source="; ".join(speaker.fill(SOURCES[key], QUANTITIES) for key in basis),
    )


def fill_row(
    finding: Finding, which: str, speaker: Speaker, more: Mapping[str, Value] | None = None
) -> str:
    """One of the templates of a finding's row, with its values and `more`."""
    template = CODES[finding.code].text(which, str(finding.values.get("case", "")))
    return speaker.fill(template, {**finding.values, **(more or {})}, finding.at)


def in_state(finding: Finding) -> str:
    """What goes before a message that is so in a state only."""
    return _STATES.get(str(finding.values.get("state")), "")


def start_order(finding: Finding, job: Job) -> str:
    """What a branch that stays dry beside others takes at each start, its valves fitted."""
    return fill_row(finding, "always", Speaker(job))


def _price(finding: Finding, number: int) -> str:
    """What an action brings or worsens that is less grave, by the codes' titles; empty for none."""

    def codes(value: str) -> list[str]:
        every = finding.values.get(value)
        return str(every[number]).split() if isinstance(every, tuple) else []

    def titles(some: list[str]) -> str:
        return listed([CODES[code].title.lower() for code in some])

    brings, worsens, does = codes("brings"), codes("worsens"), []
    if brings:
        # Too small a margin is what is left of too little; what more it takes a measurement tells.
        thin = brings == ["flow-marginal"]
        verb, then = ("leaves", "; measure the flow then") if thin else ("brings", "")
        some = "a warning" if len(brings) == 1 else "warnings"
        does.append(f"{verb} {some}: {titles(brings)}{then}")
    if worsens:
        does.append(f"makes worse: {titles(worsens)}")
    return f" (it {'; and '.join(does)})" if does else ""
