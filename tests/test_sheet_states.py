"""The sheet of a loop with a serious fault: as found, as fixed, or not to be bought or started."""

import io
from collections.abc import Iterable

import pytest

from loop.check import CheckResult, check
from loop.hydraulics import build
from loop.job import Job, parse_job, read_job
from loop.sheet import Sheet, card, sheet, shopping, to_html, to_pdf
from loop.sheet.buying_table import buying_table
from loop.sheet.content import Item
from loop.sheet.setting import Setting
from loop.units import parse, show
from loop.words.actions import (
    Action,
    FitBleed,
    FitPumpRated,
    SetSupply,
    SetValve,
    TurnScoop,
    together,
)
from loop.words.job_sheet import SAY
from tests.loops import DEEP_FRAME, job_of, plain_loop
from tests.said import is_said
from tests.test_sheet import EXAMPLES, bought

pypdf = pytest.importorskip("pypdf", reason="reading PDFs back needs pypdf")


def test_found_and_fixed_are_told_apart_on_page_and_paper() -> None:
    made = sheet(read_job(next(path for path in EXAMPLES if path.stem == "turnstone")))
    found, fixed = SAY("as-found"), SAY("as-fixed")
    gets = [show(one.condensers[0].flow, "flow", "us") for one in (made.result, made.fixed)]
    assert gets[0] != gets[1]
    assert [(row.state, row.flow) for row in made.units] == [(found, gets[0]), (fixed, gets[1])]
    titles = dict.fromkeys(("drawn-title", "whole-title", "start-title", "clean-title"), fixed)
    titles |= dict.fromkeys(("fact-pump", "fact-priming", "findings-title", "inputs-title"), found)
    page, paper = to_html(made), on_paper(made)
    for row, state in titles.items():
        title = SAY(row) + SAY("of-state", state=state)
        assert f">{title}</" in page
        assert title in paper
    assert not made.waits


def test_a_bleed_of_the_loop_as_fixed_alone_is_proposed_in_the_drawing_in_words() -> None:
    made = sheet(read_job(next(path for path in EXAMPLES if path.stem == "petrel")))
    assert is_said(made.figure_text, SAY, "drawn", fitted="0", proposed="1")


def test_a_step_names_its_part_which_has_another_number_before_the_fixes() -> None:
    data = plain_loop()
    data["part"] = [part for part in data["part"] if part["kind"] not in ("seacock", "bleed")]
    made = sheet(parse_job(data))
    first, second = made.changes[:2]
    assert first.endswith("(seacock missing, the intake).")
    assert second.endswith("(bleed missing, the pump).")


def test_a_loop_without_a_known_fix_is_neither_bought_nor_started() -> None:
    """A unit that no pump of the catalogue feeds; the pump's missing bleed alone has a fix."""
    data = plain_loop()
    del data["part"][6]
    data["condenser"][0]["cooling"] = "200000 BTU/h"
    made = sheet(parse_job(data))
    assert any(one.level == "fault" and not one.actions for one in made.result.findings)
    assert made.waits == SAY("waits")
    assert (made.steps, made.card, made.changes) == ((), (), ())
    assert made.fixed is made.result
    assert {row.state for row in made.units} == {""}
    page, paper = to_html(made), on_paper(made)
    for text in (page, paper):
        assert text.count(SAY("waits")) == 2
        headed = text.index(SAY("buy-title")), text.index(SAY("waits"))
        assert headed[0] < headed[1] < text.index(SAY("buy-hose-suction"))
        assert text.index(SAY("start-title")) < text.rindex(SAY("waits"))
    assert SAY("of-state", state=SAY("as-found")) not in page + paper


def test_too_little_margin_is_bought_started_and_read_with_the_pump_that_cures_it() -> None:
    """More cooling than the pump is sure to serve: a warning, fixed by another pump."""
    made = sheet(job_of(("condenser", "cooling", "14500 BTU/h")))
    assert made.verdict == "attention"
    pump = made.fixed.pump.name
    assert pump != made.result.pump.name
    (step,) = [one for one in made.steps if pump in one]
    assert step == SAY("start-first", change=made.changes[0])
    assert ("1", SAY("buy-pump", name=pump)) in bought(made)
    title = SAY("card-title") + SAY("of-state", state=SAY("as-fixed"))
    assert f">{title}</" in to_html(made)
    assert title in on_paper(made)
    assert made.card == card.card(made.fixed)
    assert made.card != card.card(made.result)


def test_a_narrow_seacock_is_bought_in_the_size_that_check_asks_for_and_without_adapters() -> None:
    made = sheet(job_of((1, "bore", "3/8 in"), (2, "bore", "3/8 in")))
    assert {one.level for one in made.result.findings} == {"warning", "note"}
    sizes = {item.what: item.size for item in made.items}
    wide = parse("3/4 in", "length")
    assert sizes[SAY("buy-seacock")] == SAY("buy-port", "us", bore=wide)
    assert sizes[SAY("buy-intake")] == SAY("buy-bore", "us", bore=wide)
    assert SAY("buy-new-adapter") not in sizes


def test_the_card_is_of_the_loop_that_its_own_steps_bleed() -> None:
    """The leg after the frame runs full once its air is let out, and the unit gets more water."""
    made = sheet(job_of(*DEEP_FRAME, (8, "bore", "1-1/4 in")))
    assert "warning" in {one.level for one in made.result.findings}
    bled = check(together_of(made.result).apply(made.result.job))
    assert bled.condensers[0].flow > 1.05 * made.result.condensers[0].flow
    assert not {"danger", "fault", "warning"} & {one.level for one in bled.findings}
    assert made.card == card.card(bled)
    assert made.card != card.card(made.result)
    assert len([step for step in made.steps if is_said(step, SAY, "rest-bleed")]) == 2


def to_buy(made: Sheet) -> set[tuple[str, str, str]]:
    return {(item.count, item.what, item.size) for item in made.to_buy}


def us(row: str, **values: str) -> str:
    return SAY(row, "us", **{name: parse(value, "length") for name, value in values.items()})


LINED = SAY("buy-hose", "us", bore=parse("3/4 in", "length"), lining="smooth rubber")


@pytest.mark.parametrize(
    ("name", "takes"),
    [
        # A hose is rerouted lower, and nothing bought for it.
        ("petrel", {("1", SAY("buy-bleed"), us("buy-tee", bore="3/4 in"))}),
        # The hose over the locker in a narrower size: a barb at either end, two clamps on each.
        (
            "curlew",
            {
                ("17 ft", SAY("buy-hose-pressure"), LINED),
                ("2", SAY("buy-barbs"), us("buy-for-hose", bore="3/4 in")),
                ("4", SAY("buy-clamps"), us("buy-for-hose", bore="3/4 in")),
            },
        ),
        ("turnstone", {("1", SAY("buy-pump", name="demo-ac-700"), us("buy-ports", bore="1 in"))}),
        ("sandpiper", {("1", SAY("buy-pump", name="demo-ac-700"), us("buy-ports", bore="1 in"))}),
        ("kittiwake", set()),
    ],
)
def test_only_what_the_fixes_take_is_to_be_bought(name: str, takes: set[tuple[str, ...]]) -> None:
    made = sheet(read_job(next(path for path in EXAMPLES if path.stem == name)))
    adapters = {one for one in to_buy(made) if one[1] == SAY("buy-new-adapter")}
    assert to_buy(made) - adapters == takes
    page, paper = to_html(made), on_paper(made)
    for text in (page, paper):
        assert (SAY("buy-title") in text) == bool(made.to_buy)
        assert SAY("whole-title") in text
    marked = [item for item in made.items if item.remark != item.note]
    assert [(item.what, item.size) for item in marked] == [
        (item.what, item.size) for item in made.to_buy
    ]


def test_a_valve_that_is_set_and_a_scoop_that_is_turned_are_there_already() -> None:
    found = job_of((1, "facing", "aft"))
    turned = TurnScoop("part[1]", "forward").apply(SetValve("part[2]", 0.5).apply(found))
    assert not new(found, turned)
    flush = TurnScoop("part[1]", "flush").apply(found)
    assert [item.what for item in new(found, flush)] == [SAY("buy-intake")]


def new(found: Job, fixed: Job) -> list[Item]:
    """What one job has that another lacks."""
    items = shopping.items(build(fixed), build(found), {})
    return [item for item in items if item.new]


def test_hose_that_is_longer_or_wider_is_bought_whole_and_a_shorter_piece_is_cut() -> None:
    hose = SAY("buy-hose-suction")
    longer = new(job_of(), job_of((3, "length", "3 ft")))
    # 3 ft and a tenth, in whole feet.
    assert [(item.what, item.new) for item in longer] == [(hose, "4 ft")]
    assert not new(job_of(), job_of((3, "length", "1.5 ft"), (8, "length", "9 ft")))
    wider = new(job_of(), job_of((3, "bore", "1 in")))
    assert [(item.what, item.new) for item in wider] == [
        (hose, "3 ft"),
        (SAY("buy-barbs"), "2"),
        (SAY("buy-clamps"), "4"),
    ]


def together_of(result: CheckResult) -> Action:
    """The bleeds that the first action of each warning fits."""
    first = (one.actions[0] for one in result.findings if one.level == "warning")
    return together(step for one in first for step in one.steps if isinstance(step, FitBleed))


def test_there_are_lines_for_whom_it_is_made_and_no_warranty() -> None:
    made = sheet(job_of())
    assert len(made.by_hand) == 4
    for text in (to_html(made), on_paper(made)):
        assert SAY("foot-warranty") in text
        assert [name for name in made.by_hand if name not in text] == []


@pytest.mark.parametrize(("count", "flow"), [(1, "340 gal/h"), (2, "170 gal/h")])
def test_a_pump_that_has_no_name_is_bought_by_its_duty(count: int, flow: str) -> None:
    """Each of two that share the flow delivers half."""
    both = [(6, "count", count), (6, "arrangement", "parallel")] if count > 1 else []
    job = job_of(*both)
    fit = FitPumpRated("part[6]", parse("11 ft", "length"), parse("340 gal/h", "flow"))
    made = sheet(check(fit.apply(job), fixes=False))
    assert (str(count), SAY("buy-pump-rated", head="11.0 ft", flow=flow)) in bought(made)


def test_the_duty_of_a_pump_whose_supply_was_changed_is_bought_round_and_not_too_small() -> None:
    """It was rated on 12 V, and runs on 11 V in the boat as fixed."""
    job = job_of((6, "curve", "demo-dc-320"))
    fit = FitPumpRated("part[6]", parse("11 ft", "length"), parse("341 gal/h", "flow"))
    made = sheet(check(SetSupply("part[6]", 11.0).apply(fit.apply(job)), fixes=False))
    line = SAY("buy-pump-rated", head="9.3 ft", flow="313 gal/h")  # 9.24 ft, 312.6 gal/h
    assert ("1", line) in bought(made)


def on_paper(made: Sheet) -> str:
    pages = pypdf.PdfReader(io.BytesIO(to_pdf(made))).pages
    return " ".join(" ".join(page.extract_text() for page in pages).split())


def test_what_is_bought_of_hose_is_the_new_hose_alone() -> None:
    """Besides existing hose of the same bore for which a finding asks for another bore."""
    found, fixed = (job_of((8, "bore", "5/8 in")), job_of())
    wish = {9: parse("1/2 in", "length")}
    pressure = SAY("buy-hose-pressure")

    def hose(made: Iterable[Item]) -> list[Item]:
        return [item for item in made if item.what == pressure]

    (whole,) = hose(shopping.items(build(fixed), build(found), wish))
    # 10 ft and a tenth of the 16 ft, the hose that is there told with its wish.
    assert (whole.count, whole.new, whole.bought.count) == ("18 ft", "11 ft", "11 ft")
    asked = SAY("buy-wish", "us", bore=wish[9], hoses="")
    assert asked in whole.note
    assert asked not in whole.bought.note
    assert whole.bought.note == SAY("buy-hose-note", "us", length=parse("10 ft", "length"))
    # Of a new hose the wish is told with what is bought.
    (new,) = hose(shopping.items(build(fixed), build(found), {7: wish[9]}))
    assert asked in new.bought.note


@pytest.mark.parametrize("crowded", [True, False])
def test_a_list_that_goes_on_elsewhere_has_its_heading_again(crowded: bool) -> None:
    setting = Setting(8.0, 500.0)
    items = [Item(str(number), f"thing {number}", "3/4 in") for number in range(60)]
    table = buying_table(items, setting, "To buy", crowded)
    heading, pieces, height = SAY("buy-continued", title="To buy"), 1, 150.0
    while table.wrap(500.0, height)[1] > height:
        *_, said, table = table.split(500.0, height)
        assert said.getPlainText() == heading
        pieces += 1
    assert pieces > 2
