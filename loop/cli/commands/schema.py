"""Options of `loop schema`."""

from typing import Annotated, Literal

import typer

from loop.cli.options import runs

What = Literal["job", "pump", "check", "size", "explain", "diagnosis", "drift", "baseline", "pumps"]


@runs("loop.cli.schema")
def schema(
    what: Annotated[
        What,
        typer.Option(
            "--what",
            help="A file: job or pump; else what that command prints with --json.",
        ),
    ] = "job",
) -> None:
    """Print a JSON Schema, for an editor to check a job, or a program an answer.

    Example:  loop schema > job.schema.json
    """
