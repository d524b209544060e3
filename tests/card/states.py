"""Every state of a card's screens, one after another: for tests, and for viewing.

``python -m tests.card.states guillemot FOLDER`` writes a picture of each, at three
widths, light and dark.
"""

import sys
from collections.abc import Iterator
from pathlib import Path

from loop.words.template import capital
from loop.words.to_do import DOING
from tests.browser import Phone, browser
from tests.card.conftest import make

# A small screen, a usual one, a tablet.
WIDTHS = (320, 390, 768)
SCHEMES = ("light", "dark")
_OPEN = "document.querySelectorAll('details').forEach((one) => { one.open = true; })"


def states(phone: Phone) -> Iterator[str]:
    """Takes a card of two units through its states; yields the name of each as it is shown."""
    phone.settled()
    yield "begun"
    phone.tap_start()
    yield "stopwatch"
    phone.context.clock.fast_forward(31_000)
    phone.tap_start()
    for answer in ("Weak", "Works at the dock, not under way", "A pressure gauge",
                   "A multimeter or clamp meter", "A wattmeter"):  # fmt: skip
        phone.tap(answer)
    phone.page.evaluate(_OPEN)
    phone.type("Sea temperature", "fast")
    phone.settled()
    yield "asked"
    phone.view("Answer")
    yield "undecided"
    phone.page.get_by_role("button", name="All").tap()
    phone.page.evaluate(_OPEN)
    yield "all steps"
    phone.do(capital(DOING["clean-basket"].title), "Dirty")
    yield "done"
    phone.view("Ask")
    yield "read again"
    phone.tap("Strong")
    phone.fill_bucket(9)
    phone.view("Answer")
    yield "fixed"
    phone.view("Loop")
    yield "loop"
    phone.view("Office")
    yield "office"
    phone.tap("Begin a new call")
    yield "sure"
    phone.reopened()
    phone.settled()
    yield "resumed"
    phone.begin_again()
    phone.settled()
    phone.view("Ask")
    phone.type("Pump inlet pressure", "10")
    phone.type("Pump outlet pressure", "90")
    phone.view("Answer")
    yield "nothing fits"


def _pictures(name: str, folder: Path) -> None:
    folder.mkdir(parents=True, exist_ok=True)
    file = make(name, folder).file
    with browser() as chromium:
        for width in WIDTHS:
            for scheme in SCHEMES:
                phone = Phone(chromium, file, width, clock=True, color_scheme=scheme)
                for number, state in enumerate(states(phone)):
                    picture = folder / f"{width}-{scheme}-{number:02}-{state.replace(' ', '-')}.png"
                    phone.page.screenshot(path=picture, full_page=True)
                phone.close()


if __name__ == "__main__":
    _pictures(sys.argv[1], Path(sys.argv[2]))
