"""Results as plain tables: the table's keys, the result's values, nothing that JSON lacks."""

import math

import pytest
from typing_extensions import TypedDict

from loop.answers import plain, table_of
from loop.records import dataclass


@dataclass(frozen=True)
class Leg:
    name: str
    heights: tuple[float, ...]


@dataclass(frozen=True)
class Loop:
    flow: float
    legs: tuple[Leg, ...]
    inside: str = "not printed"

    @property
    def stands(self) -> bool:
        return self.flow == 0


class Head(TypedDict):
    loop: str


class Printed(Head):
    legs: list[Leg]
    flow: float
    stands: bool


def test_records_in_records_are_tables_and_what_is_no_number_is_none() -> None:
    found = {"some": (Leg("a", (1.0, math.nan)), [math.inf, -math.inf, True, 0, None, "inf"])}
    assert plain(found) == {
        "some": [{"name": "a", "heights": [1.0, None]}, [None, None, True, 0, None, "inf"]]
    }


def test_a_table_has_its_own_keys_in_their_order() -> None:
    table = table_of(Printed, Loop(0.0, (Leg("a", (math.inf,)),)), loop="1.0")
    assert table == {
        "loop": "1.0",
        "legs": [{"name": "a", "heights": [None]}],
        "flow": 0.0,
        "stands": True,
    }
    assert list(table) == ["loop", "legs", "flow", "stands"]


def test_a_key_that_the_result_has_not_must_be_given() -> None:
    with pytest.raises(AttributeError, match="loop"):
        table_of(Printed, Loop(0.0, ()))
