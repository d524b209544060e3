"""A row of the table of codes, with the templates of its sentences."""

from collections.abc import Mapping
from dataclasses import field

from loop.records import dataclass
from loop.words.finding import Level


@dataclass(frozen=True)
class Row:
    """All text of one code.

    ``title`` names the finding in a few words; ``levels`` are its possible levels, gravest first.
    ``message`` says what is wrong and why; ``fix`` what to do if no action was found; ``always``
    what to do in addition to any action; ``instead`` an alternative that is no action, given last;
    ``then`` the result of an action (``after`` in it is that action's own entry of the value of
    that name). ``cases`` hold, by the finding's ``case``, the fields that differ. ``basis`` are
    keys of SOURCES.

    ``several`` is one message for all places, with the values of the worst and their ``count``;
    ``several_then`` the result of an action, with the values of the then worst; ``several_fix``
    replaces ``fix`` where the worst alone does not speak for all.

    Templates name the finding's values in the forms of `loop.words.template` and `Speaker.fill`.
    """

    title: str
    levels: tuple[Level, ...]
    message: str
    fix: str = ""
    always: str = ""
    instead: str = ""
    then: str = ""
    several: str = ""
    several_then: str = ""
    several_fix: str = ""
    basis: tuple[str, ...] = ()
    cases: Mapping[str, Mapping[str, str]] = field(default_factory=dict)

    def text(self, which: str, case: str) -> str:
        """A template for this case; a case may be several, separated by spaces."""
        own: str = getattr(self, which)
        cases = (self.cases.get(one, {}) for one in case.split())
        return next((texts[which] for texts in cases if which in texts), own)
