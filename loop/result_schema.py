"""JSON Schemas of what the commands print, from the result classes themselves."""

from typing import Any

from pydantic import TypeAdapter
from pydantic.json_schema import GenerateJsonSchema, JsonSchemaMode, JsonSchemaValue
from pydantic_core import CoreSchema, core_schema


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
