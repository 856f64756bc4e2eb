"""A YAML file as plain text scalars, each with the line it stands on.

Scalars are kept as written: "012", "no" and "12.50" mean what the schema says, never what YAML
would guess, and money never becomes a binary float.
"""

from __future__ import annotations

import hashlib
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import yaml

from optimizer.errors import MOST_COLLECTED, InputError, Trouble, quoted
from optimizer.reading.files import MOST_BYTES, UNPRINTABLE, read_bytes, read_text
from optimizer.reading.malformed import malformed

__all__ = [
    "MOST_BYTES",
    "MOST_DEPTH",
    "MOST_NODES",
    "FieldPath",
    "Source",
    "dotted",
    "read_source",
]

MOST_NODES = 400_000
MOST_DEPTH = 40

FieldPath = tuple[str | int, ...]

_NULLS = ("", "~", "null", "Null", "NULL")
_UNFINISHED = object()


@dataclass(frozen=True)
class Source:
    """What a file says.

    Attributes
    ----------
    name : str
        The file's name for messages.
    data : Any
        Nested dicts and lists; every scalar is a str, an empty one None.
    lines : dict
        Line number of each field path.
    sha256 : str
        Of the file's bytes.
    slips : tuple of Trouble
        Things wrong that did not keep the file from being read to its end, such as a field given
        twice; `optimizer.reading.validate` reports them together with its own findings.
    """

    name: str
    data: Any
    lines: dict[FieldPath, int] = field(repr=False)
    sha256: str
    slips: tuple[Trouble, ...] = ()

    def line_of(self, path: FieldPath) -> int | None:
        """Line of the field, or of the nearest field around it that is in the file."""
        for end in range(len(path), -1, -1):
            if path[:end] in self.lines:
                return self.lines[path[:end]]
        return None


def dotted(path: FieldPath) -> str:
    """A field path as people read it: "zones[3].run"."""
    text = ""
    for step in path:
        text += f"[{step}]" if isinstance(step, int) else (f".{step}" if text else str(step))
    return text


def read_source(path: str | Path, what: str) -> Source:
    """Read a YAML (or JSON) file.

    Parameters
    ----------
    path : path
        The file.
    what : str
        What it is read as ("site", "price book", ...), for messages.

    Raises
    ------
    InputError
        If it cannot be read as one YAML document of reasonable size.
    """
    name = str(path)
    raw = read_bytes(path, what)
    text = read_text(raw, name, what)
    return _Builder(text, name, what).source(hashlib.sha256(raw).hexdigest())


class _Builder:
    """Turns YAML events into plain data, bounded in size whatever the aliases say.

    Events, not nodes: composing nodes would recurse as deep as a hostile file likes.
    """

    def __init__(self, text: str, name: str, what: str) -> None:
        self.text, self.name, self.what = text, name, what
        loader: Any = getattr(yaml, "CSafeLoader", yaml.SafeLoader)
        self.events: Any = loader(text)
        self.lines: dict[FieldPath, int] = {}
        self.slips: list[Trouble] = []
        self.anchors: dict[str, tuple[Any, FieldPath]] = {}
        self.count = 0

    def source(self, sha256: str) -> Source:
        """Read the one document."""
        try:
            data = self._document()
        except yaml.YAMLError as error:
            raise InputError(
                *self.slips, malformed(error, self.text, self.name, self.what)
            ) from None
        finally:
            self.events.dispose()
        if not isinstance(data, dict) or not data:
            if self.slips:
                raise InputError(*self.slips)
            empty = data is None or data == {}
            raise InputError(
                Trouble(
                    f"the {self.what} is empty" if empty else f"the {self.what} is not a mapping",
                    file=self.name,
                    line=self.lines.get((), 1),
                    accepted="a YAML mapping: one 'name: value' line for each field",
                    hint="`leastkit start` writes a commented example",
                ),
            )
        return Source(self.name, data, self.lines, sha256, tuple(self.slips))

    def _document(self) -> Any:
        self.events.get_event()  # start of the stream
        if isinstance(self.events.get_event(), yaml.StreamEndEvent):
            return None
        first = self.events.get_event()
        data = self._value(first, (), 0, first.start_mark.line + 1)
        self.events.get_event()  # end of the document
        after = self.events.get_event()
        if not isinstance(after, yaml.StreamEndEvent):
            self._stop(
                "the file holds more than one document",
                after.start_mark.line + 1,
                accepted="one YAML document",
                hint="keep one of them in a file; a line '---' starts another",
            )
        return data

    def _value(self, event: Any, path: FieldPath, depth: int, line: int) -> Any:
        self._grow(path, depth, line)
        if isinstance(event, yaml.AliasEvent):
            return self._alias(event, path, depth)
        if event.tag is not None:
            self._slip(
                f"the tag {quoted(event.tag.replace('tag:yaml.org,2002:', '!!'))} is not accepted",
                event.start_mark.line + 1,
                path,
                accepted="plain values: the field says what is meant",
                hint="remove the tag",
            )
        if event.anchor is not None:
            self.anchors[event.anchor] = (_UNFINISHED, path)
        data: Any
        if isinstance(event, yaml.ScalarEvent):
            data = self._scalar(event, path)
        elif isinstance(event, yaml.SequenceStartEvent):
            data = []
            while not isinstance(entry := self.events.get_event(), yaml.SequenceEndEvent):
                at = (*path, len(data))
                data.append(self._value(entry, at, depth + 1, entry.start_mark.line + 1))
        else:
            data = self._mapping(path, depth)
        if event.anchor is not None:
            self.anchors[event.anchor] = (data, path)
        return data

    def _scalar(self, event: Any, path: FieldPath) -> str | None:
        text: str = event.value
        if event.implicit[0] and text in _NULLS:
            return None
        self._printable(text, event.start_mark.line + 1, path)
        return text

    def _mapping(self, path: FieldPath, depth: int) -> dict[str, Any]:
        out: dict[str, Any] = {}
        given: dict[str, int] = {}
        merged: list[tuple[dict[str, Any], FieldPath]] = []
        while not isinstance(key := self.events.get_event(), yaml.MappingEndEvent):
            line = key.start_mark.line + 1
            if not isinstance(key, yaml.ScalarEvent):
                self._slip(
                    "a field name must be plain text",
                    line,
                    path,
                    accepted="name: value",
                    hint="quote a value that starts with a bracket, a brace or a star",
                )
                self._value(key, (*path, "?"), depth + 1, line)
                self._value(self.events.get_event(), (*path, "?"), depth + 1, line)
                continue
            name: str = key.value
            at = (*path, name)
            fits = self._printable(name, line, at)
            if name in given:
                self._slip(
                    f"this field is given twice, first in line {given[name]}",
                    line,
                    at,
                    accepted="each field once",
                    hint="remove one of the two",
                )
            value = self._value(self.events.get_event(), at, depth + 1, line)
            if name == "<<" and key.implicit[0]:
                merged += self._bases(value, at, line)
            elif fits and name not in given:
                out[name] = value
            given.setdefault(name, line)
        for base, at in merged:
            for name, value in base.items():
                if name not in out:
                    out[name] = value
                    self._again(value, (*at, name), (*path, name), depth + 1, given["<<"])
        return out

    def _bases(
        self, value: Any, path: FieldPath, line: int
    ) -> list[tuple[dict[str, Any], FieldPath]]:
        """The mappings that a merge key names, with their places."""
        rows = (
            [(one, (*path, i)) for i, one in enumerate(value)]
            if isinstance(value, list)
            else [(value, path)]
        )
        if not all(isinstance(one, dict) for one, _ in rows):
            self._slip(
                "only a mapping can be merged in",
                line,
                path,
                accepted="<<: *name, where &name marks a mapping, or a list of such",
                hint="write the fields out",
            )
        return [(one, at) for one, at in rows if isinstance(one, dict)]

    def _alias(self, event: Any, path: FieldPath, depth: int) -> Any:
        line = event.start_mark.line + 1
        if event.anchor not in self.anchors:
            self._stop(
                f"there is no anchor {quoted('&' + event.anchor)} above this line",
                line,
                path,
                accepted="an alias of an anchor that stands before it",
                hint="quote a value that starts with a star",
            )
        data, at = self.anchors[event.anchor]
        if data is _UNFINISHED:
            self._stop(
                f"the alias {quoted('*' + event.anchor)} stands inside what it stands for",
                line,
                path,
                accepted="an alias of an anchor that is complete",
                hint="write the part out",
            )
        own = self.lines[path]
        self._again(data, at, path, depth, line)
        self.lines[path] = own
        return data

    def _again(self, data: Any, at: FieldPath, path: FieldPath, depth: int, line: int) -> None:
        """Count a part that is repeated in a line, and note where its fields were written."""
        self._grow(path, depth, line)
        self.lines[path] = self.lines[at]
        steps: Any = ()
        if isinstance(data, dict):
            steps = data.items()
        elif isinstance(data, list):
            steps = enumerate(data)
        for step, inner in steps:
            self._again(inner, (*at, step), (*path, step), depth + 1, line)

    def _grow(self, path: FieldPath, depth: int, line: int) -> None:
        self.count += 1
        if depth > MOST_DEPTH:
            self._stop(
                f"the file is nested more than {MOST_DEPTH} levels deep",
                line,
                accepted=f"at most {MOST_DEPTH} levels",
                hint="look for brackets that are not closed",
            )
        if self.count > MOST_NODES:
            self._stop(
                f"the file unfolds to more than {MOST_NODES} fields",
                line,
                accepted=f"at most {MOST_NODES} fields",
                hint="aliases of aliases multiply: write repeated parts out",
            )
        self.lines[path] = line

    def _printable(self, text: str, line: int, path: FieldPath) -> bool:
        bad = UNPRINTABLE.search(text)
        if bad is not None:
            self._slip(
                f"this text holds the control character U+{ord(bad.group()):04X}",
                line,
                path,
                value=text,
                accepted="characters that print",
                hint="remove it",
            )
        return bad is None

    def _slip(
        self,
        what: str,
        line: int,
        path: FieldPath = (),
        value: str | None = None,
        *,
        accepted: str,
        hint: str,
    ) -> None:
        self.slips.append(Trouble(what, self.name, line, dotted(path), value, accepted, hint))
        if len(self.slips) >= MOST_COLLECTED:
            raise InputError(*self.slips)

    def _stop(
        self, what: str, line: int, path: FieldPath = (), *, accepted: str, hint: str
    ) -> None:
        self._slip(what, line, path, accepted=accepted, hint=hint)
        raise InputError(*self.slips)
