"""The list of relations, by name."""

from collections.abc import Callable
from dataclasses import dataclass

Function = Callable[..., float]


@dataclass(frozen=True)
class Relation:
    """A function of a row's inputs, and the kind of quantity it returns in SI."""

    function: Function
    kind: str


RELATIONS: dict[str, Relation] = {}


def relation(kind: str = "") -> Callable[[Function], Function]:
    """Registers a function under its own name; `kind` is one of `loop.units`."""

    def add(function: Function) -> Function:
        RELATIONS[function.__name__] = Relation(function, kind)
        return function

    return add
