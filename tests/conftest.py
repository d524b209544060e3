"""Shared by all tests: the same examples in every run, and one browser."""

import importlib
from collections.abc import Iterator
from typing import Any

import pytest
from hypothesis import settings

from tests.browser import browser, missing

# A failing run can be repeated, however slow it is.
settings.register_profile("steady", derandomize=True, database=None, deadline=None)
settings.load_profile("steady")


@pytest.fixture(scope="session", autouse=True)
def _one_process() -> Iterator[None]:
    """A sizing starts no processes of its own: the tests already use every core."""
    with pytest.MonkeyPatch.context() as patch:
        study = importlib.import_module("loop.size.recommend")
        patch.setattr(study, "processes_available", lambda: 1)
        yield


@pytest.fixture(scope="session")
def chromium() -> Iterator[Any]:
    """A headless browser; without one its tests are skipped, with the reason."""
    why = missing()
    if why:
        pytest.skip(why)
    with browser() as found:
        yield found
