"""A job file's text with a baseline or a visit added, the person's own text left unchanged."""

import re
import tomllib
from pathlib import Path
from typing import Any

from loop.job import Fitted, JobError, Visit, parse_job, read_toml
from loop.tomlfile import key_of, quoted, unmarked, value_of
from loop.words.diagnosis import SAY

_HEADER = re.compile(r"^[ \t]*\[[ \t]*fitted[ \t]*\][^\n]*\n", re.MULTILINE)
# A line that begins a table, and one that sets a factor.
_TABLE = re.compile(r"^[ \t]*\[", re.MULTILINE)
_FACTOR = re.compile(r"^[ \t]*(?:loss|pump|ua)[ \t]*=[^\n]*\n", re.MULTILINE)


def with_record(text: str, visit: Visit, fitted: Fitted | None = None) -> str:
    """The text of a job file with a visit added and, where given, its fitted factors.

    Updates a visit that already has the same day and readings.
    Keeps comments, order, a byte-order mark and line endings. Raises JobError where the text lists
    its visits in a form that cannot be extended line by line.
    """
    plain, as_before = unmarked(text)
    wanted = tomllib.loads(plain)
    visits, own = wanted.setdefault("visit", []), tomllib.loads(_visit(visit))["visit"][0]
    again = _replaced_visit(visits, own)
    if again is None:
        visits.append(own)
        pieces = [plain, _visit(visit)]
    else:
        pieces = [_with_changed_visit(plain, again, own)]
        visits[again] |= own
    if fitted is not None:
        factors = _factors(fitted)
        if "fitted" in wanted:
            pieces[0] = _with_changed_factors(pieces[0], factors)
        else:
            pieces.append("[fitted]\n" + _lines(factors))
        wanted["fitted"] = factors
    result = "\n".join(piece.rstrip() + "\n" for piece in pieces)
    try:
        same = tomllib.loads(result) == wanted
    except tomllib.TOMLDecodeError:
        same = False
    if not same:
        raise JobError([SAY("wrong-visits")])
    return as_before(result)


def recorded(source: Path, target: Path, visit: Visit, fitted: Fitted | None = None) -> str:
    """The text of the job at `source` with its record, as it can stand at `target`.

    Raises JobError where the file cannot be read, or where the new one would not be a job (such as
    with a pump file next to the old one).
    """
    read_toml(source)  # for its checks: a clear error for invalid TOML
    result = with_record(source.read_bytes().decode(), visit, fitted)
    parse_job(tomllib.loads(unmarked(result)[0]), str(target), target.parent)
    return result


def _replaced_visit(visits: list[dict[str, Any]], own: dict[str, Any]) -> int | None:
    """Index of the last visit with the same day and readings; None where there is none."""

    def is_replaced(visit: dict[str, Any]) -> list[Any]:
        readings = (visit.get(name, {}) for name in ("readings", "before", "under_way"))
        return [str(visit.get("date", "")), *readings]

    return next(
        (n for n in reversed(range(len(visits))) if is_replaced(visits[n]) == is_replaced(own)),
        None,
    )


def _with_changed_visit(text: str, number: int, own: dict[str, Any]) -> str:
    """The text with the changed values of an existing visit, comments kept in place."""
    import tomlkit

    document = tomlkit.parse(text)
    visits: Any = document["visit"]
    for key, value in own.items():
        if visits[number].get(key) != value:
            visits[number][key] = value
    return tomlkit.dumps(document)


def _with_changed_factors(text: str, factors: dict[str, Any]) -> str:
    """The text with the factors in its existing table replaced, comments kept in place."""
    import tomlkit

    document = tomlkit.parse(text)
    table: Any = document["fitted"]
    for key in [key for key in table if key not in factors]:
        del table[key]
    fresh = {key: value for key, value in factors.items() if key not in table}
    for key in factors.keys() - fresh.keys():
        table[key] = factors[key]
    # The library would add them after the comments that head the next table.
    if _HEADER.search(text):
        text = tomlkit.dumps(document)
        at = _last_factor(text)
        return text[:at] + _lines(fresh) + text[at:]
    for key, value in fresh.items():
        table[key] = value
    return tomlkit.dumps(document)


def _last_factor(text: str) -> int:
    """Offset of the line after the table's last plain factor; else after its header."""
    header = _HEADER.search(text)
    assert header is not None
    end = _TABLE.search(text, header.end())
    factors = _FACTOR.finditer(text, header.end(), end.start() if end else len(text))
    return max((factor.end() for factor in factors), default=header.end())


def _visit(visit: Visit) -> str:
    given = {name: getattr(visit, name) for name in ("date", "note", "said", "was", "done")}
    lines = ["[[visit]]"]
    lines += [f"{name} = {value_of(value)}" for name, value in given.items() if value]
    tables = {"readings": visit.readings, "before": visit.before, "under_way": visit.under_way}
    for name, readings in tables.items():
        if readings or name == "readings":
            lines.append(f"[visit.{name}]")
            lines += [f"{key_of(key)} = {quoted(value)}" for key, value in readings.items()]
    return "\n".join(lines) + "\n"


def _factors(fitted: Fitted) -> dict[str, Any]:
    """The table of factors, as parsed from TOML."""
    found: dict[str, Any] = {"loss": fitted.loss, "pump": fitted.pump, "ua": fitted.ua}
    if fitted.spread is not None:
        found["spread"] = list(fitted.spread)
        found["correlation"] = list(fitted.correlation)
    return found | ({"date": fitted.date} if fitted.date else {})


def _lines(factors: dict[str, Any]) -> str:
    """The same as lines of TOML; Python's repr of numbers and lists is valid TOML."""
    values = {k: quoted(v) if isinstance(v, str) else repr(v) for k, v in factors.items()}
    return "".join(f"{key} = {value}\n" for key, value in values.items())
