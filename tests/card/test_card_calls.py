"""The eight commonest calls, worked on the card alone by following its next steps."""

from typing import Any

import pytest

from tests.browser import Phone
from tests.card.conftest import Made
from tests.card.thumb import TROUBLES, found, work

# A thumb's patience; and the most minutes of such a call before a part is touched.
MOST_TAPS, MOST_MINUTES = 16, 20.0


@pytest.mark.parametrize("name", TROUBLES)
def test_doing_what_the_card_says_ends_at_what_is_wrong(
    name: str, made: Any, chromium: Any
) -> None:
    trouble = TROUBLES[name]
    one: Made = made(trouble.job)
    phone = Phone(chromium, one.file, clock=True)
    thumb = work(phone, one.study, trouble)
    assert found(thumb.line, trouble)
    assert thumb.taps <= MOST_TAPS
    assert thumb.minutes <= MOST_MINUTES
    if trouble.where:
        where = phone.page.locator(".cause summary").first.inner_text()
        assert trouble.where.removeprefix("branch ") in where
    assert phone.trouble == []
    phone.close()
