"""A job file's text with a baseline or a visit added, the person's own text left as it is."""

import re
import tomllib
from pathlib import Path

from loop.job import Fitted, JobError, Visit, parse_job, read_toml

_FITTED = re.compile(
    r"^[ \t]*\[[ \t]*fitted[ \t]*\][^\n]*\n(?:(?![ \t]*\[)[^\n]*\n?)*", re.MULTILINE
)


def with_record(text: str, visit: Visit, fitted: Fitted | None = None) -> str:
    """The text of a job file with a visit added and, where given, its ``[fitted]`` table replaced.

    Comments and order stay. Raises JobError where the text puts these tables in a way that cannot
    be edited line by line.
    """
    wanted = tomllib.loads(text)
    kept = text if fitted is None else _FITTED.sub("", text)
    pieces = [kept.rstrip() + "\n", _visit(visit)]
    if fitted is not None:
        pieces.append(_fitted(fitted))
    result = "\n".join(pieces)
    wanted.setdefault("visit", []).append(tomllib.loads(_visit(visit))["visit"][0])
    if fitted is not None:
        wanted["fitted"] = tomllib.loads(_fitted(fitted))["fitted"]
    try:
        same = tomllib.loads(result) == wanted
    except tomllib.TOMLDecodeError:
        same = False
    if not same:
        raise JobError(["write [fitted] and each [[visit]] as a table of its own, to be added to"])
    return result


def recorded(source: Path, target: Path, visit: Visit, fitted: Fitted | None = None) -> str:
    """The text of the job at `source` with its record, as it can stand at `target`.

    Raises JobError where the file cannot be read, or where the new one would not be a job (a pump
    file that lies beside the old one, say).
    """
    read_toml(source)  # for its checks: a clear error for whatever is no TOML
    text = source.read_bytes().decode("utf-8-sig").replace("\r\n", "\n")
    result = with_record(text, visit, fitted)
    parse_job(tomllib.loads(result), str(target), target.parent)
    return result


def _visit(visit: Visit) -> str:
    lines = ["[[visit]]", f"date = {_text(visit.date)}"]
    if visit.note:
        lines.append(f"note = {_text(visit.note)}")
    if visit.was:
        lines.append(f"was = {_text(visit.was)}")
    lines.append("[visit.readings]")
    lines += [f"{_key(key)} = {_text(value)}" for key, value in visit.readings.items()]
    return "\n".join(lines) + "\n"


def _fitted(fitted: Fitted) -> str:
    lines = [
        "[fitted]",
        f"loss = {fitted.loss!r}",
        f"pump = {fitted.pump!r}",
        f"ua = {fitted.ua!r}",
    ]
    if fitted.spread is not None:
        lines.append(f"spread = [{', '.join(map(repr, fitted.spread))}]")
        lines.append(f"correlation = [{', '.join(map(repr, fitted.correlation))}]")
    if fitted.date:
        lines.append(f"date = {_text(fitted.date)}")
    return "\n".join(lines) + "\n"


def _key(key: str) -> str:
    return key if re.fullmatch(r"[A-Za-z0-9_-]+", key) else _text(key)


def _text(text: str) -> str:
    """A TOML basic string."""
    plain = text.replace("\\", "\\\\").replace('"', '\\"')
    plain = "".join(c if c.isprintable() else f"\\u{ord(c):04X}" for c in plain)
    return f'"{plain}"'
