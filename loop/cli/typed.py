"""What a person types at a prompt, and what ends it."""

import sys

# What ends a call, a drill, a quiz or a lesson, as people type it.
ENDS = frozenset({"done", "stop", "end", "quit", "exit", "q"})
# What passes a step over: nothing, or that one cannot say.
SKIPS = frozenset({"", "skip", "-", "unknown", "don't know", "dont know", "do not know", "no idea"})


def typed(prompt: str) -> str | None:
    """The line that is typed after a prompt, without its ends; None where no more comes."""
    print(prompt, end=" ", flush=True)
    line = sys.stdin.readline()
    if not sys.stdin.isatty():
        print(line.strip())  # what was typed elsewhere neither stands nor ends the line here
    return line.strip() if line else None
