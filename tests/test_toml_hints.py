"""A line that is not TOML: told with what would be right there."""

import pytest

from loop.tomlfile import tables
from loop.wrong import wrong

# A text, and the row of what would be right.
LINES = {
    "bore = “3/4 in”": "file-curly",
    "bore = ‘3/4 in’": "file-curly",
    'bore = "3/4""': "file-inches",
    'bore = "3/4 in\nlining = "ribbed"': "file-open-quote",
    "salinity 35": "file-no-equals",
    "[part]\n[[part]]": "file-header-several",
    "bore = 3/4 in # inside": "file-quotes",
    'bore = "3/4 in",': "file-comma",
}


@pytest.mark.parametrize("text", LINES)
def test_a_broken_line_is_told_with_what_would_be_right(text: str) -> None:
    with pytest.raises(ValueError, match="not TOML") as caught:
        tables(text, "job")
    assert str(caught.value).endswith(wrong(LINES[text]))


def test_a_key_given_twice_is_named() -> None:
    with pytest.raises(ValueError, match="not TOML") as caught:
        tables("[water]\nsalinity = 35\nsalinity = 20\n", "job")
    assert str(caught.value).endswith(wrong("file-key-twice", key="salinity"))


@pytest.mark.parametrize(
    ("text", "place"),
    [
        ('title = "\\u0007"', "title"),
        ('[[part]]\nkind = "hose"\n[[part]]\nvia = ["-2 in", "\\u0007"]', "part 2 via 2"),
        ('[water]\n"a\\u0007b" = 1', "water"),
    ],
)
def test_a_control_character_is_told_with_its_place(text: str, place: str) -> None:
    with pytest.raises(ValueError, match="control character") as caught:
        tables(text, "job")
    assert str(caught.value) == wrong("file-control", name=place, sign=7)
