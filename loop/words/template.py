"""Sentences with blanks: the one place where values become text and numbers are rounded.

``{name}`` is text as it is; ``{flow:flow}`` a number [SI] shown as that quantity in the reader's
units; ``{head:head.2}`` with that many decimals; ``{depth:height.up}`` rounded ``up`` or ``down``,
or to its first digit (``significant``); ``{speed:velocity|most}`` with enough digits to tell it
from `most`, ``{flow:flow.bare|needed}`` the same without the unit that follows `needed`;
``{factor:number.2}`` a plain number; ``{count:counted}`` six; ``{units:list}`` several texts. Text
in square brackets is left out if one of its values is missing; elsewhere NaN is a dash.
"""

import re
from collections.abc import Callable, Mapping, Sequence
from functools import cached_property
from typing import NamedTuple, TypeAlias

from loop.units import System, unitless
from loop.words.numbers import apart, digits, round_down, round_up, said, significant, spoken

Value: TypeAlias = float | str | tuple[str, ...] | tuple[float, ...]
Fact: TypeAlias = float | str
Facts: TypeAlias = Mapping[str, Fact]

_OPTIONAL = re.compile(r"\[([^\[\]]*\{[^\[\]]*)\]")
BLANK = re.compile(r"\{(\w+)(?:\+(\w+))?(?::(\w+)(?:\.(\w+))?(?:\|(\w+))?)?\}")


# Counts that are written out: common practice in print.
_COUNTS = (
    "no", "one", "two", "three", "four", "five", "six",
    "seven", "eight", "nine", "ten", "eleven", "twelve",
)  # fmt: skip


class Blank(NamedTuple):
    """One blank: the value's name, a paired value, and its format."""

    name: str
    other: str | None
    quantity: str | None
    how: str | None
    against: str | None


def fill(
    template: str,
    values: Mapping[str, Value],
    system: System,
    own: Callable[[Blank], str | None] = lambda blank: None,
) -> str:
    """Fill a template; `own` may give the text of a blank instead.

    >>> fill("{name} gets {flow:flow}[, or {head:head.2}]", {"name": "A", "flow": 2e-4}, "si")
    'A gets 12.0 L/min'
    """

    def kept(match: re.Match[str]) -> str:
        names = [name for found in BLANK.findall(match[1]) for name in found[:2] if name]
        return match[1] if all(name in values for name in names) else ""

    def text(match: re.Match[str]) -> str:
        blank = Blank(*match.groups())
        found = own(blank)
        return _text(blank, values, system) if found is None else found

    return BLANK.sub(text, _OPTIONAL.sub(kept, template))


def _text(blank: Blank, values: Mapping[str, Value], system: System) -> str:
    value = values[blank.name]
    if isinstance(value, str):
        return value
    if isinstance(value, tuple):
        return listed([str(one) for one in value])
    if blank.quantity is None:
        return f"{value:g}"
    if blank.quantity == "number":
        return f"{value:.{blank.how}f}"
    if blank.quantity == "counted":
        return counted(int(value))
    if blank.against is not None:
        compared = values[blank.against]
        assert isinstance(compared, float)
        shown = apart(value, compared, blank.quantity, system)[0]
        bare = blank.how == "bare"
        return unitless(shown, blank.quantity, system) if bare else shown
    return rounded(value, blank.quantity, blank.how, system)


def rounded(value: float, quantity: str, how: str | None, system: System) -> str:
    """A number [SI] as text, rounded as `how` of a blank says."""
    if how == "significant":
        return significant(value, quantity, system)
    if how in ("up", "down"):
        whole = (round_up if how == "up" else round_down)(value, quantity, system)
        return spoken(whole, quantity, system, digits(whole, quantity, system))
    if how is None:
        return said(value, quantity, system)
    return spoken(value, quantity, system, int(how))


def counted(number: int) -> str:
    """A count as written in a sentence.

    >>> counted(6), counted(24)
    ('six', '24')
    """
    return _COUNTS[number] if 0 <= number < len(_COUNTS) else str(number)


def listed(texts: Sequence[str], before_last: str = "and") -> str:
    """Texts joined with commas and `before_last`.

    >>> listed(["a", "b", "c"])
    'a, b and c'
    """
    *most, last = texts
    return f"{', '.join(most)} {before_last} {last}" if most else last


def capital(text: str) -> str:
    """The text with its first letter capitalized."""
    return text[:1].upper() + text[1:]


class Sayings:
    """The sentences of one subject, by name; each is a template.

    `read` gives them when the first is said: a command needs few of the subjects that it imports.
    """

    def __init__(self, read: Callable[[], Mapping[str, str]]) -> None:
        self._read = read

    @cached_property
    def rows(self) -> Mapping[str, str]:
        """The templates."""
        return self._read()

    def __call__(self, row: str, system: System = "si", /, **values: Value | None) -> str:
        """Fill a row; None and NaN count as missing.

        >>> say = Sayings(lambda: {"a": "{x:number.1} m[, {y:number.1} m]"})
        >>> say("a", x=float("nan"), y=float("nan"))
        '— m'
        """
        template = self.rows[row]
        given = {
            name: value for name, value in values.items() if value is not None and value == value
        }
        must = {found[0] for found in BLANK.findall(_OPTIONAL.sub("", template))}
        dashes = {name: "—" for name in must & values.keys() if values[name] != values[name]}
        return fill(template, {**given, **dashes}, system)
