"""The card's script: its files joined into one whose only global is `loopCard`."""

from pathlib import Path

_STATIC = Path(__file__).parent / "static"
# In dependency order: each file uses only those before it.
ENGINE = (
    "unpacked.js",
    "study.js",
    "belief.js",
    "standing.js",
    "next_step.js",
    "groups.js",
    "left_there.js",
    "quantity.js",
    "call.js",
    "shown.js",
    "contradiction.js",
    "once_fixed.js",
    "reasons.js",
    "put_right.js",
    "ends.js",
    "next_steps.js",
    "answer.js",
)
PAGE = (
    "readings_file.js",
    "store.js",
    "elements.js",
    "stopwatch.js",
    "fields.js",
    "asking.js",
    "step_cards.js",
    "answering.js",
    "boat.js",
    "customer_page.js",
    "office.js",
    "page.js",
)


def script(files: tuple[str, ...] = ENGINE + PAGE) -> str:
    """The files as one script, wrapped in a function."""
    text = "\n".join((_STATIC / name).read_text(encoding="utf-8") for name in files)
    return f'(() => {{\n"use strict";\n{text}\n}})();\n'


def style() -> str:
    """The card's style sheet."""
    return (_STATIC / "card.css").read_text(encoding="utf-8")
