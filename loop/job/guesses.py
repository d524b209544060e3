"""Values of a job that are marked as guesses, with their addresses."""

from collections.abc import Iterator
from typing import TYPE_CHECKING

from loop.job.address import locate
from loop.records import dataclass

if TYPE_CHECKING:
    from loop.job.model import Job


@dataclass(frozen=True)
class Guess:
    """One guessed value: its address, its key, and the name of its owner.

    ``owner`` is a part's label, a unit's name, or the name of a table of the file.
    """

    address: str
    key: str
    owner: str
    kind: str


def guesses(job: "Job") -> tuple[Guess, ...]:
    """Every guess of a job, in the order of the file."""
    return tuple(_all(job))


def _all(job: "Job") -> Iterator[Guess]:
    for name in ("water", "defaults"):
        for key in getattr(job, name).guessed:
            yield Guess(f"{name}.{key}", key, name, name)
    for number, unit in enumerate(job.condenser, 1):
        for key in unit.guessed:
            yield Guess(f"condenser[{number}].{key}", key, unit.name, "unit")
    for at in locate(job.part):
        for key in at.part.guessed:
            yield Guess(f"{at.address}.{key}", key, at.label, at.part.kind)
