"""The columns that a table of items can have, taken from the schema of each kind."""

from __future__ import annotations

import re
import types
import typing
from collections.abc import Iterator
from functools import cache
from typing import Any

from pydantic import BaseModel

from optimizer.pricebook.schema import AnyItem, Item

KINDS: dict[str, type[Item]] = {
    typing.get_args(model.model_fields["kind"].annotation)[0]: model
    for model in typing.get_args(typing.get_args(AnyItem)[0])
}
"""Every kind of item and its model, in the order of the schema."""


@cache
def column_shape(model: type[BaseModel], column: str) -> str | None:
    """What a column holds: "one" value, a "list" of words, or None where it is no column."""
    return _shape(model, tuple(column.split(".")))


def _shape(annotation: Any, steps: tuple[str, ...]) -> str | None:
    origin, inner = typing.get_origin(annotation), typing.get_args(annotation)
    if origin is typing.Annotated:
        return _shape(inner[0], steps)
    if origin in (typing.Union, types.UnionType):
        shapes = [_shape(one, steps) for one in inner if one is not type(None)]
        return next((s for s in shapes if s), None)
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        field = annotation.model_fields.get(steps[0]) if steps else None
        return None if field is None else _shape(field.annotation, steps[1:])
    if origin is tuple:
        if not steps:
            return "list" if _shape(inner[0], ()) == "one" else None
        number = re.fullmatch("[0-9]{1,4}", steps[0]) is not None
        return _shape(inner[0], steps[1:]) if number and len(steps) > 1 else None
    if origin is dict:
        known = len(steps) == 1 and steps[0] in typing.get_args(inner[0])
        return "one" if known else None
    return None if steps else "one"


@cache
def columns_of(model: type[BaseModel]) -> tuple[str, ...]:
    """Every column of a kind, lists of parts with their first place."""
    return tuple(name for name in _columns(model, "") if name != "kind")


def _columns(annotation: Any, name: str) -> Iterator[str]:
    origin, inner = typing.get_origin(annotation), typing.get_args(annotation)
    if origin is typing.Annotated:
        yield from _columns(inner[0], name)
    elif origin in (typing.Union, types.UnionType):
        yield from dict.fromkeys(c for a in inner if a is not type(None) for c in _columns(a, name))
    elif isinstance(annotation, type) and issubclass(annotation, BaseModel):
        for key, field in annotation.model_fields.items():
            yield from _columns(field.annotation, f"{name}.{key}" if name else key)
    elif origin is tuple and _shape(annotation, ()) is None:
        yield from _columns(inner[0], f"{name}.0")
    elif origin is dict:
        yield from (f"{name}.{key}" for key in typing.get_args(inner[0]))
    else:
        yield name


__all__ = ["KINDS", "column_shape", "columns_of"]
