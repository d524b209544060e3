"""Whatever is tapped and typed, on any phone, nothing breaks."""

from pathlib import Path
from typing import Any

import pytest

from loop.words.diagnosis import SAY
from tests.browser import Phone

_FUZZ = (Path(__file__).parent / "fuzz.js").read_text(encoding="utf-8")
DENIED = """Object.defineProperty(window, "localStorage", {
  get() { throw new DOMException("denied", "SecurityError"); } });"""
PHONES = {
    "usual": "",
    "storage denied": DENIED,
    "storage full": """let kept = 0; const put = Storage.prototype.setItem;
      Storage.prototype.setItem = function (...given) {
        if ((kept += 1) > 30) throw new DOMException("full", "QuotaExceededError");
        put.apply(this, given);
      };""",
    "clock that jumps": """const real = Date.now; let ahead = 0;
      Date.now = () => real() + (ahead += 60_000);""",
}


def expect_unbroken(chromium: Any, file: Path, before: str, taps: int, seeds: range) -> None:
    """Taps at random; between two seeds the page is closed and opened again."""
    phone = Phone(chromium, file, before=before)
    phone.settled()
    for seed in seeds:
        assert phone.page.evaluate(_FUZZ, {"taps": taps, "seed": seed}) == taps
        phone.reopened()
        phone.settled()
        assert phone.trouble == [], f"seed {seed}"
    phone.close()


@pytest.mark.parametrize("kind", ["usual", "storage full"])
def test_whatever_is_tapped_nothing_breaks(kind: str, made: Any, chromium: Any) -> None:
    expect_unbroken(chromium, made("kittiwake").file, PHONES[kind], 75, range(7, 8))


@pytest.mark.extended
@pytest.mark.parametrize("kind", PHONES)
def test_whatever_is_tapped_ten_thousand_times_nothing_breaks(
    kind: str, made: Any, chromium: Any
) -> None:
    expect_unbroken(chromium, made("guillemot").file, PHONES[kind], 500, range(100, 120))


@pytest.mark.parametrize("kind", ["storage denied"])
def test_where_nothing_can_be_kept_it_is_said(kind: str, made: Any, chromium: Any) -> None:
    phone = Phone(chromium, made("kittiwake").file, before=PHONES[kind])
    assert phone.settled().startswith(SAY("bar-nothing-read"))
    for degrees in range(60, 91):
        phone.type("Sea temperature", str(degrees))
    assert "stores nothing for this page" in phone.page.inner_text("main")
    assert not phone.settled().startswith(SAY("bar-nothing-read"))
    assert phone.trouble == []
    phone.close()
