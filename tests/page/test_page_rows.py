"""Rows of the bench: parts and branches moved, copied, taken out, split and joined."""

from itertools import product
from pathlib import Path

import pytest

from loop.check import check
from loop.job import Job, JobError, parse_toml
from loop.page.answer import wish_done
from loop.page.folder import Folder
from loop.page.forms import addable, job_forms, part_forms
from loop.page.rows import as_tables, in_order
from loop.page.wishes import WISHES
from loop.tomlfile import tables
from loop.words.help import KEYS

EXAMPLES = Path(__file__).parent.parent.parent / "examples"
FOLDER = Folder(EXAMPLES)
# Branches that rejoin, every fourth command; in the long run all commands, one line alone, and
# branches that discharge overboard.
NAMES = (
    ("guillemot.toml", 4),
    *(
        pytest.param(name, 1, marks=pytest.mark.extended)
        for name in ("guillemot.toml", "kittiwake.toml", "dabchick.toml")
    ),
)
OPPOSITE = {"up": "down", "down": "up", "copy": "take out", "branch": "take out"}


def text_of(name: str) -> str:
    return FOLDER.read(name).text


def job_of(text: str) -> Job:
    return parse_toml(text, "job", EXAMPLES)


def tried(text: str, **wish: object) -> tuple[str, str] | None:
    """The text after a row command and its row's address; None if refused with a reason."""
    try:
        return wish_done(FOLDER, text, wish)
    except JobError as error:
        return None if error.problems else ("", "")


def offered(text: str, each: int) -> list[tuple[str, str]]:
    """Address and command of everything that rows allow, every `each`-th of it."""
    rows = as_tables(job_of(text), tables(text, "job"))
    return [(row["address"], what) for row in rows for what in row["can"]][::each]


@pytest.mark.parametrize(("name", "each"), NAMES)
def test_what_a_row_can_do_is_undone_by_its_opposite(name: str, each: int) -> None:
    text = text_of(name)
    before, undone, refused = job_of(text), 0, 0
    for address, what in offered(text, each):
        done = tried(text, do=what, address=address)
        if done is None:
            refused += 1
            continue
        after, at = done
        assert job_of(after) != before
        if what in OPPOSITE:
            back = tried(after, do=OPPOSITE[what], address=at)
            undone += back is not None and job_of(back[0]) == before
    everything = offered(text, each)
    assert refused <= 0.1 * len(everything)
    # A hose that was temporarily the last of its line keeps leading to that line's end.
    assert undone >= 0.7 * sum(what in OPPOSITE for _, what in everything) - refused


@pytest.mark.parametrize(("name", "each"), NAMES)
def test_a_row_takes_its_comments_along(name: str, each: int) -> None:
    text = text_of(name).replace('label = "', '# of its own\nlabel = "')
    kept = text.count("# of its own")
    for address, what in offered(text, each):
        if what in ("up", "down"):
            done = tried(text, do=what, address=address)
            assert done is None or done[0].count("# of its own") == kept


def test_a_condenser_is_split_into_branches_and_joined_again() -> None:
    text = text_of("kittiwake.toml")
    where = next(row.address for row in in_order(job_of(text)) if row.kind == "condenser")
    split, at = wish_done(FOLDER, text, {"do": "split", "address": where})
    result = check(job_of(split))
    assert len(result.condensers) == 2
    assert all(unit.flow > 0 for unit in result.condensers)
    third, _ = wish_done(FOLDER, split, {"do": "branch", "address": at})
    assert len(check(job_of(third)).condensers) == 3
    one, _ = wish_done(FOLDER, split, {"do": "take out", "address": f"{at}.branch[2]"})
    joined, _ = wish_done(FOLDER, one, {"do": "join", "address": at})
    assert job_of(joined) == job_of(text)


def test_a_part_goes_into_a_branch_and_out_row_by_row() -> None:
    text = text_of("guillemot.toml")
    start = next(row for row in in_order(job_of(text)) if row.kind == "manifold")
    text, at = wish_done(FOLDER, text, {"do": "add", "address": start.address, "kind": "bleed"})
    seen = []
    for _ in range(30):
        rows = as_tables(job_of(text), tables(text, "job"))
        seen.append(next(row["branch"] for row in rows if row["address"] == at))
        if "down" not in next(row["can"] for row in rows if row["address"] == at):
            break
        text, at = wish_done(FOLDER, text, {"do": "down", "address": at})
    branches = [way.name for way in job_of(text).part[8].branch]  # type: ignore[union-attr]
    assert list(dict.fromkeys(seen)) == ["", *branches]
    assert seen[0] == seen[-1] == ""


def test_every_kind_can_be_added_and_a_wrong_place_is_told() -> None:
    text, places = text_of("guillemot.toml"), ("part[3]", "part[9].branch[2].part[2]", "part[10]")
    stood = set()
    for kind, place in product(addable(), places):
        done = tried(text, do="add", address=place, kind=kind)
        if done is not None:
            stood.add(kind)
            assert done[1] == place
            rows = in_order(job_of(done[0]))
            assert next(row.kind for row in rows if row.address == place) == kind
    assert stood == set(addable()) - {"discharge"}


def test_a_unit_is_renamed_with_what_serves_it() -> None:
    text = text_of("guillemot.toml")
    after, _ = wish_done(
        FOLDER, text, {"do": "rename", "address": "condenser[1]", "value": "galley"}
    )
    assert check(job_of(after)).condensers[0].name == "galley"


def test_every_field_says_what_it_is_and_no_row_is_of_none() -> None:
    fields = [one for form in (*part_forms().values(), *job_forms().values()) for one in form]
    assert {one["name"] for one in fields} == {*KEYS}
    assert all(one["means"] for one in fields)


@pytest.mark.parametrize("do", [*WISHES, "fly"])
def test_a_wish_that_means_nothing_is_told(do: str) -> None:
    text = text_of("guillemot.toml")
    addresses = (
        "part[1]",
        "part[6]",
        "part[99]",
        "title",
        "condenser[1]",
        "water",
        "",
        3,
        "boat.x",
    )
    for address, more in product(addresses, ({}, {"to": "part[1]", "kind": "x", "value": ""})):
        done = tried(text, do=do, address=address, **more)
        assert done is None or job_of(done[0])
