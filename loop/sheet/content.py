"""Content of a job sheet, independent of its layout: finished texts in the job's units."""

from dataclasses import replace

from loop.check import CheckResult
from loop.records import dataclass
from loop.words import Told, told
from loop.words.job_sheet import SAY

# Findings that fit beside the drawing in the larger type.
_MANY = 4
# With more findings than this, the first printed page overflows.
_LONG = 8


@dataclass(frozen=True)
class Fact:
    """A fact to see at a glance, and its name."""

    name: str
    value: str


@dataclass(frozen=True)
class UnitRow:
    """One air-conditioning unit: its need, its flow, and the resulting temperatures.

    ``state`` says "as found" or "as fixed" if anything is changed, and the condition under which
    the flow applies. ``rest`` is the flow with the boat at rest, "" if speed makes no difference.
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
    """One line of the parts list: how many or how much, of what, in which size.

    ``new`` is how much of it the loop as found lacks, "" if none. ``new_note`` replaces the note if
    only that is bought, "" to keep the note.
    """

    count: str
    what: str
    size: str
    note: str = ""
    new: str = ""
    new_note: str = ""

    @property
    def bought(self) -> "Item":
        """The line for the part that the loop as found lacks."""
        note = self.new_note or self.note
        return replace(self, count=self.new, note=note, new="", new_note="")

    @property
    def remark(self) -> str:
        """The note, marked as proposed if any of the line is new, with how much if not all."""
        if not self.new:
            return self.note
        part = None if self.new == self.count else self.new
        return SAY("buy-proposed", count=part, note=self.note or None)


@dataclass(frozen=True)
class Reading:
    """One line of the commissioning card: what to measure, and what a healthy loop reads."""

    name: str
    how: str
    expected: str
    healthy: str
    note: str = ""


@dataclass(frozen=True)
class CardGroup:
    """Readings taken in one place: the pump, a discharge or, if `unit`, a unit."""

    place: str
    readings: tuple[Reading, ...]
    unit: bool = False


@dataclass(frozen=True)
class Basis:
    """A statement and its basis: a published source, or whose estimate it is."""

    what: str
    on: str


@dataclass(frozen=True)
class Inputs:
    """The inputs of a result, so that it can be repeated: TOML text and its fingerprint.

    ``pump`` is the pump's file; empty for a catalogue pump, which the program's version identifies.
    ``digest`` is the start of the SHA-256 of the job's text and the pump's.
    """

    job: str
    pump: str
    digest: str


@dataclass(frozen=True)
class Sheet:
    """One job sheet. Every renderer shows all of it, in nearly this order.

    Verdict and findings are those of the loop as it stands, ``result``. Parts, drawing, start-up
    and card are those of the loop as ``fixed``, after ``changes``; each unit has a row for both.
    The card waits while a danger or fault must be fixed first. If no changes clear every danger and
    fault, everything describes the loop as it stands, and ``waits`` says not to buy or start
    anything.
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
        """Parts for the fixes that the loop as found lacks."""
        return tuple(item.bought for item in self.items if item.new)

    @property
    def card_waits(self) -> str:
        """Why the sheet has no card yet."""
        if self.changes:
            return SAY("card-waits-for-steps")
        return SAY("card-waits")

    @property
    def found(self) -> str:
        """Suffix of a heading for the loop as it stands; "" if nothing is changed."""
        return SAY("of-state", state=SAY("as-found")) if self.changes else ""

    @property
    def mended(self) -> str:
        """Suffix of a heading for the loop as fixed; "" if nothing is changed."""
        return SAY("of-state", state=SAY("as-fixed")) if self.changes else ""

    @property
    def several(self) -> bool:
        """Whether the loop serves more than one unit, so their readings go side by side."""
        return len(self.result.condensers) > 1

    @property
    def findings(self) -> tuple[Told, ...]:
        """The findings; those that differ only in place are merged, with all their places."""
        return told(self.result.findings, self.result.job)

    @property
    def crowded(self) -> bool:
        """Whether the printed sheet needs smaller type for its content."""
        return self.several or len(self.findings) > _MANY

    @property
    def long(self) -> bool:
        """Whether the first printed page overflows, so the next section follows directly."""
        return len(self.findings) > _LONG
