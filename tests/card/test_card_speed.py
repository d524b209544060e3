"""On a phone six times as slow as this machine odds and next step come before a thumb waits."""

from typing import Any

import pytest

from loop.words.template import capital
from loop.words.to_do import DOING
from tests.browser import Phone

SLOWER = 6
# Longest wait [ms] for the odds, and for what to do next, and how long the work of `_WORK` takes on
# a machine so slow with nothing else to do: where it takes longer, so may they.
ODDS, NEXT, WORKED = 100, 500, 100
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
    """Shortest waits [ms] for odds and next step: what else the machine does is not the card's.

    Nor is how slow it is by itself.
    """
    session = phone.context.new_cdp_session(phone.page)
    session.send("Emulation.setCPUThrottlingRate", {"rate": SLOWER})
    work = [phone.page.evaluate(_WORK) for _ in range(3)]
    times = phone.page.evaluate(_TAPS, taps)
    work += [phone.page.evaluate(_WORK) for _ in range(3)]
    session.send("Emulation.setCPUThrottlingRate", {"rate": 1})
    busy = max(min(work) / WORKED, 1.0)
    print(f"the work of a machine with nothing else to do: {min(work):.0f} ms")
    return min(odds for odds, _ in times) / busy, min(then for _, then in times) / busy


def expect_quick(name: str, slow: tuple[float, float]) -> None:
    """Both waits are under their limits."""
    odds, following = slow[0] / ODDS, slow[1] / NEXT
    print(f"{name}: of the longest wait, odds {odds:.2f}, next {following:.2f}")
    assert odds < 1
    assert following < 1


def worked(phone: Phone) -> tuple[float, float]:
    """Waits where the whole answer is drawn anew, late in a call: each tap takes one entry back."""
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
def test_no_thumb_waits_on_a_slow_phone(name: str, made: Any, chromium: Any) -> None:
    phone = Phone(chromium, made(name).file)
    phone.settled()
    expect_quick(f"{name}, asking", waits(phone))
    expect_quick(f"{name}, whole answer", worked(phone))
    phone.close()
