"""The card's script and `loop diagnose` give one answer, on calls drawn at random."""

import json
from collections.abc import Iterator
from typing import Any

import pytest

from loop.card.tables import tables
from loop.diagnose import diagnose, parse_readings, to_json
from loop.diagnose.unknown_loop import LoopKind, prepare_unit
from loop.words.diagnosis import SAY
from tests.browser import Phone
from tests.card.conftest import Made
from tests.card.node import NODE, answers
from tests.card.random_calls import random_calls
from tests.said import is_said

LOOPS = ("kittiwake", "guillemot", "petrel", "razorbill", "eider")
KEYS = (
    "headline", "causes", "next", "groups", "unknown", "fixed", "misfit", "healthy", "notes",
    "cautions", "tools",
)  # fmt: skip
_ANSWERS = """(calls) => calls.map((call) => {
  try { return window.loopCard.diagnose(call); }
  catch (error) { return { error: String(error.message) }; }
})"""
_AT_ONCE = 50
# Of a probability; and of any other number its share.
NEAR = 1e-6


def differences(ours: Any, theirs: Any, where: str = "") -> Iterator[str]:
    """Every place where two answers are not the same, numbers within `NEAR`."""
    if isinstance(ours, bool | str | None):
        if ours != theirs:
            yield f"{where}: {ours!r}, on the card {theirs!r}"
    elif isinstance(ours, int | float):
        if not isinstance(theirs, int | float) or abs(ours - theirs) > NEAR * max(1, abs(ours)):
            yield f"{where}: {ours!r}, on the card {theirs!r}"
    elif isinstance(ours, dict):
        if list(ours) != list(theirs) and set(ours) != set(theirs):
            yield f"{where}: keys {sorted(set(ours) ^ set(theirs))}"
        else:
            for key, value in ours.items():
                yield from differences(value, theirs[key], f"{where}.{key}")
    elif len(ours) != len(theirs):
        yield f"{where}: {len(ours)} entries, on the card {len(theirs)}"
    else:
        for number, (one, other) in enumerate(zip(ours, theirs, strict=True)):
            yield from differences(one, other, f"{where}[{number}]")


def expect_same(study: Any, calls: Any, found: list[dict[str, Any]]) -> None:
    """Fails with the first calls whose answers differ, and in what."""
    wrong = []
    for (table, readings), theirs in zip(calls, found, strict=True):
        ours = to_json(diagnose(study.bench.job, readings, study))
        if "error" in theirs:
            wrong.append(f"{json.dumps(table)}: {theirs['error']}")
            continue
        some = list(differences({k: ours[k] for k in KEYS}, {k: theirs[k] for k in KEYS}))
        if some:
            wrong.append(f"{json.dumps(table)}: {some[:3]}")
    assert not wrong, "\n".join([f"{len(wrong)} of {len(calls)} calls differ", *wrong[:3]])


def in_browser(chromium: Any, made: Made, tables: list[dict[str, Any]]) -> list[dict[str, Any]]:
    """What the page's one entry says of each call."""
    phone = Phone(chromium, made.file)
    phone.settled()
    found: list[dict[str, Any]] = []
    for first in range(0, len(tables), _AT_ONCE):
        found += phone.page.evaluate(_ANSWERS, tables[first : first + _AT_ONCE])
    assert phone.trouble == []
    phone.close()
    return found


@pytest.mark.parametrize("name", LOOPS)
def test_the_page_answers_like_the_command(name: str, made: Any, chromium: Any) -> None:
    one: Made = made(name)
    calls = random_calls(one.study, 8, seed=1)
    expect_same(one.study, calls, in_browser(chromium, one, [table for table, _ in calls]))


@pytest.mark.extended
@pytest.mark.parametrize("name", LOOPS)
def test_the_page_answers_like_the_command_a_thousand_times(
    name: str, made: Any, chromium: Any
) -> None:
    one: Made = made(name)
    calls = random_calls(one.study, 1000, seed=2)
    expect_same(one.study, calls, in_browser(chromium, one, [table for table, _ in calls]))


@pytest.mark.skipif(NODE is None, reason="no node on this machine")
def test_another_engine_answers_the_same_of_a_boat_without_a_job_file() -> None:
    study = prepare_unit(LoopKind(3516.85))
    calls = random_calls(study, 10, seed=3)
    found = answers(tables(study), [table for table, _ in calls])
    expect_same(study, calls, found)


@pytest.mark.skipif(NODE is None, reason="no node on this machine")
def test_readings_that_nothing_explains_are_answered_whenever_they_were_taken(
    made: Any,
) -> None:
    one: Made = made("kittiwake")
    wild = {"flow": "320 gal/h", "pump_outlet_pressure": "25 psi", "pump_power": "400 W"}
    tried = {"did": "bleed", "saw": "water only"}
    calls = [
        (table, parse_readings(table, one.study.bench.job))
        for table in (wild, {"step": [tried | wild]}, {"flow": "200 gal/h", "step": [tried | wild]})
    ]
    found = answers(tables(one.study), [table for table, _ in calls])
    assert all(is_said(answer["misfit"], SAY, "misfit-warning") for answer in found)
    expect_same(one.study, calls, found)


@pytest.mark.skipif(NODE is None, reason="no node on this machine")
def test_a_difference_is_seen(made: Any) -> None:
    """The comparison fails where the card's constants are not the program's."""
    one: Made = made("kittiwake")
    calls = random_calls(one.study, 6, seed=4)
    bent = tables(one.study)
    bent["constants"]["tail"] *= 1.01
    found = answers(bent, [table for table, _ in calls])
    with pytest.raises(AssertionError, match="calls differ"):
        expect_same(one.study, calls, found)
