"""Makes README's outputs and pictures anew, or checks that they are what the commands give.

In README a comment ``<!-- run: loop check examples/kittiwake.toml -->`` stands before a fenced
block that holds that command's output (``| first 5`` after it: its first five lines), and
``<!-- picture: loop draw … -o FILE -->`` before a
picture. ``<!-- pages: loop sheet … -o FILE.pdf -->`` stands before pictures of that file's pages,
FILE-1.png and so on, which ``pdftoppm`` (poppler) makes. ``<!-- screen FILE.svg: loop drill … -->``
stands before a picture of what a command prints; with ``until WORDS`` after the file, of its lines
before the first that starts so, and with ``typed WORDS``, of what it prints when they are typed.

Usage: ``python -m tests.readme --write`` or ``--check``.
"""

import os
import re
import shlex
import subprocess
import sys
import tempfile
from pathlib import Path

from tests.published.table import disagreements, standing
from tests.screen import COLUMNS, svg

ROOT = Path(__file__).parent.parent
EMPTY = 5_000  # [bytes], more than a figure without lines and words has
_RUN = re.compile(
    r"(<!-- run: (?P<command>[^|]+?)(?: \| first (?P<lines>\d+))? -->\n```\w*\n)"
    r"(?P<output>.*?)(```)",
    re.DOTALL,
)
_PICTURE = re.compile(r"<!-- picture: (?P<command>.+?) -->")
_PAGES = re.compile(r"<!-- pages: (?P<command>.+?) -->")
SCREEN = re.compile(
    r"<!-- screen (?P<file>\S+\.svg)( typed (?P<typed>[^:]+?))?( until (?P<until>[^:]+?))?: "
    r"(?P<command>.+?) -->"
)
_TRUTH = re.compile(r"(<!-- truth:start -->\n)(?P<output>.*?)(<!-- truth:end -->)", re.DOTALL)


def run(command: str, typed: str = "", colour: bool = False) -> str:
    """What a command prints at 100 columns; raises if it fails."""
    asked = {"FORCE_COLOR": "1", "TERM": "xterm-256color"}
    environment = {k: v for k, v in os.environ.items() if k not in ("NO_COLOR", "FORCE_COLOR")}
    environment |= asked if colour else {"NO_COLOR": "1", "TERM": "dumb"}
    done = subprocess.run(
        [sys.executable, "-m", *shlex.split(command)],
        cwd=ROOT,
        env=environment | {"COLUMNS": f"{COLUMNS}"},
        input=typed,
        capture_output=True,
        text=True,
        check=True,
    )
    return "\n".join(line.rstrip() for line in done.stdout.splitlines()) + "\n"


def screen(match: re.Match[str]) -> str:
    """The picture requested by a screen comment."""
    typed = "\n".join((match["typed"] or "").split())
    lines = run(match["command"], typed, colour=True).splitlines()
    if match["until"]:
        words = match["until"]
        ends = [n for n, line in enumerate(lines) if plain(line).startswith(words)]
        if not ends:
            raise ValueError(f"{match['command']}: no line starts with {words!r}")
        lines = lines[: ends[0]]
    return svg(match["command"], "\n".join(lines).rstrip())


def plain(line: str) -> str:
    """A line without the terminal's codes."""
    return re.sub(r"\x1b\[[\d;]*m", "", line)


def renewed(text: str) -> str:
    """README's text with every output as the commands give it now."""
    text = _RUN.sub(_output, text)
    told = f"{standing()}\n\n**Known disagreements**, with the reason of each:\n\n{disagreements()}"
    return _TRUTH.sub(lambda m: m[1] + told + m[3], text)


def _output(match: re.Match[str]) -> str:
    """A block with its command's output, or the first lines of it."""
    lines = run(match["command"]).splitlines(keepends=True)
    return match[1] + "".join(lines[: int(match["lines"] or len(lines))]) + "```"


def pictures(text: str, folder: Path | None) -> list[Path]:
    """Makes every picture; in `folder` instead of its own place if given."""
    made = []
    for match in _PICTURE.finditer(text):
        words = shlex.split(match["command"])
        target = Path(words[words.index("-o") + 1])
        target = ROOT / target if folder is None else folder / target.name
        words[words.index("-o") + 1] = str(target)
        run(shlex.join(words))
        made.append(target)
    for match in _PAGES.finditer(text):
        made += _pages(match["command"], folder)
    for match in SCREEN.finditer(text):
        target = ROOT / match["file"]
        if folder is not None:
            target = folder / target.name
        target.write_text(screen(match), encoding="utf-8")
        made.append(target)
    return made


def wrong(made: Path) -> str:
    """What is wrong with a picture made again; "" for nothing.

    A screen is the same bytes wherever it is made; a figure may depend on matplotlib's version.
    """
    kept = ROOT / "examples" / "pictures" / made.name
    if made.suffix == ".svg":
        same = kept.is_file() and kept.read_bytes() == made.read_bytes()
        return "" if same else "is stale; run `python -m tests.readme --write`"
    return "" if made.stat().st_size >= EMPTY else "came out empty"


def _pages(command: str, folder: Path | None) -> list[Path]:
    """Pictures of the pages of a PDF that a command writes; the PDF itself is not kept."""
    words = shlex.split(command)
    name = Path(words[words.index("-o") + 1])
    place = ROOT / name.parent if folder is None else folder
    with tempfile.TemporaryDirectory() as scratch:
        words[words.index("-o") + 1] = str(Path(scratch) / name.name)
        run(shlex.join(words))
        stem = place / name.stem
        pdf = str(Path(scratch) / name.name)
        subprocess.run(["pdftoppm", "-r", "70", "-png", pdf, str(stem)], check=True)
    return sorted(place.glob(f"{name.stem}-*.png"))


def main(mode: str) -> int:
    """Returns 0 if README matches the commands' output."""
    readme = ROOT / "README.md"
    text = readme.read_text(encoding="utf-8")
    if mode == "--write":
        pictures(text, None)
        readme.write_text(renewed(text), encoding="utf-8")
        return 0
    with tempfile.TemporaryDirectory() as folder:
        for picture in pictures(text, Path(folder)):
            if wrong(picture):
                print(f"README: {picture.name} {wrong(picture)}")
                return 1
    if renewed(text) != text:
        print("README's outputs are stale; run `python -m tests.readme --write`")
        return 1
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1] if len(sys.argv) > 1 else "--check"))
