"""What a job sheet says, before it becomes a page: texts ready to be read, in the job's units."""

from dataclasses import replace

from loop.check import CheckResult
from loop.records import dataclass
from loop.words import Told, told
from loop.words.job_sheet import SAY

# Findings that go beside the drawing in the larger type.
_MANY = 4
# Findings with which the first page of paper runs over.
_LONG = 8


@dataclass(frozen=True)
class Fact:
    """One thing worth knowing at a glance, and its name."""

    name: str
    value: str


@dataclass(frozen=True)
class UnitRow:
    """One air-conditioning unit: what it needs, what it gets, and what comes of it.

    ``state`` says whether as found or as fixed, where something is changed, and on what condition
    its flow is one; ``rest`` is what it gets with the boat at rest, "" where her speed changes
    nothing.
    """

    name: str
    state: str
    need: str
    flow: str
    band: str
    rest: str
    rise: str
    condensing: str


@dataclass(frozen=True)
class Item:
    """One line of what the loop takes: how many or how much, of what, and in which size.

    ``new`` is how much of it the loop as found does not have, "" where it has all; ``new_note`` is
    the note where no more than that is bought, "" where it is the same.
    """

    count: str
    what: str
    size: str
    note: str = ""
    new: str = ""
    new_note: str = ""

    @property
    def bought(self) -> "Item":
        """The line of what the loop as found does not have."""
        note = self.new_note or self.note
        return replace(self, count=self.new, note=note, new="", new_note="")

    @property
    def remark(self) -> str:
        """The note, with whether the line is proposed, or how much of it."""
        if not self.new:
            return self.note
        part = None if self.new == self.count else self.new
        return SAY("buy-proposed", count=part, note=self.note or None)


@dataclass(frozen=True)
class Reading:
    """One line of the commissioning card: what to measure, and what a healthy loop shows."""

    name: str
    how: str
    expected: str
    healthy: str
    note: str = ""


@dataclass(frozen=True)
class CardGroup:
    """Readings that are taken at one place, such as the pump or, where `unit`, one of the units."""

    place: str
    readings: tuple[Reading, ...]
    unit: bool = False


@dataclass(frozen=True)
class Basis:
    """A statement and what it rests on: a source, or whose estimate it is."""

    what: str
    on: str


@dataclass(frozen=True)
class Inputs:
    """What a result was computed from, so that it can be repeated: TOML text, and its fingerprint.

    ``pump`` is the pump's file, empty for a pump of the catalogue, which the version stands for.
    ``digest`` is the start of the SHA-256 of the job's text and the pump's.
    """

    job: str
    pump: str
    digest: str


@dataclass(frozen=True)
class Sheet:
    """One job sheet. Every renderer shows all of it, nearly in this order.

    Verdict and findings are those of the loop as it stands, ``result``; what is bought, drawn and
    started is the loop as ``fixed``, after ``changes``; the units have a row of each. So is its
    card, which waits where a danger or a fault is to be fixed first. Where no changes leave it
    without danger and fault, all is of the loop as it stands, and ``waits`` says that it is not to
    be bought nor started.
    """

    result: CheckResult
    fixed: CheckResult
    changes: tuple[str, ...]
    waits: str
    title: str
    verdict: str
    verdict_line: str
    by_hand: tuple[str, ...]
    facts: tuple[Fact, ...]
    units: tuple[UnitRow, ...]
    items: tuple[Item, ...]
    items_note: str
    figure_text: str
    card: tuple[CardGroup, ...]
    card_note: str
    blanks: tuple[str, ...]
    steps: tuple[str, ...]
    cleaning: tuple[str, ...]
    sources: tuple[Basis, ...]
    estimates: tuple[Basis, ...]
    inputs: Inputs
    version: str

    @property
    def to_buy(self) -> tuple[Item, ...]:
        """What the fixes take that the loop as found does not have."""
        return tuple(item.bought for item in self.items if item.new)

    @property
    def card_waits(self) -> str:
        """Why there is no card yet."""
        if self.changes:
            return SAY("card-waits-for-steps")
        return SAY("card-waits")

    @property
    def found(self) -> str:
        """What goes after the heading of what is told of the loop as it stands."""
        return SAY("of-state", state=SAY("as-found")) if self.changes else ""

    @property
    def mended(self) -> str:
        """The same of the loop as fixed."""
        return SAY("of-state", state=SAY("as-fixed")) if self.changes else ""

    @property
    def several(self) -> bool:
        """Whether the loop serves more than one unit, so that their readings stand side by side."""
        return len(self.result.condensers) > 1

    @property
    def findings(self) -> tuple[Told, ...]:
        """The findings; those that differ in their place alone once, with all of their places."""
        return told(self.result.findings, self.result.job)

    @property
    def crowded(self) -> bool:
        """Whether there is so much to say that paper needs a smaller type."""
        return self.several or len(self.findings) > _MANY

    @property
    def long(self) -> bool:
        """Whether the first page of paper runs over, so that what is next follows on its heels."""
        return len(self.findings) > _LONG
