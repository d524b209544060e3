"""Input at a prompt, and the words that end it."""

import shutil
import sys
import textwrap

import typer

# Words that end a call, a drill, a quiz or a lesson.
ENDS = frozenset({"done", "stop", "end", "quit", "exit", "q"})
# Answers that skip a step: nothing, or cannot say.
SKIPS = frozenset({"", "skip", "-", "unknown", "don't know", "dont know", "do not know", "no idea"})


def ask(question: str, usual: str = "") -> str:
    """The answer typed after a question, which wraps between words on a narrow terminal.

    The usual answer is shown in brackets; an empty line is returned as it is.
    """
    blank = "\N{NO-BREAK SPACE}"
    shown = f"{question} [{usual.replace(' ', blank)}]" if usual else question
    lines = textwrap.fill(shown, shutil.get_terminal_size().columns - 2, break_on_hyphens=False)
    return str(typer.prompt(lines.replace(blank, " "), default="", show_default=False)).strip()


def typed(prompt: str) -> str | None:
    """The line typed after a prompt, stripped; None at the end of input."""
    print(prompt, end=" ", flush=True)
    line = sys.stdin.readline()
    if not sys.stdin.isatty():
        print(line.strip())  # piped input is not echoed, so complete the line here
    return line.strip() if line else None
