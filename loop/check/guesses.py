"""Findings about what nobody has measured."""

from collections.abc import Iterator

from loop.check.context import Context
from loop.check.drafts import Draft, draft
from loop.job.guesses import Guess
from loop.margins.guesses import open_guesses
from loop.words import Place

# Guesses that are named; the others are counted.
_NAMED = 4
# Share of the need by which a guess must move the flow to be said to narrow the band.
_MATTERS = 0.005
# What a key is called, where a person calls it otherwise.
_CALLED = {"to": "height"}


def guess_findings(context: Context) -> Iterator[Draft]:
    """pump-nameplate, guessed."""
    plate = context.job.pump.curve.curve.nameplate
    if plate is not None:
        estimated = {"case": "estimated", "estimated": plate.estimated} if plate.estimated else {}
        values = {"pump": context.job.pump.curve.name, **estimated}
        yield draft("pump-nameplate", "note", context.at(context.network.pump_index), values)
    found = open_guesses(context.job)
    if not found:
        return
    names = tuple(dict.fromkeys(_name(one.guess) for one in found))
    more = len(names) - _NAMED
    yield draft(
        "guessed",
        "note",
        Place(),
        {
            "case": None if found[0].width > _MATTERS else "heat only",
            "guesses": names[:_NAMED],
            "more": float(more) if more > 0 else None,
            "first": names[0],
            "width": found[0].width,
        },
    )


def _name(guess: Guess) -> str:
    """What a person calls a guessed value: ``strainer loss``, ``hose bore``."""
    owner = {"water": "sea", "defaults": "hose"}.get(guess.kind, guess.owner)
    return f"{owner} {_CALLED.get(guess.key, guess.key.replace('_', ' '))}"
