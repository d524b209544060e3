"""The commonest calls, worked by a thumb that knows only what the card says next.

``python -m tests.card.thumb`` prints the table of taps, entries, swipes and minutes.
"""

import math
import tempfile
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any

import numpy as np

from loop.diagnose.action_probabilities import action_probabilities
from loop.diagnose.actions import BY_NAME
from loop.diagnose.hypotheses import Study
from loop.diagnose.readings import Readings
from loop.diagnose.simulate import simulate
from loop.units import System, parse, show
from loop.words import faults as words
from loop.words.diagnosis import SAY
from loop.words.had import ALL
from loop.words.to_do import ROWS
from tests.browser import Phone, browser
from tests.card.conftest import make
from tests.said import leads_with, pattern

# Steps after which a technician gives up on a card.
PATIENCE = 14
# A cure with less than this chance is assumed not to work.
_CURES = 0.5
# How far a swipe moves, as a share of the screen's height.
_SWIPE = 0.6


@dataclass(frozen=True)
class Trouble:
    """A call: what the customer says, and what is wrong."""

    said: str
    fault: str
    severity: float
    where: str | None = None
    job: str = "kittiwake"


TROUBLES = {
    "trips at noon only": Trouble("Trips at noon only", "sea-warm", 5.0),
    "weak since haul-out": Trouble("Since haul-out", "seacock-partly-shut", 0.8),
    "air-bound after the strainer was cleaned": Trouble(
        "Since the strainer was cleaned", "pump-air-bound", 1.0
    ),
    "works at the dock, trips under way": Trouble(
        "Works at the dock, not under way", "intake-air", 0.6
    ),
    "hums, no flow": Trouble("Suddenly", "pump-jammed", 1.0),
    "one of three cabins short": Trouble(
        "Only one of several units", "branch-air", 0.9, "branch saloon", "three cabins"
    ),
    "slow decline over two seasons": Trouble("Slow over two seasons", "condenser-scaled", 0.1),
    "new pump, still weak": Trouble("New pump", "wrong-pump", 0.5),
}


@dataclass
class Thumb:
    """The cost of a call; ``line`` is the card's last, ``way`` the steps."""

    phone: Phone
    taps: int = 0
    entries: int = 0
    swipes: int = 0
    minutes: float = 0.0
    line: str = ""
    way: list[str] = field(default_factory=list)

    def tap(self, target: Any) -> None:
        """Touches an element, after swipes until it is seen above the bar."""
        top = target.evaluate("""(one) => {
          const box = one.getBoundingClientRect();
          const bar = document.getElementById("bar").getBoundingClientRect();
          const off = Math.max(0, box.bottom - bar.top, -box.top);
          return one.closest("#bar") ? 0 : off / innerHeight;
        }""")
        self.swipes += math.ceil(top / _SWIPE)
        target.tap()
        self.taps += 1

    def view(self, name: str) -> None:
        """Goes to a view by its tab."""
        self.tap(self.phone.page.locator("#bar").get_by_role("button", name=name, exact=True))
        self.line = self.phone.settled()


class Boat:
    """Readings and findings of a call's loop, as it is and once it is fixed."""

    def __init__(self, study: Study, trouble: Trouble) -> None:
        self.study, self.trouble, self.cured = study, trouble, False
        owner = next(
            number
            for number, one in enumerate(study.instances)
            if one.name == trouble.fault and trouble.where in (None, one.where)
        )
        rows = np.flatnonzero(study.owner == owner)
        self.row = rows[np.abs(study.severity[rows, 0] - trouble.severity).argmin()]
        job, rng = study.instruments.job, np.random.default_rng(7)
        self.well = self._seen(simulate(job, "healthy", 0.0, rng), study.healthy)
        # Nothing shows of this one at the dock.
        self.ill = self.well
        if trouble.fault != "intake-air":
            ill = simulate(job, trouble.fault, trouble.severity, rng, trouble.where)
            self.ill = self._seen(ill, self.row)

    def _seen(self, readings: Readings, row: int) -> Readings:
        """With the likeliest words."""
        likeliest = {
            column.key: column.kind.choices[int(self.study.words[column.key][row].argmax())]
            for column in self.study.instruments.words
        }
        return replace(readings, words=likeliest)

    @property
    def now(self) -> Readings:
        return self.well if self.cured else self.ill

    def answer(self, action: str) -> str:
        """What an action shows; it may fix the loop."""
        one = BY_NAME[action]
        found = action_probabilities(self.study, one)
        row = self.study.healthy if self.cured else self.row
        said = one.answers[0 if found.first[row] > 0.5 else 1]
        self.cured = self.cured or bool(found.cure[row, 0] > _CURES)
        return said


def work(phone: Phone, study: Study, trouble: Trouble) -> Thumb:
    """Enters what the customer said, then follows the card until it names the fault."""
    thumb, boat = Thumb(phone), Boat(study, trouble)
    phone.settled()
    thumb.tap(phone.page.locator("#view-call").get_by_role("button", name=trouble.said, exact=True))
    thumb.view("Answer")
    while len(thumb.way) < PATIENCE:
        if found(thumb.line, trouble):
            break
        _next(thumb, boat)
    return thumb


def found(line: str, trouble: Trouble) -> bool:
    """Whether the card's line says what is wrong, or what has fixed it.

    After an order to switch off, if there is one.
    """
    ordered = pattern(SAY, "headline-hums").fullmatch(line)
    mended = pattern(SAY, "headline-done").fullmatch(line)
    if mended:
        cures = [one for one in BY_NAME.values() if one.cure_probability(trouble.fault) > _CURES]
        return mended["done"] in [ALL.text(ROWS[one.name].title) for one in cures]
    return leads_with(ordered["said"] if ordered else line, words.title(trouble.fault))


def _next(thumb: Thumb, boat: Boat) -> None:
    """The first step of the answer."""
    page = thumb.phone.page
    under_way = page.get_by_role("button", name="Readings under way", exact=True)
    if under_way.count():
        _at_speed(thumb, boat, under_way)
        return
    first = page.locator("article").first
    key = first.get_attribute("data-step")
    thumb.way.append(key)
    if "action" in (first.get_attribute("class") or ""):
        thumb.minutes += BY_NAME[key].minutes
        said = boat.answer(key)
        thumb.tap(first.get_by_role("button", name=said[:1].upper() + said[1:], exact=True))
    else:
        bench = boat.study.instruments
        column = next(c for c in (*bench.columns, *bench.words) if c.key == key)
        thumb.minutes += column.kind.minutes
        if key in boat.now.words:
            word = boat.now.words[key]
            shown = SAY.rows.get(f"button-{word}", word)
            thumb.tap(first.get_by_role("button", name=shown[:1].upper() + shown[1:], exact=True))
        elif column.kind.tool == "bucket":
            seconds = parse("1 gal", "volume") / boat.now.numbers[key].value
            for _ in range(2):
                stopwatch = page.locator(f'article[data-step="{key}"] .big')
                thumb.tap(stopwatch)
                thumb.phone.context.clock.fast_forward(int(seconds * 1000))
                thumb.tap(stopwatch)
                thumb.phone.settled()
                thumb.phone.context.clock.fast_forward(1000)
        else:
            _type(thumb, first, boat, key)
    thumb.line = thumb.phone.settled()


def _at_speed(thumb: Thumb, boat: Boat, button: Any) -> None:
    """The stream and the unit with the boat at speed."""
    thumb.tap(button)
    place = thumb.phone.page.locator("#under-way")
    for key in ("stream", "unit"):
        column = next(c for c in boat.study.instruments.words if c.key == key)
        word = column.kind.choices[int(boat.study.under_way.words[key][boat.row].argmax())]
        thumb.tap(
            place.locator(".field", has_text=key.capitalize()).get_by_role(
                "button", name=SAY.rows.get(f"button-{word}", word).capitalize(), exact=True
            )
        )
        thumb.minutes += column.kind.minutes
        thumb.way.append(f"{key} under way")
    thumb.view("Answer")


def _type(thumb: Thumb, card_of_step: Any, boat: Boat, key: str) -> None:
    system: System = boat.study.instruments.job.units
    quantity = next(c.kind.quantity for c in boat.study.instruments.columns if c.key == key)
    field = card_of_step.locator("input").first
    thumb.tap(field)
    thumb.entries += 1
    field.fill(show(boat.now.numbers[key].value, quantity, system).split(" ")[0])
    field.blur()


def _table() -> None:
    print(
        "| call | taps | of them to type | swipes | minutes | the card's line at the end | steps |"
    )
    print("| --- | --- | --- | --- | --- | --- | --- |")
    with tempfile.TemporaryDirectory() as folder, browser() as chromium:
        for name, trouble in TROUBLES.items():
            made = make(trouble.job, Path(folder))
            phone = Phone(chromium, made.file, clock=True)
            one = work(phone, made.study, trouble)
            phone.close()
            cells = (name, one.taps, one.entries, one.swipes, f"{one.minutes:g}", one.line)
            print(f"| {' | '.join(map(str, cells))} | {', '.join(one.way)} |")


if __name__ == "__main__":
    _table()
