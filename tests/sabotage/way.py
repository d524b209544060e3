"""A way to install a sound loop wrong: a small change of its tables, and what must be found."""

from collections.abc import Callable
from dataclasses import dataclass
from random import Random
from typing import Any

Table = dict[str, Any]
Change = Callable[[Table, Random], None]

# Places of the parts of a sound loop.
INTAKE, SEACOCK, HOSE_IN, STRAINER, HOSE_PUMP, PUMP = range(6)
BLEED, HOSE_UP, UNIT, HOSE_OUT, OUTLET = range(6, 11)


@dataclass(frozen=True)
class Sabotage:
    """One way: a name, the change, and the codes of which at least one must be found."""

    name: str
    change: Change
    codes: frozenset[str]

    def __str__(self) -> str:
        return self.name


WAYS: list[Sabotage] = []


def way(*codes: str) -> Callable[[Change], Change]:
    """Registers a change under its function's name."""

    def add(change: Change) -> Change:
        name = change.__name__.replace("_", " ")
        WAYS.append(Sabotage(name, change, frozenset(codes)))
        return change

    return add


def each(name: str, codes: tuple[str, ...], changes: dict[str, Change]) -> None:
    """Registers several changes of one kind."""
    WAYS.extend(Sabotage(f"{name}: {k}", change, frozenset(codes)) for k, change in changes.items())


def put(part: int, **values: Any) -> Change:
    """A change that sets values of one part."""

    def change(table: Table, chance: Random) -> None:
        table["part"][part].update(values)

    return change


def drop(*parts: int) -> Change:
    """A change that omits parts."""

    def change(table: Table, chance: Random) -> None:
        table["part"] = [p for i, p in enumerate(table["part"]) if i not in parts]

    return change


def outlet(height: str) -> Change:
    """A change of the outlet's height."""

    def change(table: Table, chance: Random) -> None:
        table["part"][HOSE_OUT].update(to=height, length="30 ft")
        table["part"][OUTLET]["height"] = height

    return change


def number(text: str) -> float:
    """The number before a unit."""
    return float(text.split()[0])


SHORT = ("flow-short", "flow-marginal", "no-flow", "condensing-high")
AIR = ("air-held", "bleed-missing", "start-head-short", "siphon-uncertain", *SHORT)
SUCTION = ("suction-hump", "suction-above-water", "pump-above-water", "strainer-above-water")


def insert(at: int, *parts: Table) -> Change:
    """A change that inserts parts before the one at a position."""

    def change(table: Table, chance: Random) -> None:
        table["part"][at:at] = [dict(part) for part in parts]

    return change


def move(part: int, to: int) -> Change:
    """A change that takes a part out and inserts it before the one then at a position."""

    def change(table: Table, chance: Random) -> None:
        table["part"].insert(to, table["part"].pop(part))

    return change


def both(*changes: Change) -> Change:
    """Several changes, one after another."""

    def change(table: Table, chance: Random) -> None:
        for one in changes:
            one(table, chance)

    return change


def boat(**values: Any) -> Change:
    """A change that sets values of the boat."""

    def change(table: Table, chance: Random) -> None:
        table["boat"].update(values)

    return change
