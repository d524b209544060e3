"""Which values of a table are guesses: they stay marked in the file until they are measured."""

from typing import Annotated

from pydantic import BaseModel, Field
from pydantic_core import PydanticCustomError

# Names of keys of the same table, such as ["loss"].
Guessed = Annotated[tuple[str, ...], Field(max_length=20)]


def check_guessed(table: BaseModel, guessed: Guessed) -> None:
    """Raises a pydantic error for a name that is no key of the table, or has no value there."""
    for name in guessed:
        if name not in type(table).model_fields or getattr(table, name, None) is None:
            known = ", ".join(
                key
                for key in type(table).model_fields
                if key not in ("kind", "label", "guessed") and getattr(table, key, None) is not None
            )
            raise PydanticCustomError(
                "guessed",
                "guessed: {name} is no value given here; one of: {known}",
                {"name": repr(name[:40]), "known": known},
            )
