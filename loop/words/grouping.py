"""Findings as a person reads them: those that say the same of several places, once."""

from collections.abc import Iterable

from loop.job import Job
from loop.records import dataclass
from loop.words.finding import Finding, Level
from loop.words.said import say
from loop.words.speaker import Speaker


@dataclass(frozen=True)
class Told:
    """What is said of one finding, or of several at once.

    ``places`` are where, and ``messages`` what: one for all places, or one a place.
    """

    code: str
    level: Level
    title: str
    places: tuple[str, ...]
    messages: tuple[str, ...]
    fix: str
    first_fix: str
    source: str

    @property
    def where(self) -> str:
        """All places, one after the other."""
        return "; ".join(self.places)

    @property
    def message(self) -> str:
        """All messages, one after the other."""
        return "; ".join(self.messages)


def told(findings: Iterable[Finding], job: Job) -> tuple[Told, ...]:
    """The sentences of findings, in their order, grouped."""
    speaker = Speaker(job)
    return tuple(_group(alike, job, speaker) for alike in grouped(findings))


def _group(alike: tuple[Finding, ...], job: Job, speaker: Speaker) -> Told:
    said = [say(one, job, speaker) for one in alike]
    first = said[0]
    messages = dict.fromkeys(one.message for one in said)
    if len(messages) > 1 and alike[0].at.unit is None:
        messages = dict.fromkeys(f"{one.where}: {one.message}" for one in said)
    return Told(
        code=alike[0].code,
        level=alike[0].level,
        title=first.title,
        places=tuple(one.where for one in said),
        messages=tuple(messages),
        fix=first.fix,
        first_fix=first.first_fix,
        source=first.source,
    )


def grouped(findings: Iterable[Finding]) -> tuple[tuple[Finding, ...], ...]:
    """Findings that differ in their place alone side by side, each group where its first stands.

    Where one action cures all, what is said of each may differ in its numbers too.
    """
    groups: dict[object, list[Finding]] = {}
    for one in findings:
        groups.setdefault(_alike(one), []).append(one)
    return tuple(map(tuple, groups.values()))


def _alike(one: Finding) -> object:
    """What is the same in findings that are said together."""
    head = one.code, one.level, one.basis, one.actions, one.values.get("case")
    if one.actions:
        return head
    return *head, one.at.unit, tuple(sorted(one.values.items()))
