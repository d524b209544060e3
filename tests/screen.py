"""What a command prints on a terminal, as an SVG picture for README.

The picture is self-contained and gives the same bytes for the same output. Words are on a grid of
columns in any typeface: every run of them states its width.
"""

import io
from collections.abc import Iterator
from xml.sax.saxutils import escape, quoteattr

from rich.ansi import AnsiDecoder
from rich.console import Console
from rich.style import Style

from loop.draw.style import INK, PAPER, RULE, RUST, SOFT, TEAL

# [px]: the grid, its type size, the margin around it, and the band that names the command.
COLUMN, LINE, SIZE, ROOM, BAND = 7.8, 18.0, 13.0, 24.0, 38.0
COLUMNS = 100
# Darker than the figures' amber, which is for surfaces: text needs contrast.
_OCHRE = "#8A5F0A"
# The terminal's colors by number: red, green, yellow.
_COLORS = {1: RUST, 2: TEAL, 3: _OCHRE}
_TYPED = Style(bold=True, color="color(2)")
_FACES = "'DejaVu Sans Mono', Menlo, Consolas, 'Liberation Mono', monospace"
# A line that was typed starts so.
_PROMPT = "> "


def svg(command: str, output: str) -> str:
    """The picture of a command and its output, which may hold the terminal's color codes."""
    console = Console(file=io.StringIO())
    lines = [list(line.render(console)) for line in AnsiDecoder().decode(output)]
    width, height = 2 * ROOM + COLUMN * COLUMNS, BAND + ROOM + LINE * len(lines) + ROOM / 2
    drawn = [
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{width:g}" height="{height:g}" '
        f'viewBox="0 0 {width:g} {height:g}">',
        f"<title>{escape(command)}</title>",
        f'<rect width="{width:g}" height="{height:g}" fill="{PAPER}"/>',
        f'<path d="M{ROOM:g} {BAND:g}H{width - ROOM:g}" stroke="{RULE}" stroke-width="1.5"/>',
        f'<g font-family={quoteattr(_FACES)} font-size="{SIZE:g}">',
        *_run(command, 0, BAND - 12, _TYPED),
    ]
    for number, line in enumerate(lines):
        typed = "".join(part.text for part in line).startswith(_PROMPT)
        column = 0
        for part in line:
            style = _TYPED if typed else part.style or Style()
            drawn += _run(part.text, column, BAND + ROOM + LINE * number, style)
            column += len(part.text)
    return "\n".join([*drawn, "</g>", "</svg>"]) + "\n"


def _run(text: str, column: int, y: float, style: Style) -> Iterator[str]:
    """Words of one style with their baseline at `y`; nothing for spaces."""
    words = text.strip()
    if not words:
        return
    x = ROOM + COLUMN * (column + len(text) - len(text.lstrip()))
    number = style.color.number if style.color is not None else None
    look = f'fill="{SOFT if style.dim else _COLORS.get(number or 0, INK)}"'
    look += ' font-weight="bold"' if style.bold else ""
    look += ' font-style="italic"' if style.italic else ""
    look += ' text-decoration="underline"' if style.underline else ""
    across = f'textLength="{COLUMN * len(words):g}" lengthAdjust="spacingAndGlyphs"'
    # Consecutive spaces inside a run would collapse.
    kept = escape(words).replace("  ", "\N{NO-BREAK SPACE}\N{NO-BREAK SPACE}")
    yield f'<text x="{x:g}" y="{y:g}" {across} {look}>{kept}</text>'
