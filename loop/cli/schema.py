"""`loop schema`: the JSON Schema of the job file, for editors."""

from typing import Annotated, Literal

import typer

from loop.cli.options import print_json, user_errors
from loop.job.schema import job_schema, pump_schema

_SCHEMAS = {"job": job_schema, "pump": pump_schema}


@user_errors
def schema(
    what: Annotated[
        Literal["job", "pump"], typer.Option("--what", help="Which file: a job, or a pump.")
    ] = "job",
) -> None:
    """Print a file's JSON Schema, with which an editor checks and completes it.

    Example:  loop schema > job.schema.json
    """
    print_json(_SCHEMAS[what]())
