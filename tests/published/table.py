"""The truth table: every outside check with its source, their value, ours and the difference.

Usage: ``python -m tests.published.table`` prints it in Markdown.
"""

from collections import Counter
from collections.abc import Iterable

from tests.published.rows import AREAS, DISAGREEMENTS, ROWS, STANDINGS, Row

_HEAD = (
    "| what | source | theirs | ours | difference | tolerance |",
    "| --- | --- | ---: | ---: | ---: | ---: |",
)
_MARKS = {"page read": "", "data read": " †", "from memory": " ‡"}


def markdown_table() -> str:
    """Every row in Markdown, by area, ending in a newline."""
    standing = Counter(row.standing for row in ROWS)
    lines = [
        f"{len(ROWS)} values that others printed: {standing['page read']} read in the work or in a "
        f"public copy of it; {standing['data read']} (†) whose data were read and whose answer is "
        f"from memory; {standing['from memory']} (‡) from memory. A tolerance is half a unit of "
        "the last printed digit, or wider for the reason in the row's note (`tests/published/`).",
    ]
    for area in AREAS:
        rows = [row for row in ROWS if row.area == area]
        lines += ["", f"**{area.capitalize()}**", "", *_HEAD, *map(_line, rows)]
    lines += ["", "**Known disagreements**, with the reason of each:", "", *_reasons(DISAGREEMENTS)]
    return "\n".join(lines) + "\n"


def _reasons(rows: Iterable[Row]) -> list[str]:
    head = ("| what | source | theirs | ours | why |", "| --- | --- | ---: | ---: | --- |")
    return [
        *head,
        *(
            f"| {r.what} | {r.source} | {_theirs(r)} | {_number(r, r.ours)} | {r.note} |"
            for r in rows
        ),
    ]


def _line(row: Row) -> str:
    cells = (
        row.what,
        row.source + _MARKS[row.standing],
        _theirs(row),
        _number(row, row.ours),
        _number(row, row.difference, "+"),
        f"{row.tolerance:g}",
    )
    return "| " + " | ".join(cells) + " |"


def _theirs(row: Row) -> str:
    text = f"{row.printed:.8g}"
    return f"{text} {row.unit.replace('^3', '³')}".strip()


def _number(row: Row, value: float, sign: str = "") -> str:
    """A value with one digit more than the tolerance shows."""
    decimals = max(0, -_exponent(row.tolerance) + 1)
    return f"{value:{sign}.{decimals}f}"


def _exponent(value: float) -> int:
    return int(f"{value:e}".split("e")[1])


if __name__ == "__main__":
    for mark, meaning in STANDINGS.items():
        print(f"<!-- {mark}: {meaning} -->")
    print(markdown_table(), end="")
