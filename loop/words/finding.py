"""A finding as data: a code, a place, values, and the actions that cure it."""

from collections.abc import Mapping
from dataclasses import field
from typing import Any, Literal

from loop.records import dataclass
from loop.words.actions import Action
from loop.words.template import Value

# danger: harm to people, boat or equipment; fault: a unit that will not cool.
Level = Literal["danger", "fault", "warning", "note"]
# Gravest first.
LEVELS: tuple[Level, ...] = ("danger", "fault", "warning", "note")


# Values that mark a state of the loop: at rest, or as it stands before a change.
AT_REST = {"state": "rest"}
AS_IT_STANDS = {"state": "as it stands"}

_RANK = {level: rank for rank, level in enumerate(LEVELS)}


def graver(one: Level, other: Level) -> bool:
    """Whether `one` is at least as grave as `other`."""
    return _RANK[one] <= _RANK[other]


@dataclass(frozen=True)
class Place:
    """Place of a finding: a part by address, a point along it [m], a unit or a branch by name.

    ``along`` is measured from the part's start; None for the whole part, or for its end.
    """

    part: str | None = None
    along: float | None = None
    unit: str | None = None
    branch: str | None = None

    def to_dict(self) -> dict[str, Any]:
        """The entries that are set."""
        entries = {
            "part": self.part,
            "along": self.along,
            "unit": self.unit,
            "branch": self.branch,
        }
        return {name: value for name, value in entries.items() if value is not None}


@dataclass(frozen=True)
class Finding:
    """One thing that is wrong with a loop, or worth knowing about it.

    ``code`` is a row of `loop.words.codes.CODES`; ``values`` hold every number [SI, °C] and name in
    its text, with ``case`` for the row's variant, and ``state``, "rest", if it holds only without
    the boat's speed. Each of ``actions`` alone cures the finding and causes none of its level or
    graver; the first is preferred. ``basis`` are keys of `loop.words.said.SOURCES`.
    """

    code: str
    level: Level
    at: Place = Place()
    values: Mapping[str, Value] = field(default_factory=dict, hash=False)
    actions: tuple[Action, ...] = ()
    basis: tuple[str, ...] = ()

    def to_dict(self) -> dict[str, Any]:
        """The finding as plain tables, without words."""
        return {
            "code": self.code,
            "level": self.level,
            "at": self.at.to_dict(),
            "values": {
                name: list(value) if isinstance(value, tuple) else value
                for name, value in self.values.items()
            },
            "actions": [action.to_dict() for action in self.actions],
        }
