"""Every text row is used by something."""

import ast
import re
from collections.abc import Iterator
from functools import cache
from pathlib import Path
from string import Formatter

import pytest

from loop.diagnose.reading_kinds import KINDS
from loop.diagnose.root_cause import ROOT_CAUSE_CHECKS
from loop.words import (
    cautions,
    check_report,
    commands,
    course,
    diagnosis,
    fault_rows,
    faults,
    figures,
    job_sheet,
    measuring,
    notebook,
    page,
    service_card,
    sheet_basis,
    size_report,
    sizing,
    to_do,
)
from loop.words.had import ALL
from loop.words.teaching import drills, loops, steps
from loop.wrong import rows as mistakes

LOOP = Path(__file__).parents[1] / "loop"
_ROOM = LOOP / "words"
TABLES = {
    "diagnosis": diagnosis.BOTH | diagnosis.IN_THE_PROGRAM,
    "commands": commands.SAY.rows,
    "course": course.SAY.rows,
    "check_report": check_report.SAY.rows,
    "measuring": measuring.OTHERWISE,
    "figures": figures.SAY.rows,
    "job_sheet": job_sheet.SAY.rows,
    "sheet_basis": sheet_basis.BASIS,
    "size_report": size_report.SAY.rows,
    "sizing": sizing.SAY.rows,
    "notebook": notebook.SAY.rows,
    "page": page.SAY.rows,
    "service_card": service_card.SAY.rows,
    "drills": drills.SAY.rows,
    "loops": loops.SAY.rows,
    "steps": steps.PHRASE.rows,
    "mistakes": mistakes(),
}


@cache
def named() -> frozenset[str]:
    """Every text that occurs by itself in the program, outside of the rows."""
    found = set()
    for path in LOOP.rglob("*.py"):
        if path.parent == _ROOM and path.stem in TABLES:
            continue
        tree = ast.parse(path.read_text(encoding="utf-8"))
        found |= {
            node.value
            for node in ast.walk(tree)
            if isinstance(node, ast.Constant) and isinstance(node.value, str)
        }
    pages = (LOOP / "sheet").glob("*.j2")
    found.update(*(re.findall(r'say\("([\w-]+)"', page.read_text("utf-8")) for page in pages))
    return frozenset(found)


@cache
def named_on_the_card() -> frozenset[str]:
    scripts = (LOOP / "card" / "static").glob("*.js")
    named = {text for one in scripts for text in re.findall(r'"([\w-]+)"', one.read_text("utf-8"))}
    thens = ((then.unknown, then.watch, then.well) for then in ROOT_CAUSE_CHECKS.values())
    return frozenset(named.union(*thens))


@pytest.mark.parametrize("table", TABLES)
def test_every_row_is_named_by_something_that_says_it(table: str) -> None:
    assert sorted(TABLES[table].keys() - named()) == []


def mistakes_said() -> Iterator[tuple[str, set[str]]]:
    """The rows of mistakes that the program uses, with the values that it gives them."""
    for path in LOOP.rglob("*.py"):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if not isinstance(node, ast.Call) or not isinstance(node.func, ast.Name):
                continue
            if node.func.id not in ("wrong", "refused") or path.stem == "wrong":
                continue
            if all(word.arg for word in node.keywords):
                given = {str(word.arg) for word in node.keywords}
                row = node.args[node.func.id == "refused"]
                for name in ast.walk(row):
                    if isinstance(name, ast.Constant) and name.value in mistakes():
                        yield name.value, given


def test_a_mistake_is_said_with_every_value_that_its_row_has() -> None:
    said = list(mistakes_said())
    assert len(said) > 100
    for row, given in said:
        blanks = {blank for _, blank, _, _ in Formatter().parse(mistakes()[row]) if blank}
        assert blanks <= given, row


def test_the_card_carries_the_rows_that_it_says() -> None:
    assert sorted((diagnosis.BOTH | diagnosis.ON_THE_CARD).keys() - named_on_the_card()) == []


def test_every_hazard_of_a_fault_is_that_of_something_to_do() -> None:
    hazards = {row.hazard for row in fault_rows.WORDS.values()} - {""}
    assert all(to_do.DOING[name].hazard for name in hazards)


def test_every_kind_of_reading_says_how_it_is_taken_and_no_other_does() -> None:
    assert measuring.MEASURING.keys() == KINDS.keys()


# What each fault's fix does: open the line, work on wiring, dive; or none of these, or under its
# own caution.
OPENS = {
    "intake-fouled", "strainer-blocked", "suction-hose-collapsed", "suction-air-leak",
    "high-point-air", "branch-blocked", "check-valve-stuck", "pump-jammed", "motor-dead",
    "motor-weak", "motor-no-start", "suction-blocked-inside",
    "pump-worn", "wrong-pump", "pump-decoupled", "pressure-hose-kinked",
    "condenser-header-blocked", "branches-unbalanced",
}  # fmt: skip
WIRED = {
    "no-power",
    "motor-dead",
    "motor-weak",
    "motor-no-start",
    "no-power-under-way",
    "pump-worn",
    "wrong-pump",
    "supply-low",
    "generator-slow",
    "frequency-low",
}
DIVES = {"intake-fouled"}
OTHERS = {
    "seacock-partly-shut", "pump-air-bound", "intake-air", "siphon-lost", "branch-air",
    "condenser-scaled", "condenser-film", "discharge-blocked", "branch-valve-shut", "sea-warm",
    "unit-off", "not-water-side", "refrigerant-low", "healthy", "something-else",
}  # fmt: skip


def test_the_fix_of_every_fault_says_its_hazard_before_the_step_that_has_it() -> None:
    assert set(fault_rows.WORDS) == OPENS | WIRED | DIVES | OTHERS
    opens = ALL.text(cautions.OPENS)
    for names, caution in ((OPENS, opens), (WIRED, cautions.STEP_MAINS), (DIVES, cautions.DIVER)):
        for name in names:
            said, row = faults.fix(name), fault_rows.WORDS[name]
            assert caution in said, name
            last = row.then or ALL.text(row.fix)
            assert said.index(caution) < said.index(last[1:]), name
    for name, row in fault_rows.WORDS.items():
        assert bool(row.then) == bool(row.then_hazard) == bool(row.when)
        later = ALL.text(row.then_hazard)
        assert later in faults.fix(name)
        assert not later or f": {later}" not in faults.fix(name)


def said_in_the_room() -> Iterator[str]:
    """Every text of the room, without the docstrings."""
    for path in _ROOM.rglob("*.py"):
        tree = ast.parse(path.read_text(encoding="utf-8"))
        alone = {id(node.value) for node in ast.walk(tree) if isinstance(node, ast.Expr)}
        texts = (node for node in ast.walk(tree) if isinstance(node, ast.Constant))
        yield from (str(one.value) for one in texts if id(one) not in alone)
    for path in _ROOM.rglob("*.toml"):
        yield from path.read_text(encoding="utf-8").splitlines()


def test_a_percentage_that_is_shown_has_its_sign_beside_it() -> None:
    texts = list(said_in_the_room())
    assert sum(bool(re.search(r"\d%", text)) for text in texts) > 5
    # A value as a file holds it stands in quotes, with a space as before any unit.
    quoted = r'"[^"]*"'
    assert [text for text in texts if re.search(r"[\d}] %", re.sub(quoted, "", text))] == []
