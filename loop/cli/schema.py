"""`loop schema`: JSON Schemas of the files that people write and of the commands' output."""

import importlib
from typing import Any

from pydantic import TypeAdapter
from pydantic.json_schema import GenerateJsonSchema, JsonSchemaMode, JsonSchemaValue
from pydantic_core import CoreSchema, core_schema

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
    "explain": "loop.teach.explanation:ExplainTables",
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
    return result_schema(_named(PRINTED[what]))


def _named(place: str) -> Any:
    module, _, name = place.partition(":")
    return getattr(importlib.import_module(module), name)


class _ResultSchema(GenerateJsonSchema):
    """All keys required, no others allowed, any number may be null: JSON has no NaN or infinity."""

    def generate(self, schema: CoreSchema, mode: JsonSchemaMode = "validation") -> JsonSchemaValue:
        whole = super().generate(schema, mode)
        for table in (whole, *whole.get("$defs", {}).values()):
            if "properties" in table:
                table["required"] = list(table["properties"])
                table["additionalProperties"] = False
            if "description" in table:
                table["description"] = table["description"].split("\n\n")[0]
        return {"$schema": self.schema_dialect, **whole}

    def float_schema(self, schema: core_schema.FloatSchema) -> JsonSchemaValue:
        """A number, or null for none."""
        return {"type": ["number", "null"]}

    def field_title_should_be_set(self, schema: Any) -> bool:
        """No titles: a key's name is enough."""
        return False


def result_schema(printed: type[Any]) -> dict[str, Any]:
    """JSON Schema (2020-12) of a class whose members are results.

    >>> result_schema(float)
    {'$schema': 'https://json-schema.org/draft/2020-12/schema', 'type': ['number', 'null']}
    """
    return TypeAdapter(printed).json_schema(schema_generator=_ResultSchema)
