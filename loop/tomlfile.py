"""Read an untrusted TOML file → its tables, or a plain message why not.

Limits come first: a file may be a device, a pipe, a gigabyte, or text crafted to keep the parser
busy for hours.
"""

import os
import re
import stat
import tomllib
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any

from loop.plain_text import obeyed
from loop.wrong import wrong

# A job file with a thousand parts stays well within these limits.
LARGEST_FILE = 500_000
_LONGEST, _MOST_VALUES, _DEEPEST_KEY = 1000, 30_000, 32

_BYTE_ORDER_MARK = "\ufeff"

_QUOTED = re.compile(r'"(?:[^"\\\n]|\\.)*+"|\'[^\'\n]*+\'')
# A key with a complete value and a trailing comma, as in other file formats.
_ENDS_IN_COMMA = re.compile(rf"[\w.-]+\s*=\s*(?:{_QUOTED.pattern}|[\w.+-]+)\s*,")
# Quotes as word processors and phones write them.
_CURLY = "“”„‟‘’‚«»"
_BARE_KEY = re.compile(r"[A-Za-z0-9_-]+")
# The library's time grows with the square of a dotted key's depth.
_DEEP_KEY = re.compile(rf"(?<![\w-])(?:[\w-]++[ \t]*+\.[ \t]*+){{{_DEEPEST_KEY}}}")


def read_text(path: str | Path, what: str) -> str:
    """The text of a file; `what` it should be, such as "job", is used in error messages.

    Raises OSError if it cannot be read; ValueError if it is not a regular file, not UTF-8 or too
    large.
    """
    mode = os.stat(path).st_mode
    if not stat.S_ISREG(mode):  # a pipe or a device could block forever
        raise ValueError(wrong("file-folder" if stat.S_ISDIR(mode) else "file-none", what=what))
    with open(path, "rb") as file:
        raw = file.read(LARGEST_FILE + 1)
    if len(raw) > LARGEST_FILE:
        raise ValueError(wrong("file-large", most=LARGEST_FILE // 1000, what=what))
    try:
        return raw.decode("utf-8-sig")
    except UnicodeDecodeError:
        raise ValueError(wrong("file-not-utf8")) from None


def unmarked(text: str) -> tuple[str, Callable[[str], str]]:
    """The text without byte-order mark, with LF line ends; and a function that restores both.

    >>> plain, as_before = unmarked("\\ufeffa = 1\\r\\n")
    >>> plain, as_before(plain + "b = 2\\n")
    ('a = 1\\n', '\\ufeffa = 1\\r\\nb = 2\\r\\n')
    """
    mark = _BYTE_ORDER_MARK if text.startswith(_BYTE_ORDER_MARK) else ""
    plain = text.removeprefix(mark)
    windows = plain.count("\r\n") * 2 > plain.count("\n")

    def as_before(changed: str) -> str:
        return mark + (changed.replace("\n", "\r\n") if windows else changed)

    return plain.replace("\r\n", "\n"), as_before


def tables(text: str, what: str) -> dict[str, Any]:
    """The tables in a TOML text; raises ValueError if it is not TOML, or too large.

    >>> tables("bore = '3/4 in'", "job")
    {'bore': '3/4 in'}
    """
    if _DEEP_KEY.search(_QUOTED.sub("q", text)):
        raise ValueError(wrong("file-deep", what=what))
    try:
        data = tomllib.loads(text.replace("\r\n", "\n"))
    except RecursionError:
        raise ValueError(wrong("file-deep", what=what)) from None
    except tomllib.TOMLDecodeError as error:
        line = _wrong_line(text, str(error))
        raise ValueError(wrong("file-not-toml", error=error, line=line)) from None
    except ValueError:
        raise ValueError(wrong("file-digits")) from None
    _bound(data)
    return data


def _wrong_line(text: str, error: str) -> str:
    """The line at which the parser gave up, with a hint; "" if unknown."""
    number = re.search(r"at line (\d+)", error)
    if number is None:
        return ""
    line = (text.split("\n")[int(number[1]) - 1 :] or [""])[0].strip()[:60]
    return wrong("file-line", line=line, hint=_hint(line, error))


def _hint(line: str, error: str) -> str:
    """What would be right instead of a line at which the library gave up; "" if unknown."""
    key, equals, value = line.partition("=")
    if header := re.fullmatch(r"\[(\[)?[^\[\]]+\]\]?", line):
        if header[1]:
            return wrong("file-header-several", line=line)
        return wrong("file-table-twice", line=line) if "twice" in error else ""
    if not equals:
        return wrong("file-no-equals") if "'='" in error else ""
    if set(value) & set(_CURLY):
        return wrong("file-curly")
    if "overwrite" in error:
        return wrong("file-key-twice", key=key.strip())
    if _ENDS_IN_COMMA.fullmatch(line):
        return wrong("file-comma")
    if value.count('"') % 2:
        return wrong("file-inches" if value.rstrip().endswith('""') else "file-open-quote")
    return wrong("file-quotes")


def has_comments(text: str) -> bool:
    """Whether a TOML text has a comment, which tables do not hold.

    >>> has_comments('note = "cabin #2"'), has_comments("tools = 'bucket'  # Ann's")
    (False, True)
    """
    return "#" in _QUOTED.sub("", text)


def _bound(data: dict[str, Any]) -> None:
    """Raise ValueError for control characters, or more values than a person writes."""
    queue: list[tuple[str, Any]] = [("", data)]
    count = 0
    while queue:
        name, value = queue.pop()
        count += len(value)
        if len(value) > _LONGEST:
            raise ValueError(
                wrong(
                    "file-entries", name=name or wrong("file-the"), count=len(value), most=_LONGEST
                )
            )
        within = value.items() if isinstance(value, dict) else enumerate(value, 1)
        for key, inner in within:
            place = f"{name} {key}".strip()
            _refuse_control(name, str(key))
            if isinstance(inner, str):
                _refuse_control(place, inner)
            elif isinstance(inner, dict | list):
                queue.append((place, inner))
    if count > _MOST_VALUES:
        raise ValueError(wrong("file-values", count=count, most=_MOST_VALUES))


def _refuse_control(place: str, text: str) -> None:
    """Raise ValueError for a character that a terminal would obey, in the value or key there."""
    sign = next((sign for sign in text if sign not in "\n\t" and obeyed(sign)), None)
    if sign is not None:
        raise ValueError(wrong("file-control", name=place or wrong("file-the"), sign=ord(sign)))


def quoted(text: str) -> str:
    """A TOML basic string that `tables` reads back, without characters that it would refuse.

    >>> print(quoted('3/4" hose'))
    "3/4\\" hose"
    """
    plain = text.replace("\\", "\\\\").replace('"', '\\"')
    return f'"{"".join(map(_escaped, plain))}"'


def _escaped(sign: str) -> str:
    if sign not in "\n\t" and obeyed(sign):
        return ""
    code = ord(sign)
    return sign if sign.isprintable() else f"\\u{code:04X}" if code < 0x10000 else f"\\U{code:08X}"


def key_of(name: str) -> str:
    """A name as a TOML key: quoted unless it has only letters, digits, dashes and underscores."""
    return name if _BARE_KEY.fullmatch(name) else quoted(name)


def value_of(value: Any) -> str:
    """A value as TOML on one line; numbers to twelve digits, other types as text."""
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, Mapping):
        return f"{{ {', '.join(f'{key} = {value_of(item)}' for key, item in value.items())} }}"
    if isinstance(value, list | tuple):
        return f"[{', '.join(map(value_of, value))}]"
    if isinstance(value, float):
        return f"{value:.12g}"
    return quoted(str(value))
