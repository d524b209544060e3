"""`loop schema`: JSON Schemas of the files that people write and of what the commands print."""

import importlib
from typing import Any

from loop.cli.options import print_json

# What makes the schema of a file, and the class of what a command prints, each where it stands.
FILES = {"job": "loop.job.schema:job_schema", "pump": "loop.job.schema:pump_schema"}
PRINTED = {
    "check": "loop.check.as_json:CheckTables",
    "size": "loop.size.as_json:SizeTables",
    "explain": "loop.teach.as_json:ExplainTables",
    "diagnosis": "loop.diagnose.result:DiagnosisTables",
    "drift": "loop.diagnose.drift:DriftTables",
    "baseline": "loop.diagnose.baseline:BaselineTables",
    "pumps": "loop.cli.pumps:PumpTables",
}


def schema(what: str) -> None:
    """Print a JSON Schema, for an editor to check a job, or a program an answer."""
    print_json(_schema(what))


def _schema(what: str) -> dict[str, Any]:
    """One schema; what it takes is loaded for it alone."""
    if what in FILES:
        found: dict[str, Any] = _named(FILES[what])()
        return found
    from loop.result_schema import result_schema

    return result_schema(_named(PRINTED[what]))


def _named(place: str) -> Any:
    module, _, name = place.partition(":")
    return getattr(importlib.import_module(module), name)
