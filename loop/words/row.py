"""A row of the table of codes, and the templates in which its sentences are written."""

from collections.abc import Mapping
from dataclasses import field

from loop.records import dataclass
from loop.words.finding import Level


@dataclass(frozen=True)
class Row:
    """All words of one code.

    ``title`` names the finding in a few words; ``levels`` are those that it may have, the gravest
    first. ``message`` says what is wrong and why; ``fix`` what to do where no action was found;
    ``always`` what to do besides, whatever the actions; ``instead`` a way that no action has, after
    those that do; ``then`` what an action leads to (``after``
    in it is that action's own number of the value of that name). Where a finding has a ``case``,
    ``cases`` hold what differs in it, by the names of these fields. ``basis`` are keys of SOURCES.

    ``several`` says the message once for all places where it is so, with the values of the worst of
    them and ``count`` how many there are; ``several_then`` what an action leads to there, with the
    values of the one that then is the worst; ``several_fix`` stands for ``fix``, where that is not
    as well said of the worst alone.

    Templates name the finding's values, as `loop.words.template` and `Speaker.fill` show them.
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
        """One of the templates, as the case has it; a case may be several, parted by spaces."""
        own: str = getattr(self, which)
        cases = (self.cases.get(one, {}) for one in case.split())
        return next((texts[which] for texts in cases if which in texts), own)
