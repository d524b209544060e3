"""Read a table pasted from a datasheet (comma, semicolon or tab separated) as curve rows."""

import re

from loop.pumps.nameplate import head_of
from loop.pumps.points import Series
from loop.records import dataclass
from loop.units import UnitError, parse
from loop.units.definitions import Kind
from loop.wrong import wrong

# Limits on text length and points, beyond any datasheet.
MAX_TEXT, MAX_POINTS = 20_000, 200
_NUMBER = r"[+-]?\d+(?:[.,]\d+)?$"
_NAMES: dict[str, tuple[str, ...]] = {
    "npsh_required": ("npsh",),
    "flow": ("flow", "capacity", "delivery", "q"),
    "head": ("head", "lift", "pressure", "h"),
    "power": ("power", "input", "watts", "p"),
}
_KINDS: dict[str, Kind] = {
    "flow": "flow",
    "head": "length",
    "power": "power",
    "npsh_required": "length",
}


@dataclass(frozen=True)
class Datasheet:
    """Rows of a curve, and corrections made: "order" if points were sorted by flow."""

    rows: dict[str, Series]
    changed: tuple[str, ...]


def read_datasheet(text: str) -> Datasheet:
    """Rows of a pump's curve from a pasted table whose first row (or column) names the units.

    Columns are identified by name ("Flow (GPH)", "Head, ft", "Power W", "NPSHr [m]") or, if a title
    is only a unit, by what it measures. A comma is a decimal comma if columns are separated by
    semicolons, tabs or spaces.

    Raises ValueError if there is no such table; the message says what would be right.

    >>> read_datasheet("gph,ft\\n0,12\\n100,10\\n200,4").rows["head"].values
    (12.0, 10.0, 4.0)
    """
    if len(text) > MAX_TEXT:
        raise ValueError(wrong("sheet-large", most=MAX_TEXT // 1000))
    table = _cells(text)
    if not _numeric(table[0][1:]) and table[1:] and not _numeric(table[1][:1]):
        raise _no_table()
    if _numeric(table[0][1:]) and not _numeric(table[0][:1]):
        table = [list(column) for column in zip(*table, strict=True)]
    title, *lines = table
    if _numeric(title) or not lines:
        raise _no_table()
    if len(lines) > MAX_POINTS:
        raise ValueError(wrong("sheet-points", count=len(lines), most=MAX_POINTS))
    for number, line in enumerate(lines, 2):
        if not _numeric(line):
            raise ValueError(wrong("sheet-row", number=number, cells=", ".join(line)))
    columns = [_column(cell) for cell in title]
    _check_columns(columns)
    points = [[float(cell.replace(",", ".")) for cell in line] for line in lines]
    flow = [name for name, _ in columns].index("flow")
    by_flow = sorted(points, key=lambda point: point[flow])
    rows = {
        name: Series(unit=unit, values=tuple(point[index] for point in by_flow))
        for index, (name, unit) in enumerate(columns)
    }
    return Datasheet(rows, ("order",) if by_flow != points else ())


def _no_table() -> ValueError:
    return ValueError(wrong("sheet-none", titles=wrong("sheet-titles")))


def _cells(text: str) -> list[list[str]]:
    lines = [line.strip() for line in text.replace("\ufeff", "").splitlines() if line.strip()]
    if len(lines) < 2:
        raise _no_table()
    splitter = next(
        (sign for sign in (r"\s*;\s*", r"\s*\t\s*", r"\s*,\s*", r"\s{2,}", r"\s+")
         if all(re.search(sign, line) for line in lines)),
        None,
    )  # fmt: skip
    if splitter is None:
        raise _no_table()
    table = [[cell.strip('" ') for cell in re.split(splitter, line)] for line in lines]
    if splitter == r"\s*,\s*":
        # "Head, ft" in a title is one cell.
        table = [_joined_pairs(row, max(map(len, table[1:]))) for row in table]
    widths = {len(row) for row in table}
    if len(widths) != 1:
        raise ValueError(wrong("sheet-widths", least=min(widths), most=max(widths)))
    return table


def _joined_pairs(row: list[str], width: int) -> list[str]:
    """A row with its cells joined in pairs if it has twice as many as the others."""
    if len(row) != 2 * width:
        return row
    return [" ".join(pair) for pair in zip(row[::2], row[1::2], strict=True)]


def _numeric(cells: list[str]) -> bool:
    return bool(cells) and all(re.match(_NUMBER, cell) for cell in cells)


def _column(cell: str) -> tuple[str, str]:
    """Name and unit of a column, from its title."""
    words = re.sub(r"[()\[\],:]", " ", cell).split()
    for start in range(len(words)):
        unit = " ".join(words[start:])
        named = _column_name(" ".join(words[:start]))
        fits = [name for name, kind in _KINDS.items() if _is_unit_of(unit, kind)]
        if named in fits:
            return str(named), unit
        if fits and named is None:
            return fits[0], unit
    raise ValueError(wrong("sheet-column", cell=cell))


def _column_name(words: str) -> str | None:
    plain = words.lower()
    for name, spellings in _NAMES.items():
        for spelling in spellings:
            if re.search(rf"\b{spelling}", plain) if len(spelling) > 1 else plain == spelling:
                return name
    return None


def _is_unit_of(unit: str, kind: Kind) -> bool:
    one = f"1 {unit}"
    try:
        if kind == "length":
            head_of(one)
        else:
            parse(one, kind)
    except UnitError:
        return False
    return True


def _check_columns(columns: list[tuple[str, str]]) -> None:
    names = [name for name, _ in columns]
    for name in names:
        if names.count(name) > 1:
            raise ValueError(wrong("sheet-twice", name=name))
    for name in ("flow", "head"):
        if name not in names:
            raise ValueError(wrong("sheet-no-column", name=name, titles=wrong("sheet-titles")))
