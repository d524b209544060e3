"""Findings about what nobody has measured: nameplates, and values that were guessed."""

from loop.words.row import Row

_BAND = (
    "only {pump}'s nameplate is known: its curve is the usual shape of small centrifugal pumps, an "
    "estimate, and the band is wider"
)

GUESSES: dict[str, Row] = {
    "pump-nameplate": Row(
        title="Pump known by its nameplate",
        levels=("note",),
        message=_BAND,
        fix="get the maker's curve, or measure the flow once the loop runs",
        basis=("nameplate",),
        cases={
            "estimated": {"message": f"{_BAND}; its {{estimated}} is estimated from its power"},
        },
    ),
    "guessed": Row(
        title="Guessed values",
        levels=("note",),
        message="guesses: {guesses:list}[ and {more:number.0} more]",
        fix="measure the {first}: it would narrow the band most",
        basis=("guess",),
        cases={
            "heat only": {
                "fix": "measure the {first}, and take it out of the list of guesses in the file"
            },
        },
    ),
}
