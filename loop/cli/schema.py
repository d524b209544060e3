"""`loop schema`: JSON Schemas of the files that people write and of what the commands print."""

from typing import Any

from loop.cli.options import print_json


def schema(what: str) -> None:
    """Print a JSON Schema, with which an editor checks a job, or a program an answer."""
    print_json(_schema(what))


def _schema(what: str) -> dict[str, Any]:
    """One schema; what it takes is loaded for it alone."""
    if what in ("job", "pump"):
        from loop.job.schema import job_schema, pump_schema

        return job_schema() if what == "job" else pump_schema()
    from loop.result_schema import result_schema

    if what == "check":
        from loop.check.as_json import CheckTables

        return result_schema(CheckTables)
    if what == "size":
        from loop.size.as_json import SizeTables

        return result_schema(SizeTables)
    if what == "explain":
        from loop.teach.as_json import ExplainTables

        return result_schema(ExplainTables)
    if what == "pumps":
        from loop.cli.pumps import PumpTables

        return result_schema(PumpTables)
    if what == "baseline":
        from loop.diagnose.baseline import BaselineTables

        return result_schema(BaselineTables)
    if what == "drift":
        from loop.diagnose.drift import DriftTables

        return result_schema(DriftTables)
    from loop.diagnose.result import DiagnosisTables

    return result_schema(DiagnosisTables)
