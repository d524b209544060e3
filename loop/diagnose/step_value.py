"""A candidate next step and its value."""

from loop.diagnose.instruments import Column
from loop.records import dataclass

# Value of a cure in bits. A cure ends the search, so it is worth the entropy at the start of a call
# (about twenty faults), whatever is known by then.
CURE_BITS = 4.0


@dataclass(frozen=True)
class StepValue:
    """A step: information gain [bits], probability of a cure, minutes, and minutes including risk.

    ``key`` is a reading's key or an action's name; ``column`` None for an action. ``fetched`` :
    whether a reading's tool is not at hand and must be fetched first.
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
        """The action, or the kind of reading without its unit."""
        return self.key.partition(".")[0]

    @property
    def value_per_minute(self) -> float:
        """Bits per minute, including cure and risk."""
        return (self.gain + CURE_BITS * self.cure) / self.cost
