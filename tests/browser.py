"""A headless browser that opens a card as a phone does: from a file, without a network."""

import os
import shutil
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

# Headless without window decorations it starts and draws faster.
_NAMES = ("chromium-headless-shell", "chromium", "chromium-browser", "google-chrome")
CHROMIUM = os.environ.get("LOOP_CHROMIUM") or next(filter(None, map(shutil.which, _NAMES)), None)
_FLAGS = (
    "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run",
    "--disable-background-networking", "--disable-component-update", "--disable-sync",
)  # fmt: skip


def missing() -> str:
    """Why no browser can be used here; "" if one can."""
    try:
        import playwright.sync_api  # noqa: F401
    except ImportError:
        return "playwright for Python is not installed"
    return "" if CHROMIUM else "no chromium on this machine (Debian: apt install chromium)"


@contextmanager
def browser() -> Iterator[Any]:
    """A browser, closed at the end."""
    from playwright.sync_api import sync_playwright

    with sync_playwright() as driver:
        found = driver.chromium.launch(executable_path=CHROMIUM, args=list(_FLAGS))
        try:
            yield found
        finally:
            found.close()


# New steps ignore touches for half a second, which a test need not wait for.
_AT_ONCE = """addEventListener("DOMContentLoaded", () => {
  const sheet = new CSSStyleSheet();
  sheet.replaceSync(".step { animation: none; }");
  document.adoptedStyleSheets = [...document.adoptedStyleSheets, sheet];
})"""


class Phone:
    """A card opened on a phone; ``trouble`` collects errors and any network requests.

    If ``guarded``, steps that have just appeared ignore touches, as on a real phone.
    """

    def __init__(
        self,
        browser: Any,
        file: Path,
        width: int = 390,
        clock: bool = False,
        before: str = "",
        guarded: bool = False,
        **more: Any,
    ) -> None:
        self.context = browser.new_context(
            viewport={"width": width, "height": 780}, has_touch=True, **more
        )
        if clock:
            self.context.clock.install()
        for script in (before, "" if guarded else _AT_ONCE):
            if script:
                self.context.add_init_script(script)
        self.context.set_offline(True)
        self.context.set_default_timeout(15_000)
        self.file = file
        self.trouble: list[str] = []
        self.page = self.opened()

    def opened(self) -> Any:
        """The card in its own page, with stored data from before."""
        page = self.context.new_page()
        page.on("console", lambda m: m.type == "error" and self.trouble.append(m.text))
        page.on("pageerror", lambda error: self.trouble.append(str(error)))
        page.on("request", lambda r: self._asked(r.url))
        page.goto(self.file.as_uri())
        return page

    def _asked(self, url: str) -> None:
        if not url.startswith((self.file.as_uri(), "blob:", "data:")):
            self.trouble.append(f"asked for {url}")

    def reopened(self) -> None:
        """Closed midway, and opened again."""
        self.page.close()
        self.page = self.opened()

    def settled(self) -> str:
        """The line that is always visible, once the answer is there."""
        self.page.wait_for_selector('#strip[data-state="next"]')
        return str(self.page.inner_text("#strip"))

    def tap(self, name: str, within: str = "main") -> None:
        """Touches the button with that name in the current view."""
        place = self.page.locator(within)
        place.get_by_role("button", name=name, exact=True).filter(visible=True).first.tap()

    def begin_again(self) -> None:
        """Ends the call in the office view; the second touch is late enough not to be a bounce."""
        self.tap("Begin a new call")
        self.page.wait_for_timeout(300)
        self.tap("Yes, begin a new call")

    def press(self, name: str) -> None:
        """Moves to the button with that name by the Tab key alone, and presses it."""
        for _ in range(200):
            self.page.keyboard.press("Tab")
            if self.page.evaluate("document.activeElement.textContent") == name:
                self.page.keyboard.press("Enter")
                return
        raise AssertionError(f"no way by keys to {name}")

    def type(self, label: str, text: str) -> None:
        """Types into a field of the current view, and leaves it."""
        field = self.page.get_by_label(label, exact=True).filter(visible=True).first
        field.fill(text)
        field.blur()

    def tap_start(self) -> None:
        """Touches the stopwatch."""
        self.page.locator("#view-call .big").first.tap()

    def fill_bucket(self, seconds: float) -> None:
        """Times a bucket that takes this long, on a simulated clock."""
        self.context.clock.fast_forward(1000)
        self.tap_start()
        self.context.clock.fast_forward(int(seconds * 1000))
        self.tap_start()

    def do(self, title: str, saw: str) -> None:
        """Does one of the next steps, and enters what was seen."""
        card = self.page.locator("article", has=self.page.get_by_role("heading", name=title))
        if card.count() == 0:
            self.page.get_by_role("button", name="All").tap()
        card.get_by_role("button", name=saw, exact=True).tap()
        self.settled()

    def view(self, name: str) -> None:
        """Goes to a view by its tab."""
        self.tap(name, "#bar")
        self.settled()

    def overflow(self) -> list[str]:
        """Elements that extend beyond the sides of the screen."""
        found: list[str] = self.page.evaluate(
            """() => [...document.querySelectorAll("body *")].filter((one) => {
              const box = one.getBoundingClientRect();
              return box.width > 0 && (box.right > innerWidth + 1 || box.left < -1);
            }).map((one) => `${one.tagName}.${one.className}: ${one.textContent.slice(0, 40)}`)"""
        )
        return found

    def close(self) -> None:
        """Closes it."""
        self.context.close()
