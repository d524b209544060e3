"""What the sheet derives from findings and valves: what to fit and buy, in which order."""

from collections.abc import Callable

import pytest

from loop.job import parse_job
from loop.sheet import Sheet, sheet
from loop.units import parse
from loop.words import say
from loop.words.check_report import SAY as CHECK
from loop.words.first_lines import MOVES
from loop.words.job_sheet import SAY
from loop.words.speaker import Speaker, called
from tests.loops import DEEP_FRAME, Table, check_of, job_of, plain_loop
from tests.said import is_said
from tests.test_sheet import as_found, step_with, two_units


def bought(made: Sheet, what: str) -> list[tuple[str, str, str]]:
    return [(item.count, item.size, item.note) for item in made.items if item.what == what]


def without_valves(data: Table) -> Table:
    for branch in data["part"][-1]["branch"]:
        branch["part"] = branch["part"][1:]
    return data


# What findings ask for is bought.


def test_adapters_are_bought_by_size() -> None:
    made = sheet(job_of((10, "bore", "1 in"), (10, "barb_bore", "0.8 in"), (11, "bore", "1 in")))
    steps = [finding for finding in made.result.findings if finding.code == "bore-step"]
    size = SAY("buy-adapter", "us", large=parse("1 in", "length"), small=parse("3/4 in", "length"))
    speaker = Speaker(made.result.job)
    places = speaker.names(step.at.part for step in steps if step.at.part)
    assert bought(made, SAY("buy-new-adapter")) == [
        (str(len(steps)), size, SAY("buy-adapter-note", places=places))
    ]
    assert not bought(sheet(job_of()), SAY("buy-new-adapter"))


def test_a_pump_of_larger_ports_takes_an_adapter_at_either() -> None:
    """A hose precedes the pump; a bleed of the line's own bore follows it."""
    sizes = {"large": parse("1-1/4 in", "length"), "small": parse("3/4 in", "length")}
    made = sheet(job_of((6, "bore", "1-1/4 in")))
    assert bought(made, SAY("buy-new-adapter")) == [
        (
            "2",
            SAY("buy-adapter", "us", **sizes),
            SAY("buy-adapter-note", places=f"{called('pump')} and {called('bleed')}"),
        )
    ]


def test_the_sheet_of_a_good_loop_says_what_its_file_leaves_out() -> None:
    made = sheet(job_of(("boat", "heel", "1 deg")))
    assert (made.verdict, made.verdict_line) == (
        "good",
        CHECK("good-unsaid", unsaid=f"{MOVES['trim']} or {MOVES['wave_height']}"),
    )


def uneven(data: Table) -> Table:
    """Two units, the nearer with little need and the farther with much."""
    data["part"][-1]["branch"][1]["part"][-4] |= {"length": "30 ft"}
    data["condenser"][0]["cooling"], data["condenser"][1]["cooling"] = "3000 BTU/h", "9000 BTU/h"
    return data


def test_a_valve_to_throttle_with_is_bought_where_there_is_none() -> None:
    made = sheet(parse_job(without_valves(uneven(two_units()))))
    (told,) = (finding for finding in made.result.findings if finding.code == "unbalanced")
    # Fore gets the most water; its valve is as wide as its hose. The loop is bought as fixed.
    ((count, size, note),) = bought(made, SAY("buy-valve"))
    assert (count, size) == ("1", SAY("buy-port", "us", bore=parse("3/4 in", "length")))
    assert {step.unit for step in told.actions[0].steps} == {"fore"}
    assert note in say(told, made.result.job).fix
    # Where there is one, it is set.
    assert sheet(parse_job(uneven(two_units()))).to_buy == ()


def test_valves_that_a_note_would_have_are_not_bought() -> None:
    """The loop is good without them, and no step of the sheet fits one."""
    data = without_valves(two_units())
    data["part"][-1]["branch"][1]["part"][-4] |= {"length": "30 ft"}
    for unit in data["condenser"]:
        unit["cooling"] = "7000 BTU/h"
    made = sheet(parse_job(data))
    steps = {s.kind for f in made.result.findings for a in f.actions for s in a.steps}
    assert (made.verdict, "fit-valve" in steps) == ("good", True)
    assert made.to_buy == ()


def test_a_high_point_that_holds_air_gets_its_bleed() -> None:
    made = sheet(
        job_of(
            *DEEP_FRAME,
            (8, "bore", "1 in"),
            ("condenser", "cooling", "9000 BTU/h"),
        )
    )
    assert "air-held" in {f.code for f in made.result.findings if f.level == "warning"}
    sizes = {size for _, size, _ in bought(made, SAY("buy-bleed"))}
    assert sizes == {
        SAY("buy-tee", "us", bore=parse(bore, "length")) for bore in ("3/4 in", "1 in")
    }
    level = Speaker(made.result.job).about_level(parse("-4 in", "length"))
    assert level in made.changes[0]
    assert step_with(made, "start-first", change=made.changes[0]) == 0
    bleed = SAY("bleed-after", part=called(made.result.point.network.labels[7]), level=level)
    assert 0 < step_with(made, "rest-bleed", bleed=bleed) < step_with(made, "run-start")
    # The existing one is distinguished from it.
    assert step_with(made, "rest-bleed", bleed=SAY("bleed-at-pump")) > 0
    assert is_said(made.figure_text, SAY, "drawn", fitted="1", proposed="1")


# The order of the steps.


@pytest.mark.parametrize("change", [lambda data: data["part"].pop(6), lambda data: None])
def test_the_line_is_opened_with_the_power_off_and_the_sea_shut_out(
    change: Callable[[Table], object],
) -> None:
    data = plain_loop()
    change(data)
    made = sheet(parse_job(data))
    opened, shut = step_with(made, "rest-open"), SAY("rest-shut", seacocks=called("seacock"))
    assert step_with(made, "rest-off", seacocks=called("seacock")) == len(made.changes)
    assert 0 < step_with(made, "rest-strainer-below", sea=shut) < opened
    assert not made.changes or step_with(made, "start-first") == 0


@pytest.mark.parametrize("under", [False, True])
def test_a_boat_that_was_hauled_out_is_launched_with_its_seacocks_shut(under: bool) -> None:
    """Before anything is opened to the sea; a boat worked on afloat is not launched."""
    low = ((10, "to", "-4 in"), (11, "height", "-4 in")) if under else ((7, "kind", "tee"),)
    made = sheet(job_of(*low))
    assert made.changes
    launched = [n for n, one in enumerate(made.steps) if is_said(one, SAY, "start-launch")]
    assert launched == [len(made.changes)] * under
    if under:
        assert step_with(made, "rest-off", seacocks=called("seacock")) > launched[0]


def test_a_strainer_above_the_water_is_filled_before_the_sea_is_let_in() -> None:
    made = as_found(check_of((3, "length", "4 ft"), (3, "to", "6 in"), (5, "to", "8 in")))
    level = Speaker(made.result.job).level(parse("6 in", "length"))
    filled = step_with(made, "rest-strainer", level=level)
    assert filled < step_with(made, "rest-open")


def test_a_part_shut_seacock_is_opened_to_its_angle() -> None:
    # Of the 90 degrees from open to shut, four tenths.
    made = as_found(check_of((2, "open", "60 %")))
    assert step_with(made, "rest-open-to", angle="36") > 0
    assert step_with(sheet(job_of()), "rest-open") > 0


def test_a_discharge_under_the_water_is_shut_too_and_opened_again() -> None:
    made = as_found(check_of((10, "to", "-4 in"), (11, "height", "-4 in")))
    level = Speaker(made.result.job).level(parse("-4 in", "length"))
    assert step_with(made, "rest-off", drowned=called("discharge"), level=level) == 0
    opened = step_with(made, "rest-open-again", drowned=called("discharge"))
    assert step_with(made, "rest-open") < opened < step_with(made, "run-start")


def test_a_dry_branch_is_wetted_by_valves_only_where_there_are_any() -> None:
    both = sheet(parse_job(two_units()))
    assert step_with(both, "run-streams", wet=SAY("run-wet-valves")) > 0
    none = sheet(parse_job(without_valves(two_units())))
    assert step_with(none, "run-streams", wet=SAY("run-wet-hoses")) > 0
    data = two_units()
    data["part"][-1]["branch"][0]["part"] = data["part"][-1]["branch"][0]["part"][1:]
    one = sheet(parse_job(data))
    assert step_with(one, "run-streams", wet=SAY("run-wet-both")) > 0
