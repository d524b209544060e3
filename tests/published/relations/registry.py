"""The list of relations, by name."""

from collections.abc import Callable
from dataclasses import dataclass

Function = Callable[..., float]


@dataclass(frozen=True)
class Relation:
    """A function of a row's inputs, and the kind of quantity that it answers in SI."""

    function: Function
    kind: str


RELATIONS: dict[str, Relation] = {}


def relation(kind: str = "") -> Callable[[Function], Function]:
    """Puts a function on the list under its own name; `kind` is that of `loop.units`."""

    def add(function: Function) -> Function:
        RELATIONS[function.__name__] = Relation(function, kind)
        return function

    return add
