"""What people believe of a loop, how the quiz asks about it, and what it answers.

Every row is a text with places for facts of the loop that is asked about; ``{right}`` is the
program's answer, ``{tempting}`` what the belief gives.
"""

from collections.abc import Mapping

from loop.records import dataclass

# How a question of flow ends, by its quantity.
ASKED = {
    "flow": "What flow comes out of the side?",
    "bucket": "How long does a {bucket:volume.0} bucket take to fill at the discharge?",
}
NEITHER = "Neither the loop nor the belief gives this. {why}"
# What it means for a bleed there that a high point stands above that height, or below it.
AT_A_BLEED = {
    "above": "higher than that: a bleed opened there while the pump runs draws air in. Open it"
    " while the line fills, and shut it before the stream runs.",
    "below": "lower than that: here a bleed lets out air while the pump runs; measure before you"
    " rely on it.",
}


@dataclass(frozen=True)
class Said:
    """The words of one way of asking: what is asked, what holds, why the other answer tempts."""

    asks: str
    holds: str
    tempts: str


@dataclass(frozen=True)
class Belief:
    """A belief, and the words of each way of asking about it."""

    belief: str
    said: Mapping[str, Said]


def alike(belief: str, shapes: str, asks: str, holds: str, tempts: str) -> Belief:
    """A belief that is asked about in several ways in the same words."""
    return Belief(belief, dict.fromkeys(shapes.split(), Said(asks, holds, tempts)))
