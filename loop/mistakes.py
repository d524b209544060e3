"""Translate validation errors from the library's words into the trade's."""

import difflib
from collections.abc import Callable, Iterable, Mapping
from datetime import date, time
from typing import TYPE_CHECKING, Any

from loop.trade_names import key_meant, kinds_meant, of_closed_loop
from loop.wrong import wrong

if TYPE_CHECKING:
    from pydantic import ValidationError

# Tables that a file may contain several times, each with a header.
_SEVERAL = ("condenser", "part", "visit", "branch", "strainers")
# Numeric limits by the library's keys, and their rows.
_LIMITS = {"gt": "limit-gt", "ge": "limit-ge", "lt": "limit-lt", "le": "limit-le"}
# Rows of keys that must be given, by key; "whole" of a table of the whole file.
_EXAMPLES = (
    "example-whole-water", "example-whole-condenser", "example-whole-part", "example-whole-curve",
    "example-whole-pupil", "example-battery", "example-branch", "example-cooling", "example-curve",
    "example-date", "example-drive", "example-electrical", "example-fault", "example-height",
    "example-length", "example-loss", "example-name", "example-part", "example-port",
    "example-rated_supply", "example-serves", "example-temperature", "example-to", "example-unit",
    "example-values", "example-voltage",
)  # fmt: skip
_OWN_WORDS = (
    "quantity", "pump", "hose", "seacock", "loss", "condenser", "water", "guessed", "day", "topic",
)  # fmt: skip


class JobError(ValueError):
    """Mistakes in a user's file: one line each in `problems`.

    Each line names the file and the place, and says what is wrong and what would be right.
    """

    problems: list[str]

    def __init__(self, problems: list[str]) -> None:
        self.problems = problems
        super().__init__("\n".join(problems))


def why(item: dict[str, Any], known: Iterable[str] = ()) -> str:
    """What is wrong and what would be right, for one item of ``ValidationError.errors()``.

    `known`: keys of the table that contains the mistake.
    """
    kind, given = item["type"], item.get("input")
    context = item.get("ctx", {})
    if kind in _OWN_WORDS:
        return str(item["msg"])
    if kind == "not_text":
        return wrong("not-a-text", given=_short(given), offers=context["offers"])
    if kind == "not_stated":
        return wrong("given-not-like", given=_short(given), like=context["like"])
    if kind == "extra_forbidden":
        instead = _instead(str(item["loc"][-1]), sorted(known), "known-here")
        return wrong("key-unknown", instead=instead)
    if kind == "missing":
        return _missing(item["loc"])
    if kind in ("union_tag_invalid", "union_tag_not_found"):
        kinds = [tag.strip("' ") for tag in str(context.get("expected_tags", "")).split(",")]
        tag = given.get("kind") if isinstance(given, dict) else None
        if tag is None:
            return wrong("kind-missing")
        if of_closed_loop(str(tag)):
            return wrong("kind-of-closed-loop", given=_short(tag))
        meant = wrong("or").join(map(repr, kinds_meant(str(tag), kinds)))
        near = _instead(str(tag).lower(), kinds, "one-of")
        instead = wrong("did-you-mean", meant=meant) if meant else near
        return wrong("kind-unknown", given=_short(tag), instead=instead)
    if kind == "literal_error":
        return wrong("not-known-here", given=_short(given), expected=context["expected"])
    if kind == "model_type" and "via" in item["loc"]:
        return wrong("not-a-height", given=_short(given))
    if kind in ("model_type", "model_attributes_type", "dict_type"):
        return wrong("not-a-table", given=_short(given))
    if kind in ("tuple_type", "list_type") and isinstance(given, dict) and _header(item["loc"]):
        return wrong("one-table", header=_header(item["loc"]))
    if kind in ("tuple_type", "list_type"):
        return wrong("not-a-list", given=_short(given))
    if kind == "string_type":
        return wrong("not-quoted", given=_short(given))
    if kind in ("bool_type", "bool_parsing"):
        return wrong("not-true-or-false", given=_short(given))
    if kind in ("float_type", "float_parsing", "int_type", "int_parsing", "int_from_float"):
        row = "not-whole" if kind.startswith("int") else "not-plain"
        return wrong(row, given=_short(given))
    if kind.startswith("date_"):
        return wrong("no-day", text=str(given)[:40])
    if kind == "finite_number":
        return wrong("not-finite-number", given=_short(given))
    if kind in ("too_short", "too_long"):
        limit = context.get("min_length", context.get("max_length"))
        row = "too-few" if kind == "too_short" else "too-many"
        return wrong(row, limit=limit, count=context["actual_length"])
    if kind == "string_too_short" and context["min_length"] == 1:
        return wrong("empty")
    if kind in ("string_too_short", "string_too_long"):
        limit = context.get("min_length", context.get("max_length"))
        return wrong("too-short" if kind == "string_too_short" else "too-long", limit=limit)
    for key, row in _LIMITS.items():
        if kind.startswith(("greater_than", "less_than")) and key in context:
            return wrong(row, given=_short(given), limit=context[key])
    if kind == "string_pattern_mismatch":
        return wrong("not-of-form", given=_short(given))
    return wrong("does-not-fit-here", given=_short(given))


def lines(
    error: "ValidationError", keys_of: Callable[[Mapping[str, Any]], Iterable[str]]
) -> list[str]:
    """One line for each mistake in a table: its place, counted from 1, and `why`.

    `keys_of` returns the keys known in the table of an item of ``error.errors()``.
    """
    found = []
    for item in once(error.errors(), keys_of):
        where = " ".join(str(step + 1 if isinstance(step, int) else step) for step in item["loc"])
        told = why(item, keys_of(item)).splitlines()
        found += [f"{where}: {line}" if where else line for line in told]
    return found


def once(
    items: Iterable[Mapping[str, Any]], keys_of: Callable[[Mapping[str, Any]], Iterable[str]]
) -> list[dict[str, Any]]:
    """Items of ``ValidationError.errors()`` without those that another item explains.

    Dropped are keys that are missing because they are misspelled, and lists that are long enough as
    written: the library counts only valid items. `keys_of` returns the keys known in the table of
    an item. A misspelled key is reported as unknown, with the key it was meant to be.
    """
    told = [dict(item) for item in items if not _long_enough(item)]
    meant = {
        (item["loc"][:-1], nearest(str(item["loc"][-1]), keys_of(item)))
        for item in told
        if item["type"] == "extra_forbidden"
    }
    return [
        item
        for item in told
        if item["type"] != "missing" or (item["loc"][:-1], item["loc"][-1]) not in meant
    ]


def _long_enough(item: Mapping[str, Any]) -> bool:
    short = item["type"] == "too_short"
    return short and bool(len(item["input"]) >= item["ctx"]["min_length"])


def nearest(name: str, known: Iterable[str]) -> str | None:
    """The known key of this trade name, or else the one most like `name`; None if there is none.

    >>> nearest("lenght", ["length", "to"])
    'length'
    """
    known = list(known)
    return key_meant(name, known) or most_like(name, known)


def _missing(loc: tuple[int | str, ...]) -> str:
    """What is missing, with an example of the key, or of the table at the top of a file."""
    row = f"example-{loc[-1]}" if len(loc) > 1 else f"example-whole-{loc[-1]}"
    row = row if row in _EXAMPLES else f"example-{loc[-1]}"
    return wrong("key-missing-so", example=wrong(row)) if row in _EXAMPLES else wrong("key-missing")


def _header(loc: tuple[int | str, ...]) -> str:
    """What the brackets of a repeatable table's header contain; "" for other tables.

    >>> _header(("part", 7, "manifold", "branch"))
    'part.branch'
    """
    if not loc or loc[-1] not in _SEVERAL:
        return ""
    return ".".join(str(step) for step in loc if step in (*_SEVERAL, "sizing"))


def _instead(name: str, known: list[str], otherwise: str) -> str:
    near = nearest(name, known)
    return (
        wrong("did-you-mean", meant=repr(near))
        if near
        else wrong(otherwise, known=", ".join(known))
    )


def _short(given: Any) -> str:
    """A value as TOML spells it, or its type or beginning if it is long."""
    if isinstance(given, bool):
        return str(given).lower()
    if isinstance(given, dict):
        return wrong("a-table")
    if isinstance(given, list | tuple):
        return wrong("a-list")
    if isinstance(given, date | time):
        return given.isoformat()
    text = repr(given) if isinstance(given, str) else str(given)
    return text if len(text) <= 40 else f"{text[:37]}…"


def most_like(name: str, known: Iterable[str], cutoff: float = 0.5) -> str | None:
    """The known name closest in spelling; None if none reaches `cutoff`, from 0 to 1."""
    return next(iter(difflib.get_close_matches(name, known, n=1, cutoff=cutoff)), None)
