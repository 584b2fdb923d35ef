"""JSON Schemas of the two kinds of files, made from the fields: an editor completes keys by them and marks slips.

They know keys, types, units, limits, choices, and which keys go together. What needs the whole craft (weights, clearances) and
what stands in other files is said by ``check``.
"""

from __future__ import annotations

from typing import Any

from pydantic.json_schema import GenerateJsonSchema
from pydantic_core import core_schema

from paddlebar.files.craft import Craft
from paddlebar.files.explained import keys_in
from paddlebar.files.scenario import CHANGE, Scenario
from paddlebar.files.strict import Strict

Schema = dict[str, Any]
_DEFS = "#/$defs/"


def craft_schema() -> Schema:
    """JSON Schema of a craft file; a number's unit is in its ``description`` and in ``x-unit``."""
    return {"$schema": _Schema.schema_dialect, **plain_schema(Craft), "title": "paddlebar craft file"}


def scenario_schema() -> Schema:
    """JSON Schema of a scenario file, whose craft is a path or a whole table, and [change] some keys of a craft."""
    found = plain_schema(Scenario)
    definitions, properties = found["$defs"], found["properties"]
    words = {"description": properties["craft"]["description"]}
    properties["craft"] = {**words, "anyOf": [{"type": "string"}, {"$ref": f"{_DEFS}Craft"}]}
    properties["change"] = {"$ref": f"{_DEFS}ChangedCraft", "description": CHANGE}
    crafts = Craft.model_json_schema(schema_generator=_Schema).get("$defs", {})
    definitions |= {f"Changed{name}": _changed(definitions[name]) for name in (*crafts, "Craft")}
    parts = definitions["ChangedCraft"]["properties"]["part"]
    parts["anyOf"] = parts["anyOf"][1:]  # by name, never the whole list
    return {"$schema": _Schema.schema_dialect, **found, "title": "paddlebar scenario file"}


def plain_schema(model: type[Strict]) -> Schema:
    """JSON Schema of one table and of the tables in it, as TOML has them."""
    return model.model_json_schema(schema_generator=_Schema)


class _Schema(GenerateJsonSchema):
    """No null, which TOML has not; units; what a kind needs; lists in the form that all drafts of JSON Schema know."""

    def field_title_should_be_set(self, schema: Any) -> bool:
        return False

    def nullable_schema(self, schema: core_schema.NullableSchema) -> Schema:
        return self.generate_inner(schema["schema"])

    def default_schema(self, schema: core_schema.WithDefaultSchema) -> Schema:
        found = super().default_schema(schema)
        if found.get("default") is None or isinstance(found["default"], dict):
            found.pop("default", None)
        return found

    def tuple_schema(self, schema: core_schema.TupleSchema) -> Schema:
        found = super().tuple_schema(schema)
        places = found.get("prefixItems", [])
        if places and all(each == places[0] for each in places):
            found["items"] = found.pop("prefixItems")[0]
        return found

    def model_schema(self, schema: core_schema.ModelSchema) -> Schema:
        found = super().model_schema(schema)
        model = schema["cls"]
        for key in keys_in(model):
            if key.unit:
                found["properties"][key.name] |= {
                    "description": f"{key.field.description} [{key.unit}]",
                    "x-unit": key.unit,
                }
        if model.needs:
            found["allOf"] = [
                {"if": {"properties": {model.picker: {"const": kind}}}, "then": {"required": list(keys)}}
                for kind, keys in model.needs.items()
            ]
        if model.ways:
            every = dict.fromkeys(key for way in model.ways for key in way)
            found["oneOf"] = [
                {"required": list(way), "not": {"anyOf": [{"required": [key]} for key in every if key not in way]}}
                for way in model.ways
            ]
        return found


def _changed(schema: Schema) -> Schema:
    """The schema of a change: no key is needed, an entry of a list goes by its name or number."""
    if "$ref" in schema:
        return {**schema, "$ref": schema["$ref"].replace(_DEFS, f"{_DEFS}Changed")}
    if schema.get("type") == "object":
        kept = {key: each for key, each in schema.items() if key not in ("required", "allOf", "oneOf")}
        return {**kept, "properties": {key: _changed(each) for key, each in schema["properties"].items()}}
    if schema.get("type") == "array":
        return {"anyOf": [schema, {"type": "object", "additionalProperties": _changed(schema["items"])}]}
    if "oneOf" in schema:
        return {"anyOf": [_changed(each) for each in schema["oneOf"]]}
    return schema
