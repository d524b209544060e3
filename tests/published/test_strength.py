"""What the outside values would catch a mistake in."""

import pytest

from tests.published.strength import WITHOUT, catching, constants


@pytest.mark.parametrize("name", constants())
def test_a_tenth_more_or_less_is_caught_or_no_outside_value_exists(name: str) -> None:
    """A constant that a row comes to catch loses its reason."""
    assert bool(catching(name)) != (name in WITHOUT)


def test_a_third_of_the_constants_have_an_outside_value() -> None:
    """The others are estimates and rules of the trade, and say so."""
    every = constants()
    known = {name for name in every if name not in WITHOUT}
    assert len(known) >= len(every) / 3
    assert all(WITHOUT.values())
