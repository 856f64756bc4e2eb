"""JSON Schemas of the files that are read and written."""

from __future__ import annotations

import importlib
from typing import Any

from pydantic import BaseModel
from pydantic.json_schema import GenerateJsonSchema, JsonSchemaValue
from pydantic_core import core_schema

DIALECT = "https://json-schema.org/draft/2020-12/schema"
TITLES = {
    "site": "leastkit site file",
    "book": "leastkit price book",
    "scenarios": "leastkit scenarios file",
    "phases": "leastkit phases file",
    "answer": "leastkit answer",
    "comparison": "leastkit comparison of scenarios",
    "frontier": "leastkit frontier",
    "many": "leastkit portfolio of many sites",
    "within": "leastkit best within a budget",
    "phase-plan": "leastkit purchase in phases",
}
_READ = ("site", "book", "scenarios", "phases")
"""Files that people write; the others are written by the program."""

_MODELS = {
    "site": ("optimizer.site", "Site"),
    "book": ("optimizer.pricebook.schema", "Book"),
    "scenarios": ("optimizer.scenarios.schema", "Scenarios"),
    "phases": ("optimizer.scenarios.phase_schema", "Phases"),
    "answer": ("optimizer.solving.answer", "Answer"),
    "comparison": ("optimizer.scenarios.findings", "Comparison"),
    "frontier": ("optimizer.scenarios.findings", "Frontier"),
    "many": ("optimizer.scenarios.portfolio", "Portfolio"),
    "within": ("optimizer.scenarios.within_findings", "Within"),
    "phase-plan": ("optimizer.scenarios.phase_findings", "PhasePlan"),
}
"""Where each is described; imported when asked for."""


class _AsWritten(GenerateJsonSchema):
    """Gives defaults as they would be written in a file: "40 C", not the bare number 40."""

    def default_schema(self, schema: core_schema.WithDefaultSchema) -> JsonSchemaValue:
        made = super().default_schema(schema)
        writing: Any = schema["schema"].get("serialization", {})
        write = writing.get("function")
        if write is not None and made.get("default") is not None:
            made["default"] = write(schema["default"])
        return made


def published(name: str) -> dict[str, Any]:
    """The JSON Schema of a kind of file.

    Parameters
    ----------
    name : str
        A key of :data:`TITLES`.
    """
    home, model = _MODELS[name]
    shape: type[BaseModel] = getattr(importlib.import_module(home), model)
    if name in _READ:
        made = shape.model_json_schema(mode="validation", schema_generator=_AsWritten)
    else:
        made = shape.model_json_schema(mode="serialization", by_alias=True)
    return {"$schema": DIALECT, **_readable(made), "title": TITLES[name]}


def _readable(node: Any) -> Any:
    """A schema without the titles that only repeat a field's name.

    Choices that look like numbers may be written as numbers: YAML readers take an unquoted 5 for
    one, and site files and price books are read as they are written.
    """
    if isinstance(node, list):
        return [_readable(one) for one in node]
    if not isinstance(node, dict):
        return node
    out = {}
    for key, value in node.items():
        if key == "properties":
            out[key] = {name: _untitled(_readable(one)) for name, one in value.items()}
        else:
            out[key] = _readable(value)
    choices = out.get("enum")
    if isinstance(choices, list) and any(str(c).isdigit() for c in choices):
        out["enum"] = [*choices, *(int(c) for c in choices if str(c).isdigit())]
        out.pop("type", None)
    return out


def _untitled(field: dict[str, Any]) -> dict[str, Any]:
    return {key: value for key, value in field.items() if key != "title"}
