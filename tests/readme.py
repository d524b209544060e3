"""Makes README's outputs and pictures anew, or checks that they are what the commands give.

In README a comment ``<!-- run: loop check examples/kittiwake.toml -->`` stands before a fenced
block that holds that command's output, and ``<!-- picture: loop draw … -o FILE -->`` before a
picture. ``<!-- pages: loop sheet … -o FILE.pdf -->`` stands before pictures of that file's pages,
FILE-1.png and so on, which ``pdftoppm`` (poppler) makes.

Usage: ``python -m tests.readme --write`` or ``--check``.
"""

import os
import re
import shlex
import subprocess
import sys
import tempfile
from pathlib import Path

from tests.published.table import markdown_table

ROOT = Path(__file__).parent.parent
_RUN = re.compile(r"(<!-- run: (?P<command>.+?) -->\n```\w*\n)(?P<output>.*?)(```)", re.DOTALL)
_PICTURE = re.compile(r"<!-- picture: (?P<command>.+?) -->")
_PAGES = re.compile(r"<!-- pages: (?P<command>.+?) -->")
_TRUTH = re.compile(r"(<!-- truth:start -->\n)(?P<output>.*?)(<!-- truth:end -->)", re.DOTALL)


def run(command: str) -> str:
    """What a command prints at 100 columns, without colour; raises where it fails."""
    environment = {**os.environ, "COLUMNS": "100", "NO_COLOR": "1", "TERM": "dumb"}
    done = subprocess.run(
        [sys.executable, "-m", *shlex.split(command)],
        cwd=ROOT,
        env=environment,
        capture_output=True,
        text=True,
        check=True,
    )
    return "\n".join(line.rstrip() for line in done.stdout.splitlines()) + "\n"


def renewed(text: str) -> str:
    """README's text with every output as the commands now give it."""
    text = _RUN.sub(lambda m: m[1] + run(m["command"]) + m[4], text)
    return _TRUTH.sub(lambda m: m[1] + markdown_table() + m[3], text)


def pictures(text: str, folder: Path | None) -> list[Path]:
    """Makes every picture; in `folder` instead of its own place where one is given."""
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
    return made


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
    """0 where README is what the commands give."""
    readme = ROOT / "README.md"
    text = readme.read_text(encoding="utf-8")
    if mode == "--write":
        pictures(text, None)
        readme.write_text(renewed(text), encoding="utf-8")
        return 0
    with tempfile.TemporaryDirectory() as folder:
        for picture in pictures(text, Path(folder)):
            if picture.stat().st_size < 5_000:
                print(f"README: {picture.name} came out empty")
                return 1
    if renewed(text) != text:
        print("README's outputs are stale; run `python -m tests.readme --write`")
        return 1
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1] if len(sys.argv) > 1 else "--check"))
