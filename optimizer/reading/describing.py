"""What a field of a schema takes, in words: for messages about what is missing or does not fit."""

from __future__ import annotations

import types
import typing
from collections.abc import Iterable, Iterator
from typing import Any, NamedTuple

from pydantic import BaseModel, Tag
from pydantic.fields import FieldInfo

from optimizer.errors import listed
from optimizer.reading.readers import FieldReader


class Kind(NamedTuple):
    """The type of a field and what is attached to it."""

    annotation: Any
    metadata: tuple[Any, ...] = ()

    @classmethod
    def of(cls, annotation: Any, metadata: Iterable[Any] = ()) -> Kind:
        """The kind without the wrappings `Annotated` and `| None`."""
        attached = tuple(metadata)
        while True:
            origin = typing.get_origin(annotation)
            if origin is typing.Annotated:
                annotation, *inner = typing.get_args(annotation)
                attached = (*inner, *attached)
                continue
            if origin in (typing.Union, types.UnionType):
                some = [a for a in typing.get_args(annotation) if a is not type(None)]
                if len(some) == 1:
                    annotation = some[0]
                    continue
            return cls(annotation, attached)

    @classmethod
    def among(cls, words: Iterable[str]) -> Kind:
        """The kind of a field that is one of these words."""
        literal: Any = typing.Literal
        return cls(literal[tuple(words)])

    @property
    def model(self) -> type[BaseModel] | None:
        """The schema, if the kind is one."""
        one = self.annotation
        return one if isinstance(one, type) and issubclass(one, BaseModel) else None

    @property
    def entry(self) -> Kind | None:
        """Kind of the entries, if the kind is a list or a mapping with free keys."""
        if typing.get_origin(self.annotation) in (tuple, list):
            return Kind.of(typing.get_args(self.annotation)[0])
        if typing.get_origin(self.annotation) is dict:
            return Kind.of(typing.get_args(self.annotation)[1])
        return None

    @property
    def key(self) -> Kind:
        """Kind of the keys, if the kind is a mapping with free keys."""
        if typing.get_origin(self.annotation) is dict:
            return Kind.of(typing.get_args(self.annotation)[0])
        return Kind(None)

    @property
    def tags(self) -> list[str]:
        """What `kind` may be, if the kind is a union of schemas."""
        if self.model is not None or self.entry is not None:
            return []
        return [tag for one in self.members if one.model for tag in one.field("kind").choices]

    @property
    def is_list(self) -> bool:
        return typing.get_origin(self.annotation) in (tuple, list)

    @property
    def choices(self) -> list[str]:
        """The words it may be, if it is one of several words."""
        if typing.get_origin(self.annotation) is typing.Literal:
            return [str(word) for word in typing.get_args(self.annotation)]
        return []

    @property
    def members(self) -> list[Kind]:
        """The schemas, if the kind is a union of some."""
        if typing.get_origin(self.annotation) in (typing.Union, types.UnionType):
            return [Kind.of(member) for member in typing.get_args(self.annotation)]
        return []

    def tagged(self, tag: object) -> Kind | None:
        """The member of a union of schemas whose `kind`, or whose own tag, is the tag."""
        for kind in self.members:
            if kind.model is not None and tag in kind.field("kind").choices:
                return kind
            if any(isinstance(one, Tag) and one.tag == tag for one in kind.metadata):
                return kind
        return None

    def field(self, name: str | int) -> Kind:
        """Kind of a field of the schema; of nothing known if there is no such field."""
        info: FieldInfo | None = None
        if self.model is not None:
            info = self.model.model_fields.get(str(name))
        return Kind(None) if info is None else Kind.of(info.annotation, info.metadata)


def accepted(kind: Kind) -> str:
    """What is accepted, in words."""
    for one in kind.metadata:
        if isinstance(one, FieldReader):
            return one.accepted
    entry = kind.entry
    if entry is not None:
        if not kind.is_list:
            return "a mapping: one 'name: value' line for each entry"
        inside = f" of {listed(entry.choices)}" if entry.choices else ""
        return f"a list{inside}: one '- ' line for each entry"
    if kind.choices:
        return listed(kind.choices)
    if kind.tags:
        return f"a mapping with a kind: {listed(kind.tags)}"
    if kind.members:
        return " or ".join(dict.fromkeys(accepted(one) for one in kind.members))
    if kind.model is not None:
        return f"a mapping with the fields {listed(kind.model.model_fields)}"
    if kind.annotation is bool:
        return "true or false"
    if kind.annotation is int:
        return f"a whole number{_range(kind)}"
    if kind.annotation is str:
        return "text"
    return f"a number{_range(kind)}"


def example(kind: Kind) -> str | None:
    """A value that can stand behind the field's name on one line, if there is a good one."""
    for one in kind.metadata:
        if isinstance(one, FieldReader):
            return one.example
    if kind.choices:
        return kind.choices[0]
    if kind.entry is not None and kind.is_list:
        inside = example(kind.entry)
        return None if inside is None else f"[{inside}]"
    return {bool: "true", int: "1", str: "..."}.get(kind.annotation)


def homes(kind: Kind, name: str, path: str = "") -> Iterator[str]:
    """Where in a schema there is a field of this name: "money", "an entry of zones"."""
    if kind.entry is not None:
        yield from homes(kind.entry, name, f"an entry of {path}")
    for tag in kind.tags:
        yield from homes(kind.tagged(tag) or Kind(None), name, f"{path} of kind {tag}")
    if not kind.tags:
        inside = (home for one in kind.members for home in homes(one, name, path))
        yield from dict.fromkeys(inside)
    if kind.model is not None:
        if name in kind.model.model_fields:
            yield path or "the top level"
        start = f"{path}." if path else ""
        for field in kind.model.model_fields:
            yield from homes(kind.field(field), name, f"{start}{field}")


def _range(kind: Kind) -> str:
    words = {"ge": "at least", "gt": "more than", "le": "at most", "lt": "less than"}
    ends = {key: getattr(one, key) for one in kind.metadata for key in words if hasattr(one, key)}
    if set(ends) == {"ge", "le"}:
        return f" from {ends['ge']} to {ends['le']}"
    row = [f"{word} {ends[key]}" for key, word in words.items() if key in ends]
    return f", {' and '.join(row)}" if row else ""
