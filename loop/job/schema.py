"""JSON Schemas of the job and pump files, for editors that check and complete them."""

from typing import Any

from pydantic.json_schema import GenerateJsonSchema, JsonSchemaMode, JsonSchemaValue
from pydantic_core import CoreSchema, core_schema

from loop.job.model import Job
from loop.pumps import PumpCurve

_PYTHON_TYPES = {"string": str, "boolean": bool, "integer": int, "number": float}


class _FileSchema(GenerateJsonSchema):
    """Schema of the text in a file rather than of the SI floats parsed from it."""

    def generate(self, schema: CoreSchema, mode: JsonSchemaMode = "validation") -> JsonSchemaValue:
        document = super().generate(schema, mode)
        for table in (document, *document.get("$defs", {}).values()):
            table["description"] = table.get("description", "").split("\n\n")[0]
            # In a file, `kind` identifies the part; in Python its class does.
            if "const" in table.get("properties", {}).get("kind", {}):
                table["required"] = ["kind", *table.get("required", [])]
        return {"$schema": self.schema_dialect, **document}

    def default_schema(self, schema: core_schema.WithDefaultSchema) -> JsonSchemaValue:
        """Keep a default only if the file could contain it as is."""
        shown = super().default_schema(schema)
        wanted = _PYTHON_TYPES.get(shown.get("type", ""))
        if wanted is None or not isinstance(shown.get("default"), wanted):
            shown.pop("default", None)
        return shown

    def nullable_schema(self, schema: core_schema.NullableSchema) -> JsonSchemaValue:
        """TOML has no null: omit the key instead."""
        return self.generate_inner(schema["schema"])

    def field_title_should_be_set(self, schema: Any) -> bool:
        """No titles: the key's name is enough."""
        return False


def job_schema() -> dict[str, Any]:
    """JSON Schema (2020-12) of a job file."""
    return Job.model_json_schema(schema_generator=_FileSchema)


def pump_schema() -> dict[str, Any]:
    """JSON Schema (2020-12) of a pump file."""
    return PumpCurve.model_json_schema(schema_generator=_FileSchema)
