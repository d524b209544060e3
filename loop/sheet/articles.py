"""What in the loop is another article in a shop, and what only another place or setting."""

from loop.parts import Intake, Part, Pump, Seacock
from loop.records import dataclass
from loop.sheet.content import Item


@dataclass(frozen=True)
class Piece:
    """A line of the list without its count, and what makes it another article in a shop."""

    item: Item
    article: tuple[str, ...]

    @classmethod
    def of(cls, item: Item) -> "Piece":
        """Of a line in which every word counts."""
        return cls(item, (item.what, item.size, item.note))


def article(part: Part, item: Item) -> tuple[str, ...]:
    """What makes a part another article than one that is there; how it is set does not."""
    match part:
        case Seacock():
            return (part.kind, item.size)
        case Pump():
            return (item.what, item.size)
        case Intake():
            # A scoop is turned, to face the other way; a flush grate is another thing.
            return (item.size, str(part.facing == "flush"), str(part.grate_area))
    return (item.what, item.size, item.note)


def not_cut_from(stock: list[float], lengths: list[float]) -> list[int]:
    """Numbers of the hoses that no hose at hand is long enough for [m]; the longest are cut first.

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
