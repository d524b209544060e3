"""What a validation error means, in words of the trade rather than of the validating library."""

import difflib
from collections.abc import Callable, Iterable, Mapping
from datetime import date, time
from typing import Any

from loop.trade_names import kinds_meant

# Tables that a file may hold several of, a header each.
_SEVERAL = ("condenser", "part", "visit", "branch", "strainers")
_OWN_WORDS = ("quantity", "pump", "hose", "loss", "condenser", "water", "guessed", "day")


def why(item: dict[str, Any], known: Iterable[str] = ()) -> str:
    """What is wrong and what would be right, for one item of ``ValidationError.errors()``.

    `known` are the keys of the table in which the mistake stands.
    """
    kind, given = item["type"], item.get("input")
    context = item.get("ctx", {})
    if kind in _OWN_WORDS:
        return str(item["msg"])
    if kind == "not_text":
        return f"{_short(given)} is not text with a unit; units that fit: {context['offers']}"
    if kind == "not_stated":
        return f"{_short(given)} is not {context['like']}"
    if kind == "extra_forbidden":
        return f"unknown key; {_instead(str(item['loc'][-1]), sorted(known), 'known here')}"
    if kind == "missing":
        return "is missing; it must be given"
    if kind in ("union_tag_invalid", "union_tag_not_found"):
        kinds = [tag.strip("' ") for tag in str(context.get("expected_tags", "")).split(",")]
        tag = given.get("kind") if isinstance(given, dict) else None
        if tag is None:
            return 'kind is missing; give it as kind = "hose" or another kind of part'
        meant = " or ".join(map(repr, kinds_meant(str(tag), kinds)))
        instead = f"did you mean {meant}?" if meant else _instead(str(tag), kinds, "one of")
        return f"unknown kind {_short(tag)}; {instead}"
    if kind == "literal_error":
        return f"{_short(given)} is not known here; use {context['expected']}"
    if kind == "model_type" and "via" in item["loc"]:
        return f'must be a height, such as "-12 in", or a table {{at, height}}, not {_short(given)}'
    if kind in ("model_type", "model_attributes_type", "dict_type"):
        return f"must be a table, not {_short(given)}"
    if kind in ("tuple_type", "list_type") and isinstance(given, dict) and _header(item["loc"]):
        return f"is one table; there can be several, so write [[{_header(item['loc'])}]]"
    if kind in ("tuple_type", "list_type"):
        return f"must be a list, in [ ], not {_short(given)}"
    if kind == "string_type":
        return f"must be text in quotes, not {_short(given)}"
    if kind in ("bool_type", "bool_parsing"):
        return f"must be true or false, not {_short(given)}"
    if kind in ("float_type", "float_parsing", "int_type", "int_parsing", "int_from_float"):
        whole = "a whole number" if kind.startswith("int") else "a plain number"
        return f"must be {whole}, without quotes or unit, not {_short(given)}"
    if kind == "finite_number":
        return f"must be a finite number, not {_short(given)}"
    if kind in ("too_short", "too_long"):
        limit = context.get("min_length", context.get("max_length"))
        word = "at least" if kind == "too_short" else "at most"
        return f"must hold {word} {limit}; it holds {context['actual_length']}"
    if kind == "string_too_short" and context["min_length"] == 1:
        return "must not be empty"
    if kind in ("string_too_short", "string_too_long"):
        limit = context.get("min_length", context.get("max_length"))
        word = "at least" if kind == "string_too_short" else "at most"
        return f"must have {word} {limit} characters"
    limits = {"greater_than": "above", "greater_than_equal": "at least"}
    limits |= {"less_than": "below", "less_than_equal": "at most"}
    if kind in limits:
        limit = next(context[key] for key in ("gt", "ge", "lt", "le") if key in context)
        return f"{_short(given)} is out of range; it must be {limits[kind]} {limit:g}"
    if kind == "string_pattern_mismatch":
        return f"{_short(given)} is not of the form expected"
    return f"{_short(given)} does not fit here"


def once(
    items: Iterable[Mapping[str, Any]], keys_of: Callable[[Mapping[str, Any]], Iterable[str]]
) -> list[dict[str, Any]]:
    """Items of ``ValidationError.errors()`` without the missing keys that are only misspelt.

    `keys_of` gives the keys known in the table where an item stands. A misspelt key is told as
    unknown, with the one that it was meant to be.
    """
    told = [dict(item) for item in items]
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


def nearest(name: str, known: Iterable[str]) -> str | None:
    """The known name that is most like `name`, or None where none is like it.

    >>> nearest("lenght", ["length", "to"])
    'length'
    """
    return next(iter(difflib.get_close_matches(name, known, n=1, cutoff=0.5)), None)


def _header(loc: tuple[int | str, ...]) -> str:
    """What stands between the brackets of a table of which there can be several; "" for others.

    >>> _header(("part", 7, "manifold", "branch"))
    'part.branch'
    """
    if not loc or loc[-1] not in _SEVERAL:
        return ""
    return ".".join(str(step) for step in loc if step in (*_SEVERAL, "sizing"))


def _instead(name: str, known: list[str], otherwise: str) -> str:
    near = nearest(name, known)
    return f"did you mean {near!r}?" if near else f"{otherwise}: {', '.join(known)}"


def _short(given: Any) -> str:
    """A value as TOML has it, or what it is where it is long."""
    if isinstance(given, bool):
        return str(given).lower()
    if isinstance(given, dict):
        return "a table"
    if isinstance(given, list | tuple):
        return "a list"
    if isinstance(given, date | time):
        return given.isoformat()
    text = repr(given) if isinstance(given, str) else str(given)
    return text if len(text) <= 40 else f"{text[:37]}…"
