"""Every row of the truth table is within its tolerance, and the table is in order."""

from collections import Counter

import pytest

from tests.published.relations import RELATIONS
from tests.published.rows import AREAS, DISAGREEMENTS, ROWS, STANDINGS, Row
from tests.published.table import disagreements, markdown_table


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row.id)
def test_printed_value_comes_out(row: Row) -> None:
    assert row.agrees, f"{row.source}: printed {row.printed} {row.unit}, ours {row.ours:.7g}"


@pytest.mark.parametrize("row", DISAGREEMENTS, ids=lambda row: row.id)
def test_a_known_disagreement_has_a_reason_and_is_one(row: Row) -> None:
    """A row that comes to agree belongs in the table instead."""
    assert row.note
    assert not row.agrees


def test_the_table_is_broad_and_in_order() -> None:
    assert len(ROWS) >= 40
    assert all(count >= 4 for count in Counter(row.area for row in ROWS).values())
    assert {row.area for row in ROWS} == set(AREAS)
    assert {row.standing for row in ROWS} <= set(STANDINGS)
    assert {row.relation for row in ROWS + DISAGREEMENTS} == set(RELATIONS)
    ids = [row.id for row in ROWS + DISAGREEMENTS]
    assert len(ids) == len(set(ids))


def test_a_tolerance_wider_than_the_digits_gives_its_reason() -> None:
    """Half a unit of the last digit of the shortest decimal form, unless a note says why."""
    for row in ROWS:
        digits = f"{row.printed:.10g}".partition(".")[2]
        half = 0.5 * 10.0 ** -len(digits)
        assert row.tolerance <= half * (1 + 1e-9) or row.note, row.id


def test_markdown_has_a_line_for_every_row() -> None:
    text = markdown_table() + disagreements()
    for row in ROWS + DISAGREEMENTS:
        assert f"| {row.what} | {row.source}" in text
