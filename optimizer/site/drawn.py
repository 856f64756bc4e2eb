"""A site file with what its drawing holds put in place.

Shapes of `plan.file` join those of the site file: walls walls, mounts mounts. Where the site file
names a shape (`area: sales-floor`, `at: corner-2`) it gets that shape's place, and for what it
leaves out that shape's fields; a shape that is named so does not stand for itself as well. What
comes out is a complete site file, without `plan.file`.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any

from optimizer.errors import InputError, Trouble, listed, quoted
from optimizer.reading import Source, validate
from optimizer.reading.hints import suggest
from optimizer.reading.source import FieldPath, dotted
from optimizer.site.plan import Layer
from optimizer.site.shapes import Shape, checked

_FILE: FieldPath = ("plan", "file")
_LISTS = {
    "wall": "walls",
    "obstacle": "obstacles",
    "route": "routes",
    "riser": "risers",
    "keep_out": "keep_outs",
}
_NAMING: dict[tuple[str, ...], tuple[str, str]] = {
    ("zones",): ("area", "area"),
    ("mounts",): ("mount", "at"),
    ("plan", "keep_outs"): ("area", "area"),
    ("plan", "obstacles"): ("area", "area"),
    ("plan", "risers"): ("riser", "at"),
}
"""Where an entry may name a shape: what the shape is, and the field that names it."""


def with_drawing(source: Source) -> Source:
    """The site file with its drawing put in place.

    Parameters
    ----------
    source : Source
        What was read as a site.

    Returns
    -------
    Source
        The same where it names no drawing. Else `sha256` is that of both files' sums together, and
        what comes from the drawing has the line of ``plan.file``.

    Raises
    ------
    InputError
        If the drawing is refused, or the site file names a shape that it has not.
    """
    plan = source.data.get("plan")
    file = plan.get("file") if isinstance(plan, dict) else None
    if not isinstance(plan, dict) or not isinstance(file, str):
        return source
    shapes, sha256 = _read(source, plan, file)
    checked(shapes, _path(source, file))
    data = {**source.data, "plan": {**plan}}
    del data["plan"]["file"]
    data["plan"].pop("layers", None)
    lines = dict(source.lines)
    _Placing(replace(source, data=data, lines=lines), shapes).place()
    both = hashlib.sha256(f"{source.sha256} {sha256}".encode()).hexdigest()
    return Source(source.name, data, lines, both, source.slips)


def _path(source: Source, file: str) -> str:
    """Relative to the folder of the site file."""
    return str(Path(source.name).parent / file)


def _read(source: Source, plan: dict[str, Any], file: str) -> tuple[list[Shape], str]:
    ending = Path(file).suffix.lower()
    layers = plan.get("layers")
    if ending == ".dxf":
        from optimizer.site.dxf import read_dxf

        if not isinstance(layers, dict) or not layers:
            what, hint = "a DXF drawing needs plan.layers", "say what is drawn on each layer"
            raise InputError(_trouble(source, _FILE, what, "layers beside file", hint, file))
        for layer in layers:
            validate(Layer, source, ("plan", "layers", layer))
        return read_dxf(_path(source, file), layers, str(plan.get("unit", "m")))
    if ending not in (".geojson", ".json"):
        what, accepted = "this is no kind of drawing that is read here", ".geojson, .json or .dxf"
        raise InputError(
            _trouble(source, _FILE, what, accepted, "export the plan as one of these", file)
        )
    if layers:
        what, hint = "only a DXF drawing has layers", "remove plan.layers"
        raise InputError(_trouble(source, ("plan", "layers"), what, "none", hint))
    from optimizer.site.geojson import read_geojson

    return read_geojson(_path(source, file))


def _trouble(
    source: Source, path: FieldPath, what: str, accepted: str, hint: str, value: str | None = None
) -> Trouble:
    line = source.line_of(path)
    return Trouble(what, source.name, line, dotted(path), value, accepted, hint)


class _Placing:
    """Puts shapes into a site's data, which is its own to change."""

    def __init__(self, source: Source, shapes: list[Shape]) -> None:
        self.source, self.data = source, source.data
        self.shapes: dict[tuple[str, str], Shape] = {}
        self.troubles: list[Trouble] = []
        self.taken: set[tuple[str, str]] = set()
        for shape in shapes:
            key = (shape.role, shape.id)
            if key in self.shapes:
                what = f"{quoted(shape.id)} stands twice in the drawing, as {shape.role}"
                if not shape.id:
                    what = f"the drawing holds more than one {shape.role}"
                self._refuse(_FILE, what, "each one once", "rename or remove one of the two")
            self.shapes[key] = shape

    def place(self) -> None:
        """Put them in place."""
        for path, (role, field) in _NAMING.items():
            self._named(path, role, field)
        for role, name in _LISTS.items():
            self._append(("plan", name), role)
        self._append(("mounts",), "mount")
        self._single("outline", "outline", "area")
        self._single("room", "room", None)
        if self.troubles:
            raise InputError(*self.troubles)

    def _refuse(self, path: FieldPath, what: str, accepted: str, hint: str) -> None:
        self.troubles.append(_trouble(self.source, path, what, accepted, hint))

    def _holder(self, path: tuple[str, ...]) -> dict[str, Any]:
        holder: dict[str, Any] = self.data
        for step in path[:-1]:
            holder = holder[step]
        return holder

    def _entries(self, path: tuple[str, ...]) -> list[Any] | None:
        """A list of entries, as a copy that may be changed; None where there is no list."""
        holder = self._holder(path)
        held = holder.get(path[-1])
        if held is None:
            held = []
        if not isinstance(held, list):
            return None
        entries = [dict(one) if isinstance(one, dict) else one for one in held]
        holder[path[-1]] = entries
        return entries

    def _named(self, path: tuple[str, ...], role: str, field: str) -> None:
        for index, entry in enumerate(self._entries(path) or ()):
            name = entry.get(field) if isinstance(entry, dict) else None
            if not isinstance(name, str):
                continue
            shape = self.shapes.get((role, name))
            if shape is None:
                known = [one for kind, one in self.shapes if kind == role]
                self._refuse(
                    (*path, index, field),
                    f"the drawing has no {role} {quoted(name)}",
                    listed(known) or f"no {role}: the drawing has none",
                    suggest(name, known, f"name one of them, or write coordinates as {field}"),
                )
                continue
            self.taken.add((role, name))
            own = {key: value for key, value in shape.entry.items() if key != "id"}
            entry.update({**own, **entry, field: own[field]})

    def _append(self, path: tuple[str, ...], role: str) -> None:
        entries = self._entries(path)
        if entries is None:
            return
        line = self.source.lines[_FILE]
        for shape in self._left(role):
            here: FieldPath = (*path, len(entries))
            self.source.lines[here] = line
            entries.append(shape.entry)

    def _left(self, role: str) -> Iterator[Shape]:
        for key, shape in self.shapes.items():
            if key[0] == role and key not in self.taken:
                yield shape

    def _single(self, role: str, field: str, part: str | None) -> None:
        for shape in self._left(role):
            if self.data["plan"].get(field) is not None:
                what = f"both site file and drawing give the {role}"
                hint = f"remove plan.{field}, or the {role} from the drawing"
                self._refuse(("plan", field), what, "one of them", hint)
            self.data["plan"][field] = shape.entry if part is None else shape.entry[part]
            self.source.lines[("plan", field)] = self.source.lines[_FILE]


__all__ = ["with_drawing"]
