"""Values that parts take from the job if they state none themselves."""

from typing import Annotated, Any

from pydantic import ValidationError

from loop.job.table import MarkedTable
from loop.parts import Manifold, Part
from loop.parts.hose import Lining
from loop.plain_text import ANY_CASE
from loop.units.fields import Bore, Roughness


class Defaults(MarkedTable):
    """Values for parts that do not state their own."""

    bore: Bore | None = None
    lining: Annotated[Lining | None, ANY_CASE] = None
    roughness: Roughness | None = None


def usable_defaults(given: Any, context: Any) -> dict[str, Any]:
    """The defaults to apply to the parts.

    A wrong default is reported once, not again at every part that would take it: a placeholder
    replaces a wrong bore, and the job is refused in any case.
    """
    if isinstance(given, Defaults):
        return given.model_dump(exclude_none=True)
    usable: dict[str, Any] = {}
    for key in Defaults.model_fields:
        if isinstance(given, dict) and key in given:
            try:
                Defaults.model_validate({key: given[key]}, context=context)
                usable[key] = given[key]
            except ValidationError:
                if key == "bore":
                    usable[key] = "1 in"
    return usable


# Which kinds take which defaults; a pump's port and a hose's barb have their own bores.
_HAS_LINING = {"hose"}
_NO_DEFAULT_BORE = {"pump"}


def with_defaults(part: Any, defaults: dict[str, Any]) -> Any:
    """A part, as a table or a `Part`, with the job's defaults for values that it does not state."""
    if isinstance(part, Part):
        if isinstance(part, Manifold):
            part = part.with_lines(lambda line: (with_defaults(inner, defaults) for inner in line))
        applicable = _applicable(part.kind, part.model_fields_set, defaults)
        # A copy is not validated again, and defaults may still be text.
        values = Defaults.model_validate(applicable).model_dump(
            exclude={"guessed"}, exclude_none=True
        )
        return part.model_copy(update=values) if values else part
    if not isinstance(part, dict):
        return part
    filled = {**_applicable(part.get("kind"), set(part), defaults), **part}
    branches = part.get("branch")
    if isinstance(branches, list | tuple):
        filled["branch"] = [
            {**branch, "part": [with_defaults(inner, defaults) for inner in branch["part"]]}
            if isinstance(branch, dict) and isinstance(branch.get("part"), list | tuple)
            else branch
            for branch in branches
        ]
    return filled


def _applicable(kind: Any, given: set[str], defaults: dict[str, Any]) -> dict[str, Any]:
    found: dict[str, Any] = {}
    if not isinstance(kind, str):
        return found
    if "bore" in defaults and "bore" not in given and kind not in _NO_DEFAULT_BORE:
        found["bore"] = defaults["bore"]
    if kind in _HAS_LINING and not given & {"lining", "roughness"}:
        found |= {key: defaults[key] for key in ("lining", "roughness") if key in defaults}
    return found


def keys_from_defaults(part: Part, defaults: Defaults) -> set[str]:
    """Keys of a part whose values equal those that the job's defaults would give."""
    given = {name for name in part.model_fields_set if getattr(part, name) is not None}
    known = defaults.model_dump(exclude={"guessed"}, exclude_none=True)
    found: set[str] = set()
    # Lining and roughness are taken together, or not at all.
    for keys in ({"bore"}, {"lining", "roughness"}):
        stated = {name: getattr(part, name) for name in keys & given}
        applicable = _applicable(part.kind, given - keys, known)
        if stated and stated == {name: value for name, value in applicable.items() if name in keys}:
            found |= stated.keys()
    return found - set(part.guessed)
