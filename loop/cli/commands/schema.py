"""Options of `loop schema`."""

from typing import Annotated, Literal

import typer

from loop.cli.options import runs

What = Literal[
    "job", "pump", "readings",
    "check", "size", "sweep", "explain", "diagnosis", "drift", "baseline", "faults", "pumps",
]  # fmt: skip


@runs("loop.cli.schema")
def schema(
    what: Annotated[
        What,
        typer.Option(
            "--what",
            help="A file: job, pump or readings; else what that command prints with --json.",
        ),
    ] = "job",
) -> None:
    """Print a JSON Schema, for an editor to check a job, or a program an answer.

    Example:  loop schema > job.schema.json
    """
