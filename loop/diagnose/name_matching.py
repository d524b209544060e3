"""Resolves names as people write them: of tools, faults, actions, statements."""

import re
from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from loop.diagnose.action import CallAction
from loop.diagnose.action_names import ANSWERS, IN_FILES
from loop.diagnose.actions import ACTIONS
from loop.diagnose.faults import BY_NAME
from loop.diagnose.reading_kinds import TOOLS
from loop.mistakes import most_like
from loop.words.diagnosis import SAY

# Synonyms of tools; "" for one that everybody has, or for none.
TOOLS_ALSO: dict[str, str] = {
    "none": "",
    "nothing": "",
    "stopwatch": "",
    "multimeter": "meter",
    "clamp meter": "meter",
    "voltmeter": "meter",
    "ammeter": "meter",
    "pressure gauge": "gauge",
    "vacuum gauge": "gauge",
    "compound gauge": "gauge",
    "unit's display": "display",
    "probe thermometer": "thermometer",
    "infrared thermometer": "thermometer",
    "clamp-on flow meter": "flow meter",
    "ultrasonic flow meter": "flow meter",
    "flowmeter": "flow meter",
    "watt meter": "wattmeter",
}
# Words that turn an answer into its opposite.
_TURNS = frozenset({"no", "not", "nothing", "hardly", "cannot"})


def parse_tools(value: Any, problems: list[str]) -> tuple[str, ...]:
    """Tools from "bucket, thermometer" or a list; appends mistakes to `problems`."""
    texts = re.split(r"[,;]| and ", value) if isinstance(value, str) else value
    if not isinstance(texts, list | tuple):
        texts = [texts]
    known: dict[str, str] = {tool: tool for tool in TOOLS}
    known |= {f"{tool}s": tool for tool in TOOLS}
    known |= TOOLS_ALSO
    found = []
    for text in (str(text) for text in texts if str(text).strip()):
        wrong: list[str] = []
        plain = re.sub(r"^\s*(?:an?|the)\s+", "", text, flags=re.IGNORECASE)
        found.append(match_name(plain, known, "tools", wrong))
        if wrong:
            problems.append(SAY("wrong-tools", text=repr(text[:60]), known=", ".join(TOOLS)))
    return tuple(dict.fromkeys(tool for tool in found if tool))


def parse_action(text: str, problems: list[str], where: str = "did") -> CallAction | None:
    """The action that a file means by either of its names; None, and a mistake, if unknown."""
    known = {action.name: action.name for action in ACTIONS}
    known |= {IN_FILES[action.name]: action.name for action in ACTIONS}
    name = match_name(text, known, where, problems)
    return next((action for action in ACTIONS if action.name == name), None)


def answer_synonyms(action: CallAction) -> dict[str, str]:
    """Synonyms of an action's answers, each with the answer that it means."""
    words = ANSWERS.get(action.name, ((), ()))
    pairs = zip(words, action.answers, strict=True)
    return {word: answer for some, answer in pairs for word in some}


def answer_with(text: str, answers: Sequence[str]) -> str:
    """The one answer that has these words, unless they leave out one that turns it round.

    >>> answer_with("jammed", ("damaged or jammed", "sound")), answer_with("change", ("no change",))
    ('damaged or jammed', 'change')
    """
    words = _spelled(text)
    meant = [
        one
        for one, plain in zip(answers, map(_spelled, answers), strict=True)
        if f" {words} " in f" {plain} " and not ({*plain.split()} - {*words.split()}) & _TURNS
    ]
    return meant[0] if words and len(meant) == 1 else text


def match_name(
    text: str,
    known: Mapping[str, Any],
    where: str,
    problems: list[str],
    listed: Iterable[str] | None = None,
    guess: bool = True,
) -> str:
    """The known spelling that a text means; "" and a mistake if none.

    ``listed`` : names shown in the mistake, default all. With `guess` only the nearest is shown;
    not for answers, where a similar spelling may mean the opposite.
    """
    plain = {_spelled(key): key for key in known}
    wanted = _spelled(text)
    if wanted in plain:
        value = known[plain[wanted]]
        return value if isinstance(value, str) else plain[wanted]
    near = most_like(wanted, plain)
    begun = [key for key in plain if key.startswith(wanted) or wanted.startswith(key)]
    if len(begun) == 1:
        return match_name(plain[begun[0]], known, where, problems)
    hint = SAY("wrong-one-of", known="; ".join(known if listed is None else listed))
    if near and guess:
        hint = SAY("wrong-meant", near=repr(plain[near]))
    problems.append(SAY("wrong", where=where, text=repr(text[:60]), hint=hint))
    return ""


def _spelled(text: str) -> str:
    """A name without capitals, hyphens and other marks."""
    return " ".join(re.sub(r"[-_:,]", " ", text.lower()).split())


def parse_fault(text: str) -> str:
    """The name of the fault or pair that a text means; "" for none.

    >>> parse_fault("Pump worn"), parse_fault("pump-worn+sea warm"), parse_fault("?")
    ('pump-worn', 'pump-worn + sea-warm', '')
    """
    names = ["-".join(one.lower().replace("-", " ").split()) for one in text.split("+")]
    return " + ".join(names) if set(names) <= BY_NAME.keys() else ""
