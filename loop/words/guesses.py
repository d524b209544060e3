"""The sentence about values that nobody has measured, the same in every answer."""

from collections.abc import Sequence

from loop.job import Job
from loop.job.guesses import Guess
from loop.margins.guesses import RankedGuess, ranked_guesses
from loop.words.template import Value, capital

# Most guesses that are named; the rest are counted.
_NAMED = 4
# Share of the need by which a guess must move the flow to count as widening the band.
_MATTERS = 0.005
# Names of keys that a person calls something else.
_CALLED = {"to": "height"}
# Source of a value that is not measured, as a case of the row `guessed`.
_FROM = {
    "cooling": "plate", "flow_needed": "plate", "curve": "type", "loss": "datasheet",
    "lining": "look",
}  # fmt: skip


def guesses_sentence(job: Job) -> str:
    """The guesses of a job, and which to replace first; "" if there are none."""
    found = ranked_guesses(job)
    if not found:
        return ""
    # Imported here: few jobs have guesses, and a diagnosis has no other use for these modules.
    from loop.words.finding import Finding
    from loop.words.said import say

    said = say(Finding("guessed", "note", values=guess_values(found)), job)
    return f"{capital(said.message)}. {capital(said.first_fix)}."


def guess_values(found: Sequence[RankedGuess], state: str = "") -> dict[str, Value]:
    """Values for the row `guessed`; `state` is a case that precedes the others.

    `found` holds at least one, in order of how much measuring it narrows the band.
    """
    names = tuple(dict.fromkeys(guess_name(one.guess) for one in found))
    first = found[0]
    way = _FROM.get(first.guess.key, "measure")
    values: dict[str, Value] = {
        "case": f"{state} {way if first.width > _MATTERS else f'{way}-heat'}".strip(),
        "guesses": names[:_NAMED],
        "first": names[0],
        "width": first.width,
    }
    return values | ({"more": float(len(names) - _NAMED)} if len(names) > _NAMED else {})


def guess_name(guess: Guess) -> str:
    """Trade name of a guessed value: ``strainer loss``, ``hose bore``."""
    owner = {"water": "sea", "defaults": "hose"}.get(guess.kind, guess.owner)
    return f"{owner} {_CALLED.get(guess.key, guess.key.replace('_', ' '))}"
