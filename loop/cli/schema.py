"""`loop schema`: JSON Schemas of the files that people write and of the commands' output."""

import importlib
from typing import Any

from loop.cli.options import print_json

# Where to find the function that makes a file's schema, and the class of a command's output.
FILES = {
    "job": "loop.job.schema:job_schema",
    "pump": "loop.job.schema:pump_schema",
    "readings": "loop.diagnose.readings_schema:readings_schema",
}
PRINTED = {
    "check": "loop.check.as_json:CheckTables",
    "size": "loop.size.as_json:SizeTables",
    "sweep": "loop.sweep.result:SweepTables",
    "explain": "loop.teach.as_json:ExplainTables",
    "diagnosis": "loop.diagnose.result:DiagnosisTables",
    "drift": "loop.diagnose.drift:DriftTables",
    "baseline": "loop.diagnose.baseline:BaselineTables",
    "faults": "loop.diagnose.experience:FaultsTables",
    "pumps": "loop.cli.pumps:PumpTables",
}


def schema(what: str) -> None:
    """Print a JSON Schema, for an editor to check a job, or a program an answer."""
    print_json(_schema(what))


def _schema(what: str) -> dict[str, Any]:
    """One schema; only the modules it needs are loaded."""
    if what in FILES:
        found: dict[str, Any] = _named(FILES[what])()
        return found
    from loop.result_schema import result_schema

    return result_schema(_named(PRINTED[what]))


def _named(place: str) -> Any:
    module, _, name = place.partition(":")
    return getattr(importlib.import_module(module), name)
