"""Options of `loop quiz`."""

from typing import Annotated

import typer

from loop.cli.options import ShownUnits, runs, takes


@runs("loop.cli.quiz")
def quiz(
    topic: Annotated[list[str] | None, takes("TOPIC", "Only this topic; may be repeated.")] = None,
    count: Annotated[int, takes("N", "How many questions.", min=1, max=500)] = 5,
    seed: Annotated[int | None, takes("N", "The same seed asks the same questions.", min=0)] = None,
    record: Annotated[
        str | None,
        takes("FILE", "Keep the answers in this CSV file, and ask first what is due again."),
    ] = None,
    units: ShownUnits = "us",
    list_: Annotated[bool, typer.Option("--list", help="List the topics, and stop.")] = False,
) -> None:
    """Ask about loops, each question made from a belief; say why a wrong answer tempts.

    Example:  loop quiz --topic box-number --count 3 --seed 7
    """
