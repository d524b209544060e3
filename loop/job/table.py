"""What all tables of the job file have in common."""

from typing import Self

from pydantic import BaseModel, ConfigDict, model_validator

from loop.parts.guessed import Guessed, check_guessed


class Table(BaseModel):
    """A table of the job file: frozen, and closed to unknown keys."""

    model_config = ConfigDict(frozen=True, extra="forbid", defer_build=True)


class MarkedTable(Table):
    """A table in which values can be marked as guesses."""

    guessed: Guessed = ()

    @model_validator(mode="after")
    def _guesses(self) -> Self:
        check_guessed(self, self.guessed)
        return self
