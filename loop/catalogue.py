"""The names of the pumps that ship with the program, known without reading their files."""

from functools import cache
from pathlib import Path

from loop.wrong import wrong

# Installed, the curves lie beside this module; in a checkout, at the top of the repository.
_FOLDERS = (Path(__file__).parent / "pumpcurves", Path(__file__).parent.parent / "pumpcurves")


@cache
def catalogue() -> tuple[str, ...]:
    """Names of the pumps that ship with the program, in alphabetical order."""
    return tuple(sorted(path.stem for path in folder().glob("*.toml")))


@cache
def folder() -> Path:
    """Where their files lie; raises FileNotFoundError in a broken installation."""
    for place in _FOLDERS:
        if place.is_dir():
            return place
    raise FileNotFoundError(wrong("the-catalogue"))


def catalogue_name(name: str) -> str:
    """A pump's name as the catalogue has it, whatever its case; as written where it has none such.

    >>> catalogue_name("Demo-AC-350")
    'demo-ac-350'
    """
    known = name.strip().lower()
    return known if known in catalogue() else name
