"""The words of a drill: safety steps, what the customer says, and how a call ends."""

from collections.abc import Mapping

from loop.teach.words.tables import read_words

_WORDS = read_words("drills")

HELP, STOPPED, CHANGED = (str(_WORDS[name]) for name in ("help", "stopped", "changed"))
FIXED, HALF, UNFIXED = (str(_WORDS[name]) for name in ("fixed", "half", "unfixed"))
# What the points are for, and why some are missing.
POINTS: Mapping[str, str] = _WORDS["points"]
LESS: Mapping[str, str] = _WORDS["less"]
# What is done before a thing is touched, by name; what each thing to do, and each repair, asks for.
SAFETY: Mapping[str, str] = _WORDS["safety"]
ASKS: Mapping[str, tuple[str, ...]] = {k: tuple(v) for k, v in _WORDS["asks"].items()}
REPAIR_ASKS: Mapping[str, tuple[str, ...]] = {k: tuple(v) for k, v in _WORDS["repair-asks"].items()}
COMPLAINTS: Mapping[str, list[str]] = _WORDS["complaints"]


def repair_asks(fault: str) -> tuple[str, ...]:
    """What the repair of a fault asks for first: of one that has no row, as an opened line does."""
    return REPAIR_ASKS.get(fault, REPAIR_ASKS["opened"])
