"""Values of a table that are guesses, marked in the file until they are measured."""

from typing import Annotated

from pydantic import BaseModel, Field

from loop.wrong import refused

# Names of keys of the same table, such as ["loss"].
Guessed = Annotated[tuple[str, ...], Field(max_length=20)]
# Keys that hold nothing to measure.
_NO_VALUE = ("kind", "label", "guessed", "branch", "part")


def check_guessed(table: BaseModel, guessed: Guessed) -> None:
    """Raise a pydantic error for a name that is not a key of the table, or has no value there."""
    known = [
        key
        for key in type(table).model_fields
        if key not in _NO_VALUE and getattr(table, key) is not None
    ]
    for name in guessed:
        if name not in known:
            listed = ", ".join(known)
            raise refused("guessed", "guessed-none", name=repr(name[:40]), known=listed)
