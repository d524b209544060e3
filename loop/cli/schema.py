"""`loop schema`: the JSON Schema of the job file, for editors."""

import json

from loop.cli.options import user_errors


@user_errors
def schema() -> None:
    """Print the JSON Schema of the job file, with which an editor checks and completes it.

    Example:  loop schema > job.schema.json
    """
    from loop.job import Job

    print(json.dumps(Job.model_json_schema(), indent=2))
