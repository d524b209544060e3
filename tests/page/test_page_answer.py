"""For every example the page shows what the command prints; its edits are edits of the file."""

import json
import re
from functools import cache
from pathlib import Path
from typing import Any, get_args

import pytest

from loop import page
from loop.check.result import Supply
from loop.job import JobError, read_job
from loop.job.partial_checks import PART_CLASSES
from loop.page.answer import acted, answer, changed, read_edits
from loop.page.folder import Folder, opens
from loop.page.forms import field_form, part_forms
from loop.words.page import SAY
from tests.command_line import loop

EXAMPLES = Path(__file__).parent.parent.parent / "examples"
FOLDER = Folder(EXAMPLES)
JOBS = [job["name"] for job in FOLDER.jobs()]
# The first lines of both commands come from one function: a few cases are enough for the slower.
EXPLAINED = JOBS[::4]
# Every point of every loop is moved in the long run.
QUICK = ("petrel.toml",)
MOVED = [n if n in QUICK else pytest.param(n, marks=pytest.mark.extended) for n in JOBS]


@cache
def _answered(name: str) -> str:
    return json.dumps(answer(FOLDER, FOLDER.read(name).text))


def answered(name: str) -> dict[str, Any]:
    """The page's answer for an example, as its script reads it."""
    return dict(json.loads(_answered(name)))


def test_the_folder_lists_the_jobs_and_not_the_readings() -> None:
    assert "kittiwake.toml" in JOBS
    assert not any(name.startswith("readings") for name in JOBS)


def test_boats_of_one_title_are_told_apart_by_their_files(tmp_path: Path) -> None:
    text = (EXAMPLES / "kittiwake.toml").read_text(encoding="utf-8")
    for name in ("spring.toml", "fall.toml"):
        (tmp_path / name).write_text(text, encoding="utf-8")
    (tmp_path / "other.toml").write_text((EXAMPLES / "eider.toml").read_text(encoding="utf-8"))
    jobs = {job["name"]: job for job in Folder(tmp_path).jobs()}
    for name in ("spring.toml", "fall.toml"):
        assert jobs[name]["called"] == f"{jobs[name]['title']} ({name})"
    assert jobs["other.toml"]["called"] == jobs["other.toml"]["title"]


def test_a_folder_without_jobs_says_which_below_have_some(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    text = (EXAMPLES / "kittiwake.toml").read_text(encoding="utf-8")
    for name in ("boats", "examples", ".hidden", "pumps", "deep/er"):
        (tmp_path / name).mkdir(parents=True)
        if name != "pumps":
            (tmp_path / name / "kittiwake.toml").write_text(text, encoding="utf-8")
    (tmp_path / "pumps" / "own.toml").write_text("[curve]\nflow = [1]\n", encoding="utf-8")
    folder = Folder(tmp_path)
    assert folder.jobs() == []
    assert folder.jobs_below() == ["examples", "boats"]
    monkeypatch.chdir(tmp_path)
    assert opens(tmp_path / "examples") == "loop page examples"
    monkeypatch.chdir(tmp_path / "deep")
    assert opens(tmp_path / "examples") == f"loop page {tmp_path / 'examples'}"


@pytest.mark.parametrize("name", JOBS)
def test_the_page_and_the_command_agree(name: str) -> None:
    printed = loop("check", EXAMPLES / name, "--json").stdout
    assert answered(name)["check"] == json.loads(printed)


@pytest.mark.parametrize("name", JOBS)
def test_the_page_begins_as_the_command_does(name: str) -> None:
    first = answered(name)["first"]
    for command in ("check", *(["explain"] if name in EXPLAINED else [])):
        printed = " ".join(loop(command, EXAMPLES / name, width=400).stdout.split())
        assert f" {first['cause']}" in printed
        assert first["fix"] in printed


@pytest.mark.parametrize("name", JOBS)
def test_the_picture_runs_from_the_intake_to_the_outlets(name: str) -> None:
    shown = answered(name)
    job = read_job(EXAMPLES / name)
    lowest = shown["picture"]["ways"]
    assert lowest
    for way in lowest:
        distances = [point["at"] for point in way["points"]]
        assert distances == sorted(distances)
        assert way["points"][0]["height"] == pytest.approx(job.intake.height)
        assert all(point["moves"] for point in way["points"] if point["part"] == 0)
    assert shown["picture"]["curves"]["point"][0] == pytest.approx(
        shown["check"]["pump"]["flow"], rel=1e-6
    )


@pytest.mark.parametrize("name", MOVED)
def test_every_point_that_can_be_moved_can_be_moved(name: str) -> None:
    text = FOLDER.read(name).text
    way = answer(FOLDER, text)["picture"]["ways"][0]
    for point in way["points"]:
        if not point["moves"]:
            continue
        edits = [{"do": "put", "address": a, "value": point["height"]} for a in point["moves"]]
        again = answer(FOLDER, changed(FOLDER, text, read_edits(edits)))
        here = next(
            p
            for p in again["picture"]["ways"][0]["points"]
            if p["part"] == point["part"] and abs(p["at"] - point["at"]) < 1e-6
        )
        assert here["height"] == pytest.approx(point["height"], abs=1e-6)


def test_a_trial_is_shown_and_not_kept() -> None:
    text = FOLDER.read("kittiwake.toml").text
    edits = read_edits([{"do": "put", "address": "strainer.blocked", "value": "90 %"}])
    plain, tried = answer(FOLDER, text), answer(FOLDER, text, edits)
    assert tried["text"] == plain["text"] == text
    assert tried["check"]["condensers"][0]["flow"] < plain["check"]["condensers"][0]["flow"]


def test_every_state_of_a_unit_has_its_color() -> None:
    style = (Path(page.__file__).parent / "static" / "page.css").read_text("utf-8")
    for state in set(get_args(Supply)) - {"enough"}:
        assert f".{state.replace(' ', '-')} b" in style, state


@pytest.mark.parametrize("kind", sorted(PART_CLASSES))
def test_every_field_of_every_kind_has_a_form(kind: str) -> None:
    forms = {form["name"]: form for form in part_forms()[kind]}
    for name, info in PART_CLASSES[kind].model_fields.items():
        if name in ("kind", "branch"):
            continue
        assert forms[name] == field_form(name, info)
        # Marks of guesses are not a field by themselves: each is at the field that it names.
        kinds = ("marks",) if name == "guessed" else ("text", "choice", "number", "list")
        assert forms[name]["entry"] in kinds


def test_a_fix_is_applied_where_it_is_still_offered() -> None:
    text = FOLDER.read("petrel.toml").text
    shown = answer(FOLDER, text)
    words = shown["told"][0]["tries"][0][2]
    before, after = shown["check"], answer(FOLDER, acted(FOLDER, text, 0, 0, words))["check"]
    code = before["findings"][0]["code"]
    assert code not in [finding["code"] for finding in after["findings"]]
    for finding, action, said in ((0, 0, "another"), (1, 0, words), (0, 9, words), (-1, 0, words)):
        with pytest.raises(JobError, match=re.escape(SAY("not-offered"))):
            acted(FOLDER, text, finding, action, said)
