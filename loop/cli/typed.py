"""What a person types at a prompt, and what ends it."""

import shutil
import sys
import textwrap

import typer

# What ends a call, a drill, a quiz or a lesson, as people type it.
ENDS = frozenset({"done", "stop", "end", "quit", "exit", "q"})
# What passes a step over: nothing, or that one cannot say.
SKIPS = frozenset({"", "skip", "-", "unknown", "don't know", "dont know", "do not know", "no idea"})


def ask(question: str, usual: str = "") -> str:
    """What is typed after a question, which breaks between words where the terminal is narrow.

    The usual answer stands in brackets behind it; an empty line is given as it is.
    """
    blank = "\N{NO-BREAK SPACE}"
    shown = f"{question} [{usual.replace(' ', blank)}]" if usual else question
    lines = textwrap.fill(shown, shutil.get_terminal_size().columns - 2, break_on_hyphens=False)
    return str(typer.prompt(lines.replace(blank, " "), default="", show_default=False)).strip()


def typed(prompt: str) -> str | None:
    """The line that is typed after a prompt, without its ends; None where no more comes."""
    print(prompt, end=" ", flush=True)
    line = sys.stdin.readline()
    if not sys.stdin.isatty():
        print(line.strip())  # what was typed elsewhere neither stands nor ends the line here
    return line.strip() if line else None
