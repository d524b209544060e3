"""Which parts are new articles to buy, and which only move or get another setting."""

from loop.parts import Intake, Part, Pump, Seacock
from loop.records import dataclass
from loop.sheet.content import Item


@dataclass(frozen=True)
class Piece:
    """A line of the list without its count, and the key that tells one article from another."""

    item: Item
    article: tuple[str, ...]

    @classmethod
    def of(cls, item: Item) -> "Piece":
        """A line whose key is its whole text."""
        return cls(item, (item.what, item.size, item.note))


def article(part: Part, item: Item) -> tuple[str, ...]:
    """The key that makes a part a different article; its setting does not count."""
    match part:
        case Seacock():
            return (part.kind, item.size)
        case Pump():
            return (item.what, item.size)
        case Intake():
            # A scoop can be turned to face the other way; a flush grate is a different article.
            return (item.size, str(part.facing == "flush"), str(part.grate_area))
    return (item.what, item.size, item.note)


def not_cut_from(stock: list[float], lengths: list[float]) -> list[int]:
    """Indexes of the hoses that cannot be cut from stock [m]; the longest are cut first.

    >>> not_cut_from([15.0], [5.0, 10.0]), not_cut_from([6.0, 2.0], [8.0, 2.0])
    ([], [0])
    """
    left, new = sorted(stock), []
    for number in sorted(range(len(lengths)), key=lambda n: -lengths[n]):
        length = lengths[number]
        fits = next((n for n, at_hand in enumerate(left) if at_hand >= length - 1e-9), None)
        if fits is None:
            new.append(number)
        else:
            left[fits] -= length
            left.sort()
    return sorted(new)
