"""The plan format as JSON Schema (draft 2020-12), made from the models, for editors that complete."""

from __future__ import annotations

from typing import Any

from pydantic.json_schema import GenerateJsonSchema, JsonSchemaValue
from pydantic_core import core_schema

from overlay.plan.session import Session


class _PlanSchema(GenerateJsonSchema):
    """A key is left out where it does not apply; nothing in a plan is ever null."""

    def nullable_schema(self, schema: core_schema.NullableSchema) -> JsonSchemaValue:
        return self.generate_inner(schema["schema"])

    def default_schema(self, schema: core_schema.WithDefaultSchema) -> JsonSchemaValue:
        return self.generate_inner(schema["schema"])

    def field_title_should_be_set(self, schema: Any) -> bool:
        return False


def plan_schema() -> dict[str, Any]:
    """The schema of a plan, as a YAML 1.2 reader hands it over.

    >>> plan_schema()["required"]
    ['overlay', 'title', 'blocks']
    """
    schema = Session.model_json_schema(mode="validation", schema_generator=_PlanSchema)
    return {"$schema": "https://json-schema.org/draft/2020-12/schema", **schema, "title": "Plan of a class"}
