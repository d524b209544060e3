"""What is said of the values that nobody has measured: one sentence, the same in every answer."""

from collections.abc import Sequence

from loop.job import Job
from loop.job.guesses import Guess
from loop.margins.guesses import RankedGuess, ranked_guesses
from loop.words.template import Value, capital

# Guesses that are named; the others are counted.
_NAMED = 4
# Share of the need by which a guess must move the flow to be said to narrow the band.
_MATTERS = 0.005
# What a key is called, where a person calls it otherwise.
_CALLED = {"to": "height"}
# How a value is got, as a case of the row `guessed`, where a person does not measure it.
_FROM = {
    "cooling": "plate", "flow_needed": "plate", "curve": "type", "loss": "datasheet",
    "lining": "look",
}  # fmt: skip


def guesses_sentence(job: Job) -> str:
    """The guesses of a job, and which to replace first; "" where it has none."""
    found = ranked_guesses(job)
    if not found:
        return ""
    # The sentences of findings: few jobs have guesses, and a diagnosis has no other use for them.
    from loop.words.finding import Finding
    from loop.words.said import say

    said = say(Finding("guessed", "note", values=guess_values(found)), job)
    return f"{capital(said.message)}. {capital(said.first_fix)}."


def guess_values(found: Sequence[RankedGuess], state: str = "") -> dict[str, Value]:
    """What the row `guessed` is filled with; `state` a case of it that goes before the others.

    `found` : those first whose measuring narrows the band most; at least one.
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
    """What a person calls a guessed value: ``strainer loss``, ``hose bore``."""
    owner = {"water": "sea", "defaults": "hose"}.get(guess.kind, guess.owner)
    return f"{owner} {_CALLED.get(guess.key, guess.key.replace('_', ' '))}"
