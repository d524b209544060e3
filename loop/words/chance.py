"""A chance as text."""

from loop.words.sizing import SAY


def chance(value: float) -> str:
    """A chance as text; never a certainty, since samples cannot show one."""
    if value >= 0.995:
        return SAY("chance-most")
    if value < 0.005:
        return SAY("chance-least")
    return SAY("chance", percent=f"{100 * value:.0f}")
