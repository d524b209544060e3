"""A call on the card as on a phone: by touch and by keys, interrupted and resumed."""

import io
import re
import tomllib
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from rich.console import Console

from loop.card import card, to_html
from loop.check import check
from loop.cli import main
from loop.cli.diagnose_report import print_diagnosis
from loop.diagnose import diagnose, parse_readings
from loop.words.diagnosis import SAY
from loop.words.faults import fix, title
from loop.words.first_lines import first_lines
from loop.words.template import capital
from loop.words.to_do import DOING
from tests.browser import Phone
from tests.card.conftest import EXAMPLES, Made
from tests.said import is_said, leads_with
from tests.studies import study_of_no_job


@pytest.fixture
def phone(made: Any, chromium: Any) -> Iterator[Phone]:
    """Kittiwake's card on a phone; nothing must have gone wrong on it by the end."""
    one = Phone(chromium, made("kittiwake").file)
    one.settled()
    yield one
    assert one.trouble == []
    one.close()


def test_a_whole_call_by_touch_ends_like_the_command(
    made: Any, chromium: Any, tmp_path: Path
) -> None:
    one: Made = made("kittiwake")
    phone = Phone(chromium, one.file, clock=True)
    phone.settled()
    for answer in ("Suddenly", "Weak", "Normal", "Cools"):
        phone.tap(answer)
    for seconds in (30, 32):
        phone.fill_bucket(seconds)
    phone.type("Sea temperature", "80")
    phone.type("Outlet temperature", "97")
    phone.view("Answer")
    assert re.search(r"1 gal in 3[1-4]\.\d s", phone.page.inner_text("#view-answer"))
    shown = phone.page.locator("#view-answer details[open] li strong").all_inner_texts()
    assert shown
    assert len({*shown}) == len(shown)  # each once, for all causes that have it
    clean = DOING["clean-basket"].title
    phone.do(capital(clean), "Dirty")
    phone.view("Ask")
    assert f"Read again, after: {clean}" in phone.page.inner_text("#view-call")
    phone.tap("Strong")
    phone.fill_bucket(15)
    phone.type("Outlet temperature", "88")
    phone.page.locator("summary", has_text="Who and where").tap()
    phone.type("Customer", 'A. "Sailor" \\ Sons')
    line = phone.settled()
    assert line == SAY("headline-done", done=clean)
    phone.view("Answer")
    said = phone.page.inner_text("#view-answer")
    assert SAY("next-done") in said
    assert SAY("next-order") not in said  # of steps that there are
    assert phone.page.locator("#view-answer .sentence").count() == 0  # of rival causes
    phone.view("Office")
    text = phone.page.input_value("#view-office textarea >> nth=0")
    readings = parse_readings(tomllib.loads(text), one.study.instruments.job)
    result = diagnose(one.study.instruments.job, readings, one.study)
    assert line == result.headline
    printed = Console(file=io.StringIO(), width=400)
    print_diagnosis(printed, result)
    assert result.groups[0].sentence not in printed.file.getvalue()
    assert readings.note == 'customer: A. "Sailor" \\ Sons'
    assert phone.trouble == []
    phone.close()
    _expect_recorded(text, tmp_path)


def _expect_recorded(text: str, tmp_path: Path) -> None:
    """`loop diagnose JOB FILE --record JOB2` accepts the call unchanged."""
    import sys

    readings, target = tmp_path / "call.toml", tmp_path / "after.toml"
    readings.write_text(text, encoding="utf-8")
    job = str(EXAMPLES / "kittiwake.toml")
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(
            sys, "argv", ["loop", "diagnose", job, str(readings), "--record", str(target)]
        )
        with pytest.raises(SystemExit) as ended:
            main()
    assert not ended.value.code
    visits = tomllib.loads(target.read_text(encoding="utf-8"))["visit"]
    assert visits[-1]["date"] == tomllib.loads(text)["date"]
    assert visits[-1]["done"] == ["clean-basket: dirty"]
    assert visits[-1]["readings"]["stream"] == "strong"
    assert visits[-1]["before"]["stream"] == "weak"
    assert visits[-1]["was"] == "strainer-blocked"


def test_a_dead_end_names_one_thing_to_do(chromium: Any, tmp_path: Path) -> None:
    file = tmp_path / "card.html"
    file.write_text(to_html(card(study_of_no_job())), encoding="utf-8")
    phone = Phone(chromium, file, width=360)
    phone.settled()
    for answer in ("None", "Hums, does not turn", "Off"):
        phone.tap(answer)
    phone.view("Answer")
    phone.do("Open the pump", "Sound")
    phone.do("Have the pump's start capacitor tested", "Sound")
    phone.do("Fit a pump that is known to be sound", "No change")
    said = phone.page.inner_text("#view-answer")
    assert SAY("no-step") in said
    assert "Read again" not in said
    assert SAY("next-none") in said
    strip = phone.page.locator("#strip span")
    assert strip.inner_text().endswith(SAY("no-step"))
    assert strip.evaluate("(line) => line.scrollHeight <= line.clientHeight")  # to its last word
    phone.close()


def test_the_fix_of_a_cause_that_no_step_ends_stands_ahead_of_the_steps(
    made: Any, chromium: Any
) -> None:
    phone = Phone(chromium, made("kittiwake").file, width=360)
    phone.settled()
    phone.tap("Strong")
    phone.view("Answer")
    ahead = phone.page.locator("#view-answer .ahead")
    assert ahead.count() == 0
    phone.view("Ask")
    phone.type("Sea temperature", "94")
    phone.view("Answer")
    assert capital(fix("sea-warm")) in ahead.inner_text()
    assert ahead.bounding_box()["y"] < phone.page.locator("article").first.bounding_box()["y"]
    phone.close()


def test_what_loop_check_says_is_there_where_the_answer_refers_to_it(
    made: Any, chromium: Any
) -> None:
    for name, refers in (("razorbill", True), ("kittiwake", False)):
        one: Made = made(name)
        phone = Phone(chromium, one.file, width=360)
        phone.settled()
        phone.tap("Strong")
        phone.view("Answer")
        folded = phone.page.locator("summary", has_text=SAY("checked-title"))
        assert folded.count() == int(refers)
        if refers:
            folded.tap()
            result = check(one.study.instruments.job)
            first = first_lines(result.findings, result.job)
            assert first is not None
            said = phone.page.inner_text("#view-answer")
            assert capital(first.cause) in said
            assert capital(first.fix) in said
        assert phone.overflow() == []
        phone.close()


def test_a_call_by_keys_alone(phone: Phone) -> None:
    phone.press("Weak")
    assert phone.page.evaluate("document.activeElement.textContent") == "Weak"
    phone.press("Rough")
    assert is_said(phone.settled(), SAY, "headline-none-leads")
    phone.press("Answer")
    assert phone.page.evaluate("document.activeElement.className") == "headline"
    phone.press("Done, cannot tell")
    phone.settled()
    assert "Read again what you can" in phone.page.inner_text("#view-answer")
    phone.press("Undo")
    phone.settled()
    assert "Read again what you can" not in phone.page.inner_text("#view-answer")


def test_a_call_goes_on_where_it_was_when_the_page_was_closed(phone: Phone) -> None:
    phone.tap("Sputtering")
    for part in ("8", "81", "81.", "81.5"):
        phone.page.locator("#view-call").get_by_label("Sea temperature", exact=True).fill(part)
    phone.view("Answer")
    before = phone.settled()
    phone.reopened()
    assert phone.settled() == before
    assert "continues the earlier call" in phone.page.inner_text("main")
    phone.tap("Undo", "#bar")
    phone.view("Ask")
    sea = phone.page.locator("#view-call").get_by_label("Sea temperature", exact=True)
    assert sea.input_value() == ""
    phone.view("Office")
    phone.tap("Begin a new call")
    ends = phone.page.locator("#view-office section").filter(has_text="Done?")
    assert "will be erased" in ends.inner_text()  # beside the button
    phone.reopened()
    phone.view("Office")
    phone.begin_again()
    assert phone.settled().startswith(SAY("bar-nothing-read"))
    phone.reopened()
    assert phone.settled().startswith(SAY("bar-nothing-read"))


@pytest.mark.parametrize("kept", ["{", "[]", '{"call": {"read": {"flow": "x"}}}', '{"call": 7}'])
def test_whatever_a_storage_holds_the_card_begins(kept: str, phone: Phone) -> None:
    phone.page.evaluate(
        "(kept) => { localStorage.setItem(Object.keys(localStorage)[0], kept); }", kept
    )
    phone.reopened()
    assert phone.settled().startswith(SAY("bar-nothing-read"))


def test_a_clock_that_was_set_spoils_no_reading(phone: Phone) -> None:
    phone.tap_start()
    phone.page.wait_for_timeout(300)
    phone.page.evaluate("() => { const real = Date.now; Date.now = () => real() + 3600e3; }")
    phone.tap_start()
    assert "its clock changed" in phone.page.inner_text("#view-call")
    assert phone.settled().startswith(SAY("bar-nothing-read"))


def test_the_customers_page_has_what_was_found_and_room_to_sign(phone: Phone) -> None:
    phone.tap("Weak")
    phone.page.locator("#view-call summary", has_text="Another bucket").first.tap()
    phone.type("Or seconds to fill it", "30")
    phone.view("Office")
    phone.page.get_by_label("Parts used, one per line").fill("lid seal\nhose clamp, 2")
    phone.page.evaluate("window.dispatchEvent(new Event('beforeprint'))")
    phone.page.emulate_media(media="print")
    text = phone.page.inner_text("body")
    for words in (
        "Service call",
        "Stream",
        "weak",
        "(120 gal/h)",
        "lid seal",
        "hose clamp, 2",
        "Technician",
    ):
        assert words in text
    assert "Begin a new call" not in text


def test_a_pump_that_hums_is_ordered_off_in_the_bar_and_on_the_answer(
    made: Any, phone: Phone
) -> None:
    one: Made = made("kittiwake")
    phone.tap(capital(SAY("button-hums")))
    line = phone.settled()
    assert line == diagnose(one.study.instruments.job, {"pump_sound": "hums"}, one.study).headline
    assert is_said(line, SAY, "headline-hums")
    phone.view("Answer")
    assert phone.page.locator("#view-answer .headline").inner_text() == line
    phone.view("Ask")
    phone.tap("Normal")
    assert not is_said(phone.settled(), SAY, "headline-hums")


def test_readings_under_way_are_a_state_of_their_own(made: Any, phone: Phone) -> None:
    phone.tap("Strong")
    phone.tap("Works at the dock, not under way")
    phone.view("Answer")
    phone.tap("Readings under way")
    phone.tap("Sputtering", "#under-way")
    line = phone.settled()
    assert leads_with(line, title("intake-air"))
    phone.view("Office")
    table = tomllib.loads(phone.page.input_value("#view-office textarea >> nth=0"))
    assert (table["stream"], table["under_way"]) == ("strong", {"stream": "sputtering"})
    study = made("kittiwake").study
    assert line == diagnose(study.instruments.job, table, study).headline
    phone.view("Answer")
    phone.page.get_by_role("button", name="Remove under way stream").tap()
    phone.settled()
    phone.view("Ask")
    stream = phone.page.locator("#under-way").get_by_role("group", name="Stream", exact=True)
    assert stream.locator("[aria-pressed=true]").count() == 0
    phone.view("Answer")
    phone.do(capital(DOING["open-seacock"].title), "Was fully open")
    phone.view("Ask")
    phone.tap("Weak", "#under-way")
    phone.view("Office")
    table = tomllib.loads(phone.page.input_value("#view-office textarea >> nth=0"))
    assert "under_way" not in table
    assert table["step"][-1]["under_way"] == {"stream": "weak"}


def test_the_sea_once_read_stands_for_the_call(phone: Phone) -> None:
    phone.type("Sea temperature", "75")
    phone.view("Loop")
    before = phone.page.inner_text("#healthy table")
    phone.view("Answer")
    phone.do(capital(DOING["open-seacock"].title), "Was fully open")
    phone.view("Loop")
    assert phone.page.inner_text("#healthy table") == before
    phone.view("Ask")
    sea = phone.page.locator("#view-call").get_by_label("Sea temperature", exact=True)
    assert sea.input_value() == "75"
    assert not sea.is_editable()


def test_what_was_typed_wrongly_is_put_right_or_gone_with_its_call(phone: Phone) -> None:
    sea = phone.page.locator("#view-call").get_by_label("Sea temperature", exact=True)
    phone.type("Sea temperature", "fast")
    phone.tap("Weak")
    assert sea.input_value() == "fast"
    assert sea.get_attribute("aria-invalid") == "true"
    phone.view("Office")
    phone.begin_again()
    phone.view("Ask")
    assert sea.input_value() == ""
    assert sea.get_attribute("aria-invalid") == "false"


def test_a_bucket_is_timed_twice_where_it_is_asked_for(made: Any, chromium: Any) -> None:
    phone = Phone(chromium, made("kittiwake").file, clock=True)
    phone.settled()
    phone.view("Answer")
    phone.page.get_by_role("button", name="All").tap()
    for seconds in (20, 24):
        stopwatch = phone.page.locator('article[data-step="flow"] .big')
        stopwatch.tap()
        phone.view("Ask")
        assert "Stop: it is full" in phone.page.inner_text("#view-call .big")
        phone.view("Answer")
        phone.context.clock.fast_forward(1000 * seconds)
        stopwatch.tap()
        phone.settled()
        phone.context.clock.fast_forward(1000)
    phone.view("Office")
    assert re.search(
        r'flow = "1 gal in 2[23]\.\d s"', phone.page.input_value("#view-office textarea >> nth=0")
    )
    assert phone.trouble == []
    phone.close()


def test_the_call_is_saved_and_copied_as_it_is_shown(made: Any, chromium: Any) -> None:
    phone = Phone(chromium, made("kittiwake").file, permissions=["clipboard-read"])
    phone.settled()
    phone.tap("Weak")
    phone.view("Office")
    text = phone.page.input_value("#view-office textarea >> nth=0")
    with phone.page.expect_download() as saved:
        phone.tap("Save")
    assert re.fullmatch(r"call-\d{4}-\d\d-\d\d\.toml", saved.value.suggested_filename)
    assert Path(saved.value.path()).read_text(encoding="utf-8") == text
    phone.tap("Copy")
    phone.page.get_by_text("Copied.").wait_for()
    assert phone.page.evaluate("navigator.clipboard.readText()") == text
    assert phone.trouble == []
    phone.close()


def test_a_thumb_that_bounces_says_one_thing(made: Any, chromium: Any) -> None:
    phone = Phone(chromium, made("kittiwake").file, guarded=True)
    phone.settled()
    phone.view("Answer")
    first = phone.page.locator("article").first.get_by_role("button", name="Weak", exact=True)
    first.scroll_into_view_if_needed()
    first.tap(trial=True)
    box = first.bounding_box()
    assert box is not None
    for _ in range(2):
        phone.page.touchscreen.tap(box["x"] + box["width"] / 2, box["y"] + box["height"] / 2)
    phone.settled()
    phone.view("Office")
    table = tomllib.loads(phone.page.input_value("#view-office textarea >> nth=0"))
    assert table["stream"] == "weak"
    assert set(table) == {"date", "tools", "stream"}
    phone.close()


def test_a_units_own_sign_is_headed_by_its_name(made: Any, chromium: Any) -> None:
    phone = Phone(chromium, made("guillemot").file)
    phone.settled()
    assert phone.page.get_by_text("Owner's cabin: the unit", exact=True).first.is_visible()
    phone.close()


def test_what_was_done_unasked_is_said_and_read_again(phone: Phone) -> None:
    """A technician who replaced the hose, or cleaned the basket, before being asked to."""
    phone.tap("Weak")
    phone.view("Answer")
    more = phone.page.locator("#something-else")
    more.locator("summary").tap()
    asks = capital(DOING["which-hose"].title)
    assert asks not in more.locator("option").all_inner_texts()  # no hose was moved
    hose = DOING["fix-suction-hose-collapsed"].title
    more.locator("select").select_option(label=capital(hose))
    more.get_by_role("button", name="At fault, put right").tap()
    phone.settled()
    phone.view("Ask")
    assert f"Read again, after: {hose}" in phone.page.inner_text("#view-call")
    phone.tap("Strong")
    phone.view("Answer")
    headline = phone.page.inner_text("#view-answer .headline")
    assert is_said(headline, SAY, "headline-done", done=hose)


def test_a_likely_cause_leaves_room_for_its_name(made: Any, chromium: Any) -> None:
    """The longest odds, "more than 95 in 100", beside one of the longest names."""
    one = Phone(chromium, made("kittiwake").file, 320)
    one.settled()
    for said in ("Trips at noon only", "Strong"):
        one.tap(said)
    one.page.get_by_role("button", name="Weak", exact=True).nth(1).tap()
    one.type("Sea temperature", "94")
    one.view("Answer")
    cause = one.page.locator(".cause summary").first
    name = cause.locator("xpath=*[1]").bounding_box()
    assert name["width"] > cause.bounding_box()["width"] / 3
    number = one.page.locator(".headline .mixed").first
    assert number.inner_text().endswith("°F")
    # The line that is always visible says the same.
    assert one.page.inner_text("#strip") == one.page.inner_text(".headline")
    one.close()
