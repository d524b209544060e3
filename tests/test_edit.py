"""The one editor: the same edits on a job and on its file's text give the same job."""

import math
import random
import re
from pathlib import Path
from typing import Any

import pytest

from loop.job import (
    Edit,
    Insert,
    Job,
    JobError,
    Put,
    Remove,
    edit,
    edit_text,
    locate,
    parse_toml,
    read_job,
)
from loop.job.address import read_address
from loop.job.draft import draft
from loop.job.guesses import guesses
from loop.job.questions import complete_answers
from loop.parts import Bleed, Hose, Strainer

EXAMPLES = Path(__file__).parent.parent / "examples"
JOBS = sorted(
    path for path in EXAMPLES.glob("*.toml") if "\n[[part]]" in path.read_text(encoding="utf-8")
)
KITTIWAKE = EXAMPLES / "kittiwake.toml"


def some_edits(job: Job, chance: random.Random) -> list[Edit]:
    """A few edits that keep a job valid: hose bores, strainers, bleeds in and out, the sea."""
    made: list[Edit] = [Put("water.temperature", round(chance.uniform(5, 35), 3))]
    for item in locate(job.part):
        if isinstance(item.part, Hose) and chance.random() < 0.5:
            made.append(Put(f"{item.address}.bore", chance.choice(["1 in", 0.0254, "25 mm"])))
            made.append(Put(f"{item.address}.barb_bore", None))
        elif isinstance(item.part, Strainer):
            made.append(Put(f"{item.address}.blocked", round(chance.uniform(0, 0.9), 4)))
        elif isinstance(item.part, Bleed) and chance.random() < 0.5:
            made.append(Remove(item.address))
        if item.part.kind == "condenser" and chance.random() < 0.5:
            made.append(Insert(item.address, {"kind": "bleed", "bore": 0.01905, "label": "new"}))
    chance.shuffle(made)
    return made


def near(a: object, b: object) -> bool:
    """Equal tables, numbers to the last digits of their text."""
    if isinstance(a, dict) and isinstance(b, dict):
        return a.keys() == b.keys() and all(near(a[key], b[key]) for key in a)
    if isinstance(a, list | tuple) and isinstance(b, list | tuple):
        return len(a) == len(b) and all(map(near, a, b))
    if isinstance(a, float) and isinstance(b, float):
        return math.isclose(a, b, rel_tol=1e-8, abs_tol=1e-12)
    return a == b


@pytest.mark.parametrize("path", JOBS, ids=lambda path: path.stem)
@pytest.mark.parametrize("seed", range(3))
def test_a_job_and_its_file_are_edited_alike(path: Path, seed: int) -> None:
    job, text = read_job(path), path.read_text(encoding="utf-8")
    edits = some_edits(job, random.Random(seed))
    changed = edit_text(text, edits, str(path.parent))
    again = parse_toml(changed, folder=path.parent)
    assert near(edit(job, edits).model_dump(), again.model_dump())
    comments = [line.partition("#")[2] for line in text.splitlines() if "#" in line]
    gone = sum(isinstance(step, Remove) for step in edits)
    kept = sum(f"#{comment}" in changed for comment in comments)
    assert kept >= len(comments) - gone  # a comment goes only with the part that it stood on


@pytest.mark.parametrize("path", JOBS, ids=lambda path: path.stem)
def test_no_edit_changes_nothing(path: Path) -> None:
    text = path.read_text(encoding="utf-8")
    assert edit_text(text, [], str(path.parent)) == text
    assert edit(read_job(path), []) == read_job(path)


def test_one_point_of_a_hose_is_moved_where_it_stands() -> None:
    path = EXAMPLES / "petrel.toml"
    text, job = path.read_text(encoding="utf-8"), read_job(path)
    at = next(item for item in locate(job.part) if isinstance(item.part, Hose) and item.part.via)
    assert isinstance(at.part, Hose)
    point = "" if at.part.via[0].at is None else ".height"
    changed = edit_text(text, [Put(f"{at.address}.via[1]{point}", -0.254)])
    hose = next(item.part for item in locate(parse_toml(changed).part) if item.path == at.path)
    assert isinstance(hose, Hose)
    assert hose.via[0].height == pytest.approx(-0.254)
    assert "-10 in" in changed


def test_line_ends_and_the_byte_order_mark_stay() -> None:
    text = "\ufeff" + KITTIWAKE.read_text(encoding="utf-8").replace("\n", "\r\n")
    changed = edit_text(text, [Insert("part[7]", {"kind": "bleed"}), Put("boat.heel", 0.1)])
    assert changed.startswith("\ufeff")
    assert changed.count("\n") == changed.count("\r\n")


def test_addresses_mean_the_job_before_the_edits() -> None:
    job = read_job(KITTIWAKE)
    kinds = [part.kind for part in job.part]
    swapped = edit(
        job,
        [
            Remove("part[4]"),
            Insert("part[6]", {"kind": "bleed", "bore": 0.019, "label": "a"}),
            Insert("part[6]", {"kind": "bleed", "bore": 0.019, "label": "b"}),
            Put("part[8].to", "8 in"),
        ],
    )
    assert [part.kind for part in swapped.part] == [
        *kinds[:3],
        kinds[4],
        "bleed",
        "bleed",
        *kinds[5:],
    ]
    assert [part.label for part in swapped.part[4:6]] == ["a", "b"]
    changed = swapped.part[8]
    assert isinstance(changed, Hose)
    assert changed.to == pytest.approx(0.2032)


def test_a_label_and_the_word_pump_stand_for_an_address() -> None:
    job = read_job(KITTIWAKE)
    changed = job.replace({"suction hose.length": "9 ft", "pump": "demo-ac-500"})
    hose = changed.part[2]
    assert isinstance(hose, Hose)
    assert hose.length == pytest.approx(9 * 0.3048)
    assert changed.pump.curve.name == "demo-ac-500"


def test_a_default_reaches_the_parts_that_took_it() -> None:
    job = read_job(KITTIWAKE)
    changed = job.replace({"defaults.bore": "1 in", "part[3].bore": "5/8 in"})
    bores = {part.kind: part.bore for part in changed.part if part.kind != "hose"}
    assert bores["seacock"] == pytest.approx(0.0254)
    assert changed.part[2].bore == pytest.approx(0.625 * 0.0254)


def test_every_mistake_is_told_at_once_with_its_place() -> None:
    job = read_job(KITTIWAKE)
    with pytest.raises(JobError) as told:
        job.replace({"part[3].lenght": "12 ft", "part[4].blocked": "x", "part[8].length": 1e9})
    assert len(told.value.problems) == 3
    assert "did you mean 'length'" in told.value.problems[0]
    assert "part 8 (hose) length" in told.value.problems[2]
    with pytest.raises(JobError, match=r"did you mean 'suction hose\.bore'"):
        job.replace({"suction hoze.bore": "1 in"})
    for address in (
        "",
        "part",
        "part[0].bore",
        "part[3]bore",
        "part[99].bore",
        "part[3].via[4]",
        "title.a",
        "part.a",
    ):
        with pytest.raises(JobError):
            job.replace({address: "1 in"})
        with pytest.raises(JobError):
            edit_text(KITTIWAKE.read_text(encoding="utf-8"), [Put(address, "1 in")])


@pytest.mark.parametrize(
    ("address", "meant"),
    [
        ("bore", "defaults.bore"),
        ("temperature", "water.temperature"),
        ("heel", "boat.heel"),
        ("suction hos.length", "suction hose.length"),
        ("saloon.cooling", "condenser[1].cooling"),
    ],
)
def test_the_address_meant_is_one_that_works(address: str, meant: str) -> None:
    job = read_job(KITTIWAKE)
    with pytest.raises(JobError, match=re.escape(f"did you mean {meant!r}?")):
        read_address(job, address)
    assert read_address(job, meant)


def test_a_value_that_is_put_is_no_longer_a_guess() -> None:
    text = draft(*complete_answers({}))
    job = parse_toml(text)
    marked = guesses(job)
    edits = [Put(guess.address, text_at(job, guess.address)) for guess in marked]
    for step, guess in zip(edits, marked, strict=True):
        left = {one.address for one in marked} - {guess.address}
        for changed in (edit(job, [step]), parse_toml(edit_text(text, [step]))):
            assert {one.address for one in guesses(changed)} == left
    assert not guesses(parse_toml(edit_text(text, edits)))
    assert not guesses(edit(job, edits))
    assert "guessed = [" not in edit_text(text, edits)
    beside = edit_text(text, [Put("boat.heel", "12 deg")])
    assert guesses(parse_toml(beside)) == marked


def text_at(job: Job, address: str) -> object:
    """The text now at an address, to put there again."""
    value: Any = job
    for step in read_address(job, address):
        value = value[step] if isinstance(step, int) else getattr(value, step)
    return value


def test_a_pump_file_beside_the_job_can_be_put(tmp_path: Path) -> None:
    pump = (EXAMPLES.parent / "pumpcurves" / "demo-ac-350.toml").read_text(encoding="utf-8")
    (tmp_path / "other.toml").write_text(pump.replace("demo-ac-350", "other"), encoding="utf-8")
    put = [Put("pump", "other.toml")]
    assert edit(read_job(KITTIWAKE), put, str(tmp_path)).pump.curve.name == "other"
    changed = edit_text(KITTIWAKE.read_text(encoding="utf-8"), put, str(tmp_path))
    assert parse_toml(changed, folder=tmp_path).pump.curve.name == "other"


@pytest.mark.parametrize("changes", [{5: "x"}, {("pump",): "demo-ac-250"}, "x", None, ["pump"]])
def test_what_is_no_table_of_changes_is_refused(changes: Any) -> None:
    with pytest.raises(JobError):
        read_job(KITTIWAKE).replace(changes)


def test_a_place_is_changed_once() -> None:
    with pytest.raises(JobError) as refused:
        read_job(KITTIWAKE).replace({"pump": "demo-ac-250", "part[6].curve": "demo-ac-500"})
    assert "'pump'" in str(refused.value)
    assert "'part[6].curve'" in str(refused.value)


def test_a_units_name_is_told_the_address_of_its_table() -> None:
    job = read_job(EXAMPLES / "guillemot.toml")
    second = job.condenser[1].name
    with pytest.raises(JobError, match=r"condenser\[2\]\.cooling"):
        job.replace({f"{second}.cooling": "9000 BTU/h"})
    job.replace({"condenser[2].cooling": "9000 BTU/h"})
