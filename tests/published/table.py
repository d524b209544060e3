"""The truth table: every outside check with its source, the printed value, ours, the difference.

Use: ``python -m tests.published.table --write`` writes ``tests/published/README.md``, ``--check``
compares it.
"""

import sys
from collections import Counter
from collections.abc import Iterable
from pathlib import Path

from tests.published.rows import AREAS, DISAGREEMENTS, ROWS, Row

_HEAD = (
    "| what | source | theirs | ours | difference | tolerance |",
    "| --- | --- | ---: | ---: | ---: | ---: |",
)
_MARKS = {"page read": "", "data read": " †", "from memory": " ‡"}


def markdown_table() -> str:
    """Every row in Markdown, by area, ending in a newline."""
    lines = ["# What others printed, and what the program gives", "", standing()]
    for area in AREAS:
        rows = [row for row in ROWS if row.area == area]
        lines += ["", f"## {area.capitalize()}", "", *_HEAD, *map(_line, rows)]
    return "\n".join(lines) + "\n"


def standing() -> str:
    """How many values there are, and how they were read."""
    count = Counter(row.standing for row in ROWS)
    return (
        f"{len(ROWS)} values that others printed: {count['page read']} read in the work or in a "
        f"public copy of it; {count['data read']} (†) whose data were read and whose answer is "
        f"from memory; {count['from memory']} (‡) from memory. A tolerance is half a unit of "
        "the last printed digit, or wider for the reason in the row's note."
    )


def disagreements() -> str:
    """The known disagreements in Markdown, ending in a newline."""
    return "\n".join(_reasons(DISAGREEMENTS)) + "\n"


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


def main(mode: str) -> int:
    """Returns 0 if the page matches the rows."""
    target = Path(__file__).parent / "README.md"
    if mode == "--write":
        target.write_text(markdown_table(), encoding="utf-8")
        return 0
    if not target.is_file() or target.read_text(encoding="utf-8") != markdown_table():
        print(f"{target.name} of the outside values is stale; run with --write")
        return 1
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1] if len(sys.argv) > 1 else "--check"))
