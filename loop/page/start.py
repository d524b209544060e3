"""The first text of a new job: a small loop of typical sizes, all of them to be replaced."""

from loop.job.draft import draft
from loop.job.questions import QUESTIONS, usual
from loop.units import System


def first_text(title: str, units: System) -> str:
    """A job file that works, with the usual answer to every question of `loop new`."""
    answers = {"title": title, "units": units}
    for name in QUESTIONS:
        answers.setdefault(name, usual(name, answers))
    return draft(answers)
