"""The word files beside this module."""

import tomllib
from pathlib import Path
from typing import Any


def read_words(name: str) -> dict[str, Any]:
    """The tables of the TOML file with this name."""
    return tomllib.loads((Path(__file__).parent / f"{name}.toml").read_text(encoding="utf-8"))
