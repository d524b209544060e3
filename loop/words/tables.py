"""Text in TOML files beside the modules that read them."""

import re
import tomllib
from collections.abc import Mapping
from pathlib import Path
from typing import Any

_SHARED = re.compile(r"<([\w-]+)>")


def read_words(name: str, shared: Mapping[str, str] = {}) -> dict[str, Any]:
    """The tables of the file with this name in the room, with `shared` texts and its own put in.

    Its own are those of its table ``[shared]``.
    """
    tables = tomllib.loads((Path(__file__).parent / f"{name}.toml").read_text(encoding="utf-8"))
    texts = {**shared, **tables.pop("shared", {})}
    return {key: with_shared(one, texts) for key, one in tables.items()} if texts else tables


def with_shared(value: Any, shared: Mapping[str, str]) -> Any:
    """A value with every ``<name>`` in its texts replaced by the shared text of that name."""
    if isinstance(value, str):
        return _SHARED.sub(lambda found: with_shared(shared[found[1]], shared), value)
    if isinstance(value, dict):
        return {key: with_shared(one, shared) for key, one in value.items()}
    return value
