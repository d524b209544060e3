"""Which constants the outside values would catch an error in."""

import pytest

from tests.published.strength import (
    FACTORS,
    OWN,
    WITHOUT,
    catching,
    constants,
    is_caught,
    share_caught,
)

REASONED = (*OWN, *WITHOUT)


@pytest.mark.parametrize("name", [name for name in constants() if name not in REASONED])
def test_a_tenth_more_or_less_is_caught(name: str) -> None:
    assert is_caught(name)


@pytest.mark.parametrize("factor", FACTORS)
def test_where_no_outside_value_exists_none_catches_a_tenth(factor: float) -> None:
    """A constant that a row comes to catch loses its reason: all are changed at once."""
    assert catching(REASONED, factor) == []


@pytest.mark.extended
@pytest.mark.parametrize("name", REASONED)
def test_nor_does_any_catch_one_by_itself(name: str) -> None:
    assert not is_caught(name)


def test_seven_in_ten_have_an_outside_value() -> None:
    """The others are estimates and rules of the trade, and labeled so."""
    assert share_caught() >= 0.70
    assert not set(OWN) & set(WITHOUT)
    assert set(OWN) | set(WITHOUT) <= set(constants())
    assert all(OWN.values())
    assert all(WITHOUT.values())
