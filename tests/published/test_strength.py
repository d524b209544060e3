"""What the outside values would catch a mistake in."""

import pytest

from tests.published.strength import OWN, WITHOUT, constants, is_caught, share_caught


@pytest.mark.parametrize("name", constants())
def test_a_tenth_more_or_less_is_caught_or_no_outside_value_exists(name: str) -> None:
    """A constant that a row comes to catch loses its reason."""
    assert is_caught(name) != (name in WITHOUT or name in OWN)


def test_seven_in_ten_have_an_outside_value() -> None:
    """The others are estimates and rules of the trade, and say so."""
    assert share_caught() >= 0.70
    assert not set(OWN) & set(WITHOUT)
    assert set(OWN) | set(WITHOUT) <= set(constants())
    assert all(OWN.values())
    assert all(WITHOUT.values())
