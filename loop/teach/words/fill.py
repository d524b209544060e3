"""Sentences with places for values: text as it is, numbers shown in the reader's units."""

from collections.abc import Mapping

from loop.records import dataclass
from loop.units import System, show

Fact = str | float
Facts = Mapping[str, Fact]


@dataclass(frozen=True)
class _Number:
    """A number [SI] that a place in a sentence shows as a quantity."""

    value: float
    system: System

    def __format__(self, asked: str) -> str:
        quantity, _, digits = asked.partition(".")
        if not quantity:
            return f"{self.value:g}"
        return show(self.value, quantity, self.system, int(digits) if digits else None)


def fill(template: str, facts: Facts, system: System) -> str:
    """A sentence with its facts; text stands as it is.

    >>> fill("{name} gets {flow:flow}, or {head:head.2}", {"name": "A", "flow": 2e-4, "head": 1.0}, "si")
    'A gets 12.0 L/min, or 1.00 m'
    """  # noqa: E501
    shown = {
        name: fact if isinstance(fact, str) else _Number(fact, system)
        for name, fact in facts.items()
    }
    return template.format_map(shown)


def capital(text: str) -> str:
    """The text with its first letter as a capital."""
    return text[:1].upper() + text[1:]
