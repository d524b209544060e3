"""The eight commonest calls, worked on the card alone: each ends right, within a few taps."""

from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import pytest

from loop.card import card, to_html
from loop.diagnose import prepare
from loop.sheet import sheet
from tests.browser import Phone
from tests.test_service_calls import three_cabins

# A thumb's patience: taps, fields and stopwatch together.
MOST_TAPS = 16


@dataclass
class Call:
    """What is tapped and typed, what is done, and how the card's line then begins."""

    said: list[str]
    seen: list[str]
    ends: str
    typed: dict[str, str] = field(default_factory=dict)
    buckets: tuple[float, ...] = ()
    done: list[tuple[str, str]] = field(default_factory=list)
    then: list[str] = field(default_factory=list)


CALLS = {
    "trips at noon only": Call(
        ["Trips at noon only"], ["Strong", "Trips"], "Most likely: sea warmer",
        {"Sea temperature": "93", "Condensing temperature": "111"}, (15.6, 15.6),
    ),
    "weak since haul-out": Call(
        ["Since haul-out"], ["Weak"], "It looks fixed: open the seacock fully did it",
        done=[("Open the seacock fully", "Was not fully open")], then=["Strong"],
    ),
    "air-bound after the strainer was cleaned": Call(
        ["Since the strainer was cleaned"], ["None", "Rough"], "It looks fixed: crack the bleed",
        done=[("Crack the bleed", "Air came")], then=["Strong"],
    ),
    "trips under way": Call(
        ["Works at the dock, not under way"], ["Strong"],
        "Most likely: air drawn in at the intake", {}, (15.6, 15.6),
    ),
    "hums, no flow": Call([], ["None", "Hums"], "Most likely: pump jammed"),
    "slow over two seasons": Call(
        ["Slow over two seasons", "A pressure gauge"], ["Weak"], "Most likely: condenser scaled",
        {"Sea temperature": "82", "Outlet temperature": "94", "Condensing temperature": "117",
         "Pump outlet pressure": "4.3"},
        (22.5, 22.5),
    ),
    "new pump, still weak": Call(
        ["New pump", "A pressure gauge", "A multimeter or clamp meter"], ["Weak"],
        "Most likely: pump turns the wrong way",
        {"Pump outlet pressure": "1.6", "Shutoff pressure": "2.8", "Pump current": "0.52"},
        (27.7, 27.7),
    ),
}  # fmt: skip


def work(phone: Phone, call: Call) -> int:
    """Works a call; gives the number of taps that it took."""
    for answer in (*call.said, *call.seen):
        phone.tap(answer)
    for seconds in call.buckets:
        phone.fill_bucket(seconds)
    for label, text in call.typed.items():
        phone.type(label, text)
    for title, saw in call.done:
        phone.view("Answer")
        phone.do(title, saw)
        phone.view("Ask")
    for answer in call.then:
        phone.tap(answer)
    taps = len(call.said) + len(call.seen) + 2 * len(call.buckets) + len(call.typed)
    return taps + 4 * len(call.done) + len(call.then)


@pytest.mark.parametrize("name", CALLS)
def test_a_call_ends_right_within_a_few_taps(name: str, made: Any, chromium: Any) -> None:
    phone, call = Phone(chromium, made("kittiwake").file, clock=True), CALLS[name]
    phone.settled()
    taps = work(phone, call)
    assert phone.settled().startswith(call.ends)
    assert taps <= MOST_TAPS
    assert phone.trouble == []
    phone.close()


def test_one_of_three_cabins_short(chromium: Any, tmp_path: Path) -> None:
    job = three_cabins()
    file = tmp_path / "cabins.html"
    file.write_text(to_html(card(prepare(job), sheet(job))), encoding="utf-8")
    phone = Phone(chromium, file)
    phone.settled()
    phone.tap("Only one of several units")
    units = phone.page.locator("#view-call .field", has_text="Unit of")
    for place, answer in (("forward", "Cools"), ("saloon", "Trips"), ("aft", "Cools")):
        mine = units.filter(has_text=f"Unit of {place}")
        mine.get_by_role("button", name=answer, exact=True).tap()
    phone.settled()
    phone.view("Answer")
    causes = phone.page.locator(".cause summary").all_inner_texts()
    assert any("saloon" in cause for cause in causes[:2])
    assert not any("valve shut" in cause for cause in causes)
    assert phone.trouble == []
    phone.close()
