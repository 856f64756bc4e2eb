"""From plain text data to a validated model, with one clear error for each thing wrong."""

from __future__ import annotations

import difflib
import types
import typing
from typing import Any, TypeVar

from pydantic import BaseModel, ValidationError
from pydantic_core import ErrorDetails

from optimizer.errors import InputError, Trouble
from optimizer.reading.source import FieldPath, Source

Model = TypeVar("Model", bound=BaseModel)

_ACCEPTED = {
    "int_parsing": "a whole number",
    "int_type": "a whole number",
    "bool_parsing": "true or false",
    "bool_type": "true or false",
    "list_type": "a list: one '- ' line for each entry",
    "dict_type": "a mapping: one 'name: value' line for each entry",
    "model_type": "a mapping: one 'name: value' line for each field",
    "model_attributes_type": "a mapping: one 'name: value' line for each field",
    "string_type": "text",
}


def validate(model: type[Model], source: Source, at: FieldPath = ()) -> Model:
    """Check a source against a schema.

    Parameters
    ----------
    model : type
        The schema.
    source : Source
        What was read.
    at : path, optional
        Where in the source the model's data is.

    Raises
    ------
    InputError
        With one trouble for each thing wrong, in the order of the file.
    """
    data = source.data
    for step in at:
        data = data[step]
    try:
        return model.model_validate(data)
    except ValidationError as error:
        troubles = [
            _trouble(detail, model, source, at)
            for detail in error.errors(include_url=False, include_context=True)
        ]
    troubles.sort(key=lambda t: (t.line or 0, t.field))
    raise InputError(*troubles)


def _trouble(
    detail: ErrorDetails, model: type[BaseModel], source: Source, at: FieldPath
) -> Trouble:
    inner = _data_path(detail["loc"], source, at)
    path = (*at, *inner)
    kind = detail["type"]
    context = detail.get("ctx", {})
    field = _dotted(path)
    line = source.line_of(path)
    if kind == "extra_forbidden":
        known = _known_fields(model, detail["loc"])
        return Trouble(
            f'"{path[-1]}" is not a field here',
            file=source.name,
            line=line,
            field=field,
            accepted=", ".join(known) if known else "no such field",
            hint=suggest(str(path[-1]), known),
        )
    if kind == "missing":
        return Trouble(
            f'"{path[-1]}" is missing',
            file=source.name,
            line=line,
            field=field,
            accepted=f"a value for {path[-1]}",
            hint=f"add a line '{path[-1]}: ...'",
        )
    value = detail.get("input")
    shown = value if isinstance(value, str) else ("nothing" if value is None else None)
    if kind == "quantity":
        return Trouble(
            str(context["what"]),
            file=source.name,
            line=line,
            field=field,
            value=shown,
            accepted=str(context["accepted"]),
            hint=str(context["hint"]),
        )
    if kind in ("literal_error", "enum", "union_tag_invalid"):
        expected = str(context.get("expected") or context.get("expected_tags"))
        choices = [c.strip().strip("'") for c in expected.replace(" or ", ", ").split(",")]
        return Trouble(
            "this is not one of the choices",
            file=source.name,
            line=line,
            field=field,
            value=shown if kind != "union_tag_invalid" else str(context.get("tag")),
            accepted=", ".join(choices),
            hint=suggest(shown or str(context.get("tag", "")), choices),
        )
    if kind == "union_tag_not_found":
        return Trouble(
            '"kind" is missing',
            file=source.name,
            line=line,
            field=field,
            accepted="a kind of item",
            hint="add a line 'kind: camera' (or another kind)",
        )
    return Trouble(
        detail["msg"].removeprefix("Value error, ").removeprefix("Input should be ").rstrip("."),
        file=source.name,
        line=line,
        field=field,
        value=shown,
        accepted=_ACCEPTED.get(kind, _limits(kind, context)),
        hint="see `leastkit schema` for what each field takes",
    )


def _limits(kind: str, context: dict[str, Any]) -> str:
    words = {
        "greater_than_equal": ("at least", "ge"),
        "greater_than": ("more than", "gt"),
        "less_than_equal": ("at most", "le"),
        "less_than": ("less than", "lt"),
    }
    if kind in words:
        word, key = words[kind]
        return f"a number {word} {context[key]}"
    if kind == "too_short":
        return f"at least {context.get('min_length', 1)} entries"
    if kind == "string_too_short":
        return "text that is not empty"
    return "a value that fits the field"


def _data_path(loc: tuple[str | int, ...], source: Source, at: FieldPath) -> FieldPath:
    """The location without the tags that pydantic adds for unions."""
    data: Any = source.data
    for step in at:
        data = data[step]
    out: list[str | int] = []
    for index, step in enumerate(loc):
        if isinstance(data, dict) and step in data:
            data = data[step]
            out.append(step)
        elif isinstance(data, list) and isinstance(step, int) and step < len(data):
            data = data[step]
            out.append(step)
        elif index == len(loc) - 1 and isinstance(data, dict):
            out.append(step)
    return tuple(out)


def _dotted(path: FieldPath) -> str:
    text = ""
    for step in path:
        text += f"[{step}]" if isinstance(step, int) else (f".{step}" if text else str(step))
    return text


def suggest(word: str, known: list[str]) -> str:
    """A hint naming the known word that is closest to what was written."""
    close = difflib.get_close_matches(word, known, n=1, cutoff=0.6)
    if close:
        return f'did you mean "{close[0]}"?'
    return "see `leastkit schema` for the fields and values that are known"


def _known_fields(model: type[BaseModel], loc: tuple[str | int, ...]) -> list[str]:
    """Names of the fields where an unknown one was found."""
    current: list[Any] = [model]
    for step in loc[:-1]:
        current = [inner for one in current for inner in _step(one, step)]
    names: dict[str, None] = {}
    for one in current:
        if isinstance(one, type) and issubclass(one, BaseModel):
            names.update(dict.fromkeys(one.model_fields))
    return list(names)


def _step(kind: Any, step: str | int) -> list[Any]:
    if isinstance(kind, _Inside):
        return kind.inner
    if isinstance(kind, type) and issubclass(kind, BaseModel):
        info = kind.model_fields.get(str(step))
        if info is not None:
            return _unfold(info.annotation)
        tag = kind.model_fields.get("kind")
        return [kind] if tag is not None and step in typing.get_args(tag.annotation) else []
    return []


def _unfold(annotation: Any) -> list[Any]:
    origin = typing.get_origin(annotation)
    if origin is typing.Annotated:
        return _unfold(typing.get_args(annotation)[0])
    if origin in (typing.Union, types.UnionType):
        return [u for a in typing.get_args(annotation) for u in _unfold(a)]
    if origin in (list, tuple, dict):
        return [_Inside(annotation)]
    return [annotation]


class _Inside:
    """A container whose entries are stepped into by index or key."""

    def __init__(self, annotation: Any) -> None:
        args = typing.get_args(annotation)
        self.inner = _unfold(args[-1] if args[-1] is not Ellipsis else args[0])
