"""A finding's sentences, made from its values and actions."""

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

# Prefix of a message that holds in one state only.
_STATES = {"rest": "at the dock or at anchor, ", "as it stands": "as the loop stands, "}


@dataclass(frozen=True)
class Way:
    """One fix of a finding: what to do, the result, and its side effects.

    ``action`` is None for advice only; ``whose`` is a prefix that names the units it is for, if
    others have their own fix.
    """

    action: Action | None
    text: str
    then: str = ""
    price: str = ""
    whose: str = ""

    @property
    def whole(self) -> str:
        """The full text."""
        return f"{self.whose}{self.text}{f': {self.then}' if self.then else ''}{self.price}"


@dataclass(frozen=True)
class Said:
    """The text of one finding; sentences uncapitalized and without a period.

    ``ways`` are its fixes, the preferred one first; ``always`` is what to do with any of them.
    """

    title: str
    where: str
    message: str
    always: str
    ways: tuple[Way, ...]
    source: str

    @property
    def fix(self) -> str:
        """What to do in any case, and every fix, joined by "; or"."""
        return ways_text(self.always, [way.whole for way in self.ways])

    @property
    def first_fix(self) -> str:
        """What to do in any case, and the preferred fix."""
        return ways_text(self.always, [way.whole for way in self.ways[:1]])


def ways_text(always: str, ways: list[str]) -> str:
    """What to do in any case, and the alternatives."""
    return "; ".join(part for part in (always, "; or ".join(ways)) if part)


def say(finding: Finding, job: Job, speaker: Speaker | None = None) -> Said:
    """The sentences of a finding about `job`; `speaker`, if given, is that job's."""
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
        text, right = row.text("fix", case), finding.values.get("right")
        advice = filled("fix", anywhere(text, speaker, finding.at.part, right))
        ways = [Way(None, advice)] if advice else []
    elif text := row.text("instead", case):
        hazards = anywhere(text, speaker, finding.at.part, None)
        ways.append(Way(None, filled("instead", hazards)))
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
    """Prefix of a message that holds in one state only."""
    return _STATES.get(str(finding.values.get("state")), "")


def start_order(finding: Finding, job: Job) -> str:
    """Start-up of a branch that does not prime while others run, once its valves are fitted."""
    return fill_row(finding, "always", Speaker(job))


def _price(finding: Finding, number: int) -> str:
    """Less grave findings that an action causes or worsens, by title; empty if none."""

    def codes(value: str) -> list[str]:
        every = finding.values.get(value)
        return str(every[number]).split() if isinstance(every, tuple) else []

    def titles(some: list[str]) -> str:
        return listed([CODES[code].title.lower() for code in some])

    brings, worsens, does = codes("brings"), codes("worsens"), []
    if brings:
        # A thin margin remains of too little flow: a measurement tells whether it is enough.
        thin = brings == ["flow-marginal"]
        verb, then = ("leaves", "; then measure the flow") if thin else ("causes", "")
        some = "a warning" if len(brings) == 1 else "warnings"
        does.append(f"{verb} {some}: {titles(brings)}{then}")
    if worsens:
        does.append(f"makes worse: {titles(worsens)}")
    return f" (it {'; and '.join(does)})" if does else ""
