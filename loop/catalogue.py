"""Names of the pumps shipped with the program, without reading their files."""

from functools import cache
from pathlib import Path

from loop.wrong import wrong

# When installed, the curves are beside this module; in a checkout, at the top of the repository.
_FOLDERS = (Path(__file__).parent / "pumpcurves", Path(__file__).parent.parent / "pumpcurves")


@cache
def catalogue() -> tuple[str, ...]:
    """Names of the pumps shipped with the program, in alphabetical order."""
    return tuple(sorted(path.stem for path in folder().glob("*.toml")))


@cache
def folder() -> Path:
    """Folder of their files; raises FileNotFoundError in a broken installation."""
    for place in _FOLDERS:
        if place.is_dir():
            return place
    raise FileNotFoundError(wrong("the-catalogue"))


def catalogue_name(name: str) -> str:
    """A pump's name as the catalogue spells it, case-insensitively; unchanged if not found.

    >>> catalogue_name("Demo-AC-350")
    'demo-ac-350'
    """
    known = name.strip().lower()
    return known if known in catalogue() else name
