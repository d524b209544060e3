"""The first text of a new job: a small loop of typical sizes, all of them marked as guesses."""

from loop.job.draft import draft
from loop.job.questions import known
from loop.units import System


def first_text(title: str, units: System) -> str:
    """A job file that works, with a typical value, marked as a guess, for every question."""
    values, guessed = known({"title": title, "units": units})
    return draft(values, guessed)
