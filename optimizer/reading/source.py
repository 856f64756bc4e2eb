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

from optimizer.errors import InputError, Trouble

MOST_BYTES = 5_000_000
MOST_NODES = 400_000
MOST_DEPTH = 40

FieldPath = tuple[str | int, ...]


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
    """

    name: str
    data: Any
    lines: dict[FieldPath, int] = field(repr=False)
    sha256: str

    def line_of(self, path: FieldPath) -> int | None:
        """Line of the field, or of the nearest field around it that is in the file."""
        for end in range(len(path), -1, -1):
            if path[:end] in self.lines:
                return self.lines[path[:end]]
        return None


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
    try:
        raw = _bytes(Path(path), what)
        text = raw.decode("utf-8")
    except OSError as error:
        raise InputError(
            Trouble(
                f"the {what} cannot be read: {error.strerror or error}",
                file=name,
                accepted="a readable file",
                hint="check the path and its permissions",
            )
        ) from None
    except UnicodeDecodeError as error:
        raise InputError(
            Trouble(
                f"the {what} is not text: byte {error.start} is not UTF-8",
                file=name,
                accepted="a YAML file in UTF-8",
                hint="spreadsheets and pictures cannot be read here; save it as text",
            )
        ) from None
    return _parse(text, name, what, hashlib.sha256(raw).hexdigest())


def _bytes(path: Path, what: str) -> bytes:
    with path.open("rb") as stream:
        raw = stream.read(MOST_BYTES + 1)
    if len(raw) > MOST_BYTES:
        raise InputError(
            Trouble(
                f"the {what} is larger than {MOST_BYTES // 1_000_000} MB",
                file=str(path),
                accepted=f"a file of at most {MOST_BYTES // 1_000_000} MB",
                hint="this is probably not the file you meant",
            )
        )
    return raw


def _parse(text: str, name: str, what: str, digest: str) -> Source:
    loader_class = getattr(yaml, "CSafeLoader", yaml.SafeLoader)
    try:
        loader = loader_class(text)
        try:
            node = loader.get_single_node()
        finally:
            loader.dispose()
    except (yaml.YAMLError, RecursionError) as error:
        mark = getattr(error, "problem_mark", None)
        problem = getattr(error, "problem", None) or "nested too deep or not YAML"
        raise InputError(
            Trouble(
                f"the {what} is not well-formed YAML: {problem}",
                file=name,
                line=None if mark is None else mark.line + 1,
                accepted="one YAML document",
                hint="look at the indentation, colons and quotes at this line and the one before",
            )
        ) from None
    lines: dict[FieldPath, int] = {}
    data = None if node is None else _Builder(name, lines).build(node, (), 0)
    if not isinstance(data, dict) or not data:
        raise InputError(
            Trouble(
                f"the {what} is empty" if data in (None, {}) else f"the {what} is not a mapping",
                file=name,
                line=1,
                accepted="a YAML mapping of fields",
                hint="`leastkit start` writes a commented example",
            )
        )
    return Source(name, data, lines, digest)


class _Builder:
    """Turns YAML nodes into plain data, bounded in size whatever the aliases say."""

    def __init__(self, name: str, lines: dict[FieldPath, int]) -> None:
        self.name, self.lines, self.count = name, lines, 0

    def build(self, node: yaml.Node, path: FieldPath, depth: int) -> Any:
        self.count += 1
        line = node.start_mark.line + 1
        if self.count > MOST_NODES or depth > MOST_DEPTH:
            raise InputError(
                Trouble(
                    "the file unfolds to far too many or too deeply nested fields",
                    file=self.name,
                    line=line,
                    accepted=f"at most {MOST_NODES} fields, {MOST_DEPTH} levels deep",
                    hint="write repeated parts out instead of using aliases of aliases",
                )
            )
        self.lines[path] = line
        if isinstance(node, yaml.ScalarNode):
            plain = node.style is None and node.value in ("", "~", "null")
            return None if plain else node.value
        if isinstance(node, yaml.SequenceNode):
            return [self.build(n, (*path, i), depth + 1) for i, n in enumerate(node.value)]
        assert isinstance(node, yaml.MappingNode)
        return self._mapping(node, path, depth)

    def _mapping(self, node: yaml.MappingNode, path: FieldPath, depth: int) -> dict[str, Any]:
        out: dict[str, Any] = {}
        for key, value in node.value:
            if not isinstance(key, yaml.ScalarNode):
                raise InputError(
                    Trouble(
                        "a field name must be plain text",
                        file=self.name,
                        line=key.start_mark.line + 1,
                        accepted="name: value",
                        hint="quote a value that starts with a bracket or brace",
                    )
                )
            if key.value in out:
                raise InputError(
                    Trouble(
                        "this field is given twice",
                        file=self.name,
                        line=key.start_mark.line + 1,
                        field=".".join(str(p) for p in (*path, key.value)),
                        accepted="each field once",
                        hint="remove one of the two",
                    )
                )
            out[key.value] = self.build(value, (*path, key.value), depth + 1)
            self.lines[(*path, key.value)] = key.start_mark.line + 1
        return out
