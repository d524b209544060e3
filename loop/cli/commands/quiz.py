"""Options of `loop quiz`."""

from typing import Annotated, Literal

import typer

from loop.cli.options import runs


@runs("loop.cli.quiz")
def quiz(
    topic: Annotated[
        list[str] | None,
        typer.Option("--topic", metavar="TOPIC", help="Only this topic; may be repeated."),
    ] = None,
    count: Annotated[
        int, typer.Option("--count", metavar="N", min=1, max=500, help="How many questions.")
    ] = 5,
    seed: Annotated[
        int | None,
        typer.Option("--seed", metavar="N", min=0, help="The same seed asks the same questions."),
    ] = None,
    record: Annotated[
        str | None,
        typer.Option(
            "--record",
            metavar="FILE",
            help="Keep the answers in this CSV file, and ask first what is due again.",
        ),
    ] = None,
    units: Annotated[Literal["us", "si"], typer.Option("--units", help="Units to show.")] = "us",
    list_: Annotated[bool, typer.Option("--list", help="List the topics, and stop.")] = False,
) -> None:
    """Ask about loops, each question made from a belief; say why a wrong answer tempts.

    Example:  loop quiz --topic box-number --count 3 --seed 7
    """
