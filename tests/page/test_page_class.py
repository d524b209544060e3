"""Lessons and drills on the page match the commands: the same words, figures and points."""

import json
from pathlib import Path
from typing import Any

import pytest

from loop.check import check
from loop.job import JobError, parse_toml
from loop.page.drills import asked, drill_tables
from loop.page.folder import Folder
from loop.page.lessons import lesson_list, lesson_tables
from loop.teach.cases import draw_case, invented_job
from loop.teach.drill import Call
from loop.teach.lessons import LESSONS
from loop.words.course import SAY
from loop.words.teaching.drills import SAY as DRILL
from loop.words.to_do import DOING
from tests.command_line import loop
from tests.page.conftest import Started
from tests.said import is_said

FOLDER = Folder(Path(__file__).parent.parent.parent / "examples")
SAFE = "seacock, breaker, plug"


def plain(text: str) -> str:
    return " ".join(text.split())


def drill(*lines: str, over: bool = False, **given: Any) -> dict[str, Any]:
    which, said = asked({"seed": 3, "level": 1, **given, "lines": list(lines)}, FOLDER)
    return drill_tables(which, said, over)


@pytest.mark.parametrize("number", [1, 10])
def test_a_lesson_says_what_the_command_says(number: int) -> None:
    played = lesson_tables(number, "us")
    printed = plain(loop("lesson", number, width=400, piped="a\n").output)
    for words in ("title", "predict", "reveal", "see", "explain", "exercise"):
        assert plain(played[words]) in printed
    for column in played["columns"]:
        # A heading of the table may go over several lines.
        assert all(word in printed for word in column["name"].split())
        assert all(figure in printed for figure in column["figures"])
    assert played["title"] == lesson_list("us")[number - 1]["title"]
    for row in played["given"]:
        assert all(cell in printed for cell in row)


def test_the_wall_shows_the_table_that_an_exercise_asks_for(tab: Any, started: Started) -> None:
    tab.goto(f"{started.address}lesson/1")
    tab.get_by_role("button", name="Reveal").click()
    for button in tab.locator("[data-column]").all():
        button.click()
    tab.get_by_role("button", name="Explain").click()
    rows = tab.locator("table.given tr")
    given = lesson_tables(1, "us")["given"]
    assert rows.count() == len(given) > 4
    assert rows.nth(1).inner_text().split("\t")[:2] == list(given[1][:2])


def test_what_is_dragged_in_a_lesson_is_the_loop_that_is_shown() -> None:
    folder = LESSONS[9].path.parent
    for column in lesson_tables(10, "si")["columns"]:
        result = check(parse_toml(column["text"], "job", folder))
        assert result.job.units == "si"
        assert result.condensers[0].flow == pytest.approx(
            column["check"]["condensers"][0]["flow"], rel=1e-6
        )


def test_a_drill_scores_as_the_command_does() -> None:
    lines = ("flow", "rank 1 50, 2 30, 3 10", f"repair 1: {SAFE}", f"do clean-basket: {SAFE}")
    shown = drill(*lines, over=True)
    printed = plain(
        loop(
            "drill", "--seed", 3, "--level", 1, width=400, piped="\n".join([*lines, "done"])
        ).output
    )
    assert plain(shown["complaint"]) in printed
    score = SAY("drill-score", points=shown["end"]["points"], minutes=shown["minutes"])
    assert plain(score) in printed
    for entry in shown["entries"]:
        assert f"{entry['what']}: {entry['showed']}" in printed
    assert shown["end"]["outcome"] in printed


def test_each_sentence_of_a_drills_step_begins_with_a_capital() -> None:
    steps = {one["name"]: one["how"] for one in drill()["actions"]}
    told = [(DOING[name], how) for name, how in steps.items() if DOING[name].hazard]
    assert told
    for doing, how in told:
        assert how.removeprefix(doing.hazard).strip()[0].isupper()


def test_only_the_easier_levels_show_last_seasons_reading() -> None:
    clean = [drill("flow", level=n)["entries"][0]["clean"] for n in (1, 2, 3)]
    assert [*map(bool, clean)] == [True, True, False]
    well = Call(draw_case(invented_job(), 3, 1)).case
    assert clean[0] == well.value("flow", well.healthy)


def test_a_missing_safety_step_stops_the_hand_and_nothing_is_told_before_the_end() -> None:
    shown = drill("do clean-basket: seacock")
    assert is_said(shown["entries"][0]["showed"], DRILL, "stopped")
    assert shown["end"] is None
    case = draw_case(invented_job(), 3, 1)
    assert case.where not in json.dumps(shown["entries"]) + shown["complaint"]


@pytest.mark.parametrize(
    "given",
    [
        {"seed": -1}, {"seed": "x"}, {"level": 4}, {"level": None}, {"job": "../x.toml"},
        {"job": 3}, {"lines": "flow"}, {"lines": [3]}, {"lines": ["x" * 400]},
        {"lines": ["flow"] * 300}, {"lines": ["fly"]}, {"lines": ["do nothing: at all"]},
        {"lines": ["rank 1 200"]}, {"job": "readings-call.toml"},
    ],
)  # fmt: skip
def test_a_drill_that_means_nothing_is_told(given: dict[str, Any]) -> None:
    with pytest.raises(JobError):
        drill_tables(*asked({"seed": 3, "level": 1, "lines": [], **given}, FOLDER), False)


def test_a_class_predicts_reveals_changes_and_explains(tab: Any, started: Started) -> None:
    tab.goto(f"{started.address}lesson/8")
    tab.locator(".choice").first.click()
    assert tab.locator(".airword").count() == 0  # nothing is given away
    tab.get_by_role("button", name="Reveal").click()
    tab.get_by_text("1 of 1 predicted it.").wait_for()
    for button in tab.locator("[data-column]").all():
        button.click()
    assert tab.locator("#figures tbody tr").count() == len(LESSONS[7].measures)
    tab.get_by_role("button", name="Explain").click()
    tab.get_by_role("button", name="Show the answer").click()
    tab.get_by_text("Answer:").wait_for()


def test_a_mixed_number_stays_on_one_line(tab: Any, started: Started) -> None:
    tab.goto(f"{started.address}lesson/4?units=us")
    number = tab.locator("main .mixed").filter(has_text="1-1/2").first
    number.wait_for()
    for width in range(320, 400, 8):
        tab.set_viewport_size({"width": width, "height": 800})
        assert number.evaluate("(one) => one.getClientRects().length") == 1


def test_a_class_takes_a_call_to_its_end(tab: Any, started: Started) -> None:
    tab.goto(f"{started.address}drill")
    tab.fill("#seed", "7")
    tab.get_by_role("button", name="Take the call").click()
    tab.locator(".tiles button").first.click()
    tab.locator(".log li").first.wait_for()
    tab.locator("summary", has_text="Say what you believe").click()
    tab.get_by_role("button", name="We believe this").click()
    tab.get_by_text("You believe:").wait_for()
    tab.get_by_role("button", name="Done: leave the boat").click()
    tab.get_by_text("points of 100").wait_for()
