"""Findings as a person reads them: several places with the same finding are one entry."""

from collections.abc import Iterable, Sequence
from dataclasses import replace

from loop.job import Job
from loop.records import dataclass
from loop.words.actions import Action
from loop.words.codes import CODES
from loop.words.finding import Finding, Level, Place
from loop.words.hazards import anywhere
from loop.words.said import Said, Way, fill_row, in_state, say, ways_text
from loop.words.speaker import Speaker
from loop.words.template import Value, listed
from loop.words.worst import worst, worst_after

# Reference to an action given in full above, by its place among the fixes there.
_SAME = "same as for “{title}” above"
_ORDINAL = ("the first fix for “{title}” above", "the second fix for “{title}” above")
_CURES = " (it also cures: {titles})"
_FOR, _OTHERS = "for {places}: ", "for the others: "
# Most units that are named one by one, and the text for more.
_NAMED = 6
_UNITS, _ALL, _MORE = "condensers {names}", "all {count} condensers", "{count} more"


@dataclass(frozen=True)
class Told:
    """The text of one finding, or of several together.

    ``messages`` holds one for all ``places``, or one for each. ``fix`` gives every alternative, and
    what to do in any case; ``first_fix`` only the preferred one. ``numbers`` are the findings'
    indices in the input.
    """

    code: str
    level: Level
    title: str
    places: tuple[str, ...]
    messages: tuple[str, ...]
    fix: str
    first_fix: str
    source: str
    numbers: tuple[int, ...]

    @property
    def where(self) -> str:
        """All places, joined."""
        return "; ".join(self.places)

    @property
    def message(self) -> str:
        """All messages, joined."""
        return "; ".join(self.messages)


def told(findings: Iterable[Finding], job: Job) -> tuple[Told, ...]:
    """Texts of findings, in their order, grouped; each action is given in full once."""
    found = tuple(findings)
    number = {id(one): at for at, one in enumerate(found)}
    shown: dict[Action, str] = {}
    firsts: dict[Action, str] = {}
    return tuple(
        Told(
            code=group.code,
            level=group.alike[0].level,
            title=group.said[0].title,
            places=group.places,
            messages=group.messages,
            fix=fix,
            first_fix=first_fix,
            source=group.said[0].source,
            numbers=tuple(number[id(one)] for one in group.alike),
        )
        for group in groups(found, job)
        for fix in [_fix(group, group.ways, shown)]
        for first_fix in [_fix(group, group.first, firsts)]
    )


def _fix(group: "FindingGroup", ways: Sequence[Way], above: dict[Action, str]) -> str:
    """Fixes of a group; an action already given `above` is a reference to it."""
    texts = []
    for number, way in enumerate(ways):
        before = None if way.action is None else above.get(way.action)
        texts.append(way.whole if before is None else replace(way, text=before, price="").whole)
        if way.action is not None and not group.apart:
            row = _SAME if len(ways) == 1 or number >= len(_ORDINAL) else _ORDINAL[number]
            above.setdefault(way.action, row.format(title=group.said[0].title))
    return ways_text(group.always, ["; ".join(texts)] if group.apart and texts else texts)


def grouped(findings: Iterable[Finding]) -> tuple[tuple[Finding, ...], ...]:
    """Group findings that share one text, each group at the position of its first.

    A group is a code with a template for several, in one state and case; findings that the same
    actions cure; or findings that differ only in their place.
    """
    groups: dict[object, list[Finding]] = {}
    for one in findings:
        groups.setdefault(_alike(one), []).append(one)
    return tuple(map(tuple, groups.values()))


def _alike(one: Finding) -> object:
    """The key that findings of one group share."""
    head = one.code, one.level, one.basis, one.values.get("case")
    if _text(one, "several"):
        return *head, one.values.get("state")
    if one.actions:
        return *head, one.actions
    return *head, one.at.unit, tuple(sorted(one.values.items()))


def _text(one: Finding, which: str) -> str:
    """A template of a finding's row; empty where there is none."""
    return CODES[one.code].text(which, str(one.values.get("case", "")))


@dataclass(frozen=True)
class FindingGroup:
    """Findings with one text, the text of each, and their fixes.

    Each of ``ways`` cures all; if ``apart``, each cures only those that it names. ``condensers`` is
    the number of condensers in the job.
    """

    alike: tuple[Finding, ...]
    said: tuple[Said, ...]
    messages: tuple[str, ...]
    ways: tuple[Way, ...]
    apart: bool
    condensers: int

    @property
    def code(self) -> str:
        """The code of all of them."""
        return self.alike[0].code

    @property
    def places(self) -> tuple[str, ...]:
        """Their places; several units as one."""
        units = [one.at.unit for one in self.alike if one.at.unit is not None]
        if len(units) > 1:
            return (_units(units, self.condensers),)
        return tuple(dict.fromkeys(one.where for one in self.said))

    @property
    def always(self) -> str:
        """What to do with any of the fixes."""
        return "; ".join(dict.fromkeys(one.always for one in self.said if one.always))

    @property
    def first(self) -> tuple[Way, ...]:
        """The preferred fix; all of them if ``apart``."""
        return self.ways if self.apart else self.ways[:1]


def groups(findings: Sequence[Finding], job: Job) -> tuple[FindingGroup, ...]:
    """Groups of findings, with what else each fix cures."""
    speaker, every = Speaker(job), grouped(findings)
    found = tuple(_group(alike, speaker) for alike in every)
    return tuple(
        replace(
            one, ways=tuple(replace(w, price=w.price + _cures(w, one, found)) for w in one.ways)
        )
        for one in found
    )


def _cures(way: Way, of: FindingGroup, every: Sequence[FindingGroup]) -> str:
    """The titles of the other groups that a fix cures."""
    if way.action is None:
        return ""
    titles = [
        group.said[0].title.lower()
        for group in every
        if group is not of and all(way.action in one.actions for one in group.alike)
    ]
    return _CURES.format(titles=listed([*dict.fromkeys(titles)])) if titles else ""


def _group(alike: tuple[Finding, ...], speaker: Speaker) -> FindingGroup:
    said = tuple(say(one, speaker.job, speaker) for one in alike)
    ways, apart = _ways(alike, said, speaker)
    messages = _messages(alike, said, speaker)
    return FindingGroup(alike, said, messages, ways, apart, len(speaker.job.condenser))


def _units(names: Sequence[str], every: int) -> str:
    """Names of several units; many of them abbreviated."""
    if len(names) <= _NAMED:
        return _UNITS.format(names=listed(names))
    if len(names) == every:
        return _ALL.format(count=every)
    few = [*names[: _NAMED - 1], _MORE.format(count=len(names) - _NAMED + 1)]
    return _UNITS.format(names=listed(few))


def _messages(alike: Sequence[Finding], said: Sequence[Said], speaker: Speaker) -> tuple[str, ...]:
    """One message with the numbers of the worst, if the row has one; else one for each place."""
    if len(alike) > 1 and _text(alike[0], "several"):
        of = worst(alike)
        return (in_state(of) + fill_row(of, "several", speaker, _of_all(alike, of)),)
    messages = dict.fromkeys(one.message for one in said)
    if len(messages) > 1 and alike[0].at.unit is None:
        messages = dict.fromkeys(f"{one.where}: {one.message}" for one in said)
    return tuple(messages)


def _of_all(alike: Sequence[Finding], of: Finding) -> dict[str, Value]:
    """Values for several, besides those of the worst."""
    parts = dict.fromkeys(one.values.get("part", one.at.part) for one in alike)
    here = of.at.part
    return {
        "count": float(len(alike)),
        "parts": tuple(part for part in parts if isinstance(part, str)),
        **({} if here is None else {"here": here}),
    }


def _ways(
    alike: Sequence[Finding], said: Sequence[Said], speaker: Speaker
) -> tuple[tuple[Way, ...], bool]:
    """The fixes of a group, and whether each finding has its own."""
    if len(alike) == 1:
        return said[0].ways, False
    if all(one.actions == alike[0].actions for one in alike):
        if alike[0].actions:
            return tuple(
                _then(way, at, alike, speaker) for at, way in enumerate(said[0].ways)
            ), False
        return _advice(alike, said, speaker), False
    own: dict[object, list[int]] = {}
    for at, one in enumerate(said):
        for way in one.ways[:1]:
            own.setdefault(way.action or way.text, []).append(at)
    if len(own) == 1 and all(one.actions for one in alike):
        return (_then(said[0].ways[0], 0, alike, speaker),), False
    first = alike.index(worst(alike))
    whose = sorted(own.values(), key=lambda those: first not in those)
    ways = [_for(alike, said, those, speaker) for those in whose]
    # Advice comes after actions.
    advice = [way for way in ways if way.action is None]
    if len(advice) == 1 and len(ways) > 1:
        advice = [replace(advice[0], whose=_OTHERS)]
    return (*(way for way in ways if way.action is not None), *advice), True


def _advice(alike: Sequence[Finding], said: Sequence[Said], speaker: Speaker) -> tuple[Way, ...]:
    """Fix where no action was found: the row's text for several, or that of the worst."""
    of = worst(alike)
    if not _text(of, "several_fix"):
        return said[alike.index(of)].ways
    first = anywhere(_text(of, "several_fix"), speaker, height=of.values.get("right"))
    values = {**_of_all(alike, of), **first}
    return (Way(None, fill_row(of, "several_fix", speaker, values)),)


def _then(way: Way, number: int, alike: Sequence[Finding], speaker: Speaker) -> Way:
    """A fix for several, with its result for the finding that is then the worst."""
    after = [one.values.get("after") for one in alike]
    if not _text(alike[0], "several_then") or not all(isinstance(one, tuple) for one in after):
        return way
    least = worst_after(alike, number)
    reached = least.values["after"]
    assert isinstance(reached, tuple)
    then = fill_row(least, "several_then", speaker, {"after": float(reached[number])})
    return replace(way, then=then)


def _for(
    alike: Sequence[Finding], said: Sequence[Said], whose: Sequence[int], speaker: Speaker
) -> Way:
    """The first fix of some of several; names them if its action names none of their parts."""
    way = said[whose[0]].ways[0]
    if way.action is not None and alike[whose[0]].at.part is not None:
        return way
    names = [_called(alike[at].at, speaker) for at in whose]
    return replace(way, whose=_FOR.format(places=listed(names)))


def _called(at: Place, speaker: Speaker) -> str:
    """Short name of a place: a unit, a part, a branch."""
    if at.unit is None and at.part is not None:
        return speaker.name(at.part)
    return at.unit or speaker.where(at)
