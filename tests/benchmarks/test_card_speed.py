"""On a phone six times as slow as this machine, the card answers without a noticeable wait."""

from pathlib import Path
from typing import Any

import pytest

from loop.words.template import capital
from loop.words.to_do import DOING
from tests.browser import Phone
from tests.card.conftest import make

SLOWER = 6
# Longest unnoticeable waits for probabilities and next step, over the time that `_WORK` takes on
# the same phone at the same time: engineering estimate.
ODDS, NEXT = 3, 20
_WORK = """() => {
  const begun = performance.now();
  let sum = 0;
  for (let i = 1; i < 4_000_000; i++) sum += Math.log(i);
  return sum && performance.now() - begun;
}"""
_TAPS = """async (names) => {
  const strip = document.getElementById("strip"), times = [];
  const seen = (state) => new Promise((done) => {
    const watch = new MutationObserver(() => {
      if (strip.dataset.state !== state) return;
      watch.disconnect();
      done(performance.now());
    });
    watch.observe(strip, { attributes: true });
  });
  for (const name of names) {
    const buttons = [...document.querySelectorAll("#view-call button, #undo")];
    const odds = seen("odds"), begun = performance.now();
    buttons.find((one) => one.textContent === name).click();
    const next = seen("next");
    times.push([await odds - begun, await next - begun]);
  }
  return times;
}"""


WORDS = ("Weak", "Rough", "Suddenly", "Strong", "Normal", "New pump")


def waits(phone: Phone, taps: tuple[str, ...] = WORDS) -> tuple[float, float]:
    """Shortest waits for probabilities and next step over the time of a fixed piece of work.

    The ratio removes the machine's own speed and its other load.
    """
    session = phone.context.new_cdp_session(phone.page)
    session.send("Emulation.setCPUThrottlingRate", {"rate": SLOWER})
    work = [phone.page.evaluate(_WORK) for _ in range(3)]
    times = phone.page.evaluate(_TAPS, taps)
    work += [phone.page.evaluate(_WORK) for _ in range(3)]
    session.send("Emulation.setCPUThrottlingRate", {"rate": 1})
    return min(odds for odds, _ in times) / min(work), min(then for _, then in times) / min(work)


def expect_quick(name: str, slow: tuple[float, float]) -> None:
    """Both waits are below their limits."""
    odds, following = slow
    print(f"{name}: odds {odds:.2f}, next {following:.2f} times the fixed work")
    assert odds < ODDS
    assert following < NEXT


def worked(phone: Phone) -> tuple[float, float]:
    """Waits when the whole answer is redrawn, late in a call: each tap undoes one entry."""
    phone.page.locator("#view-call summary", has_text="Another bucket").first.tap()
    phone.type("Or seconds to fill it", "31")
    phone.type("Sea temperature", "80")
    phone.view("Answer")
    phone.do(capital(DOING["clean-basket"].title), "Dirty")
    phone.view("Ask")
    for word in WORDS[:4]:
        phone.tap(word)
    phone.type("Or seconds to fill it", "24")
    phone.view("Answer")
    return waits(phone, ("Undo",) * 5)


@pytest.mark.parametrize("name", ["kittiwake", pytest.param("six", marks=pytest.mark.extended)])
def test_no_thumb_waits_on_a_slow_phone(name: str, tmp_path: Path, chromium: Any) -> None:
    phone = Phone(chromium, make(name, tmp_path).file)
    phone.settled()
    expect_quick(f"{name}, asking", waits(phone))
    expect_quick(f"{name}, whole answer", worked(phone))
    phone.close()
