"""A step that may be taken next, and what it is worth."""

from loop.diagnose.instruments import Column
from loop.records import dataclass

# What a cure is worth, in bits: it ends the search, of which so much is left as a call begins (the
# entropy of some twenty faults), whatever is known by then.
CURE_BITS = 4.0


@dataclass(frozen=True)
class Gain:
    """A step: what it is expected to tell [bits] and cure (a chance), its minutes and its risk.

    ``key`` is a reading's, or an action's name; ``column`` None for an action. ``fetched`` : of a
    reading, whether what it takes is not at hand and must be fetched first.
    """

    key: str
    gain: float
    cure: float
    minutes: float
    cost: float
    column: Column | None = None
    fetched: bool = False

    @property
    def kind(self) -> str:
        """The action, or the kind of the reading whatever unit it is of."""
        return self.key.partition(".")[0]

    @property
    def worth(self) -> float:
        """Bits a minute, a cure and a risk counted in."""
        return (self.gain + CURE_BITS * self.cure) / self.cost
