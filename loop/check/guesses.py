"""Findings about values that nobody has measured."""

from collections.abc import Callable, Iterator, Sequence

from loop.check.build_context import build_context
from loop.check.context import Context
from loop.check.drafts import Draft, draft
from loop.job.guesses import Guess
from loop.margins.guesses import RankedGuess, at_range_ends, low_edge_share, ranked_guesses
from loop.words import Place
from loop.words.guesses import guess_name, guess_values

Finder = Callable[[Context], Iterator[Draft]]


def guess_findings(context: Context, of_heights: Sequence[Finder]) -> Iterator[Draft]:
    """pump-nameplate, guessed; `of_heights` are the finders for wrong heights."""
    plate = context.job.pump.curve.curve.nameplate
    if plate is not None:
        estimated = {"case": "estimated", "estimated": plate.estimated} if plate.estimated else {}
        plated = {"pump": context.job.pump.curve.name, **estimated}
        yield draft("pump-nameplate", "note", context.place(context.network.pump_index), plated)
    found = ranked_guesses(context.job)
    if not found:
        return
    share = _short(context, found)
    height = next((one for one in found if _harms(context, one.guess, of_heights)), None)
    values = guess_values(found, "" if share is None else "short")
    if share is None and height is not None:
        values |= {"case": "height", "first": guess_name(height.guess)}
    grave = share is not None or height is not None
    yield draft("guessed", "warning" if grave else "note", Place(), {**values, "share": share})


def _short(context: Context, found: Sequence[RankedGuess]) -> float | None:
    """Least flow over need that the guesses leave open, if below 1 where all units have enough."""
    shares = [unit.flow / unit.needed_flow for unit in context.condensers]
    low = min(unit.flow_low / unit.needed_flow for unit in context.condensers)
    least = low_edge_share(min(shares), low, found)
    return least if least < 1 <= low else None


def _harms(context: Context, guess: Guess, finders: Sequence[Finder]) -> bool:
    """Whether a guessed height, somewhat higher or lower, brings a warning or worse."""
    known = {code for code, _ in _grave(context, finders)}
    return any(
        code not in known
        for job in at_range_ends(context.job, guess)
        for code, _ in _grave(build_context(job), finders)
    )


def _grave(context: Context, finders: Sequence[Finder]) -> Iterator[tuple[str, Place]]:
    for finder in finders:
        for found in finder(context):
            if found.level != "note":
                yield found.code, found.at
