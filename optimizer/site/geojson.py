"""Shapes read from GeoJSON (RFC 7946 geometry) in plan coordinates.

A FeatureCollection. Coordinates are those of the plan, not of the earth: x to the right, y up, in
the plan's unit; a third coordinate is left aside. Properties of a feature:

``shape``
    What it is: outline, wall, obstacle, route, riser, room, mount, area or keep_out.
``id``
    Its id, here or as the feature's own `id`; an outline and a room need none. An `area` is what
    zones of the site file name.
everything else
    Fields as in a site file, such as ``"height": "3 m"``.

Geometry: Point for riser, room and mount; LineString for wall and route (a MultiLineString is
several pieces ID.1, ID.2, a Polygon its ring); Polygon without holes for the others.
"""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

from optimizer.errors import InputError, Trouble, listed, quoted
from optimizer.reading import Source, read_source
from optimizer.reading.files import read_bytes, read_text
from optimizer.reading.hints import suggest
from optimizer.reading.source import FieldPath, dotted
from optimizer.site.shapes import LINES, MODELS, NAMELESS, SPOTS, Pair, Shape, bare_ring

MOST_FEATURES = 20_000


def read_geojson(path: str | Path) -> tuple[list[Shape], str]:
    """Read the shapes of a GeoJSON file.

    Returns
    -------
    list of Shape
        In the order of the file.
    str
        SHA-256 of the file.

    Raises
    ------
    InputError
        If it is not such a file; each trouble names file, line and feature.
    """
    _check_json(path)
    source = read_source(path, "plan")
    if source.slips:
        raise InputError(*source.slips)
    return _Features(source).shapes(), source.sha256


def _check_json(path: str | Path) -> None:
    """Refuse what is not JSON in words of JSON; the reader with lines takes it as YAML."""
    name = str(path)
    try:
        json.loads(read_text(read_bytes(path, "plan"), name, "plan"))
    except json.JSONDecodeError as error:
        raise InputError(
            Trouble(
                f"the plan is not well-formed JSON: {error.msg}",
                name,
                error.lineno,
                accepted="a GeoJSON FeatureCollection (RFC 7946)",
                hint="export it again; a file cut off on its way ends like this",
            )
        ) from None
    except RecursionError:
        raise InputError(
            Trouble(
                "the plan is nested too deeply",
                name,
                accepted="a GeoJSON FeatureCollection (RFC 7946)",
                hint="check that it is the plan you meant",
            )
        ) from None


class _Features:
    """Turns features into shapes, collecting what is wrong."""

    def __init__(self, source: Source) -> None:
        self.source = source
        self.troubles: list[Trouble] = []

    def shapes(self) -> list[Shape]:
        data = self.source.data
        features = data.get("features")
        if data.get("type") != "FeatureCollection" or not isinstance(features, list):
            kind = data.get("type")
            raise InputError(
                self._trouble(
                    ("type",),
                    "this is not a collection of GeoJSON features",
                    'RFC 7946: {"type": "FeatureCollection", "features": [...]}',
                    "check that it is the plan you meant",
                    kind if isinstance(kind, str) else None,
                )
            )
        if len(features) > MOST_FEATURES:
            raise InputError(
                self._trouble(
                    ("features",),
                    f"the plan has {len(features)} features",
                    f"at most {MOST_FEATURES}",
                    "leave out what neither hides a view nor carries cable, such as furniture",
                )
            )
        found = [s for i, one in enumerate(features) for s in self._feature(i, one)]
        if self.troubles:
            raise InputError(*self.troubles)
        return found

    def _trouble(
        self, path: FieldPath, what: str, accepted: str, hint: str, value: str | None = None
    ) -> Trouble:
        source = self.source
        line = source.line_of(path)
        return Trouble(what, source.name, line, dotted(path), value, accepted, hint)

    def _refuse(
        self, path: FieldPath, what: str, accepted: str, hint: str, value: str | None = None
    ) -> list[Shape]:
        self.troubles.append(self._trouble(path, what, accepted, hint, value))
        return []

    def _feature(self, index: int, feature: Any) -> list[Shape]:
        at: FieldPath = ("features", index)
        if not isinstance(feature, dict) or feature.get("type") != "Feature":
            hint = 'each entry of features is {"type": "Feature", ...}'
            return self._refuse(at, "this is not a GeoJSON feature", "a Feature of RFC 7946", hint)
        properties = feature.get("properties")
        fields = dict(properties) if isinstance(properties, dict) else {}
        role = fields.pop("shape", None)
        name = fields.pop("id", None) or feature.get("id")
        name = name if isinstance(name, str) else ""
        said = f" {quoted(name)}" if name else ""
        if not isinstance(role, str) or role not in MODELS:
            word = role if isinstance(role, str) else None
            return self._refuse(
                (*at, "properties", "shape"),
                f"the feature{said} does not say what it is"
                if word is None
                else f"the feature{said} has a shape that is not known",
                listed(MODELS),
                suggest(word or "", MODELS, 'add "shape" to its properties, such as "wall"'),
                word,
            )
        if not name and role not in NAMELESS:
            hint = 'add "id" to its properties, such as "north-wall"'
            what = f"this {role} has no id"
            return self._refuse((*at, "properties"), what, "an id", hint)
        return self._drawn(at, role, name, fields, feature.get("geometry"))

    def _drawn(
        self, at: FieldPath, role: str, name: str, fields: dict[str, Any], geometry: Any
    ) -> list[Shape]:
        kind = geometry.get("type") if isinstance(geometry, dict) else None
        wanted: tuple[str, ...] = ("Point",) if role in SPOTS else ("Polygon",)
        if role in LINES:
            wanted = ("LineString", "MultiLineString", "Polygon")
        said = f'{role} "{name}"' if name else role
        if kind not in wanted:
            return self._refuse(
                (*at, "geometry"),
                f"the {said} is drawn as {kind or 'nothing'}",
                listed(wanted),
                f"draw a {role} as {wanted[0]}",
            )
        coordinates, here = geometry.get("coordinates"), (*at, "geometry", "coordinates")
        if kind == "Polygon" and isinstance(coordinates, list) and len(coordinates) > 1:
            what = f"the {said} has a hole"
            return self._refuse(here, what, "a polygon of one ring", "cut it into two without")
        pieces = coordinates if kind in ("MultiLineString", "Polygon") else [coordinates]
        if kind == "Point":
            pieces = [[coordinates]]
        shapes = []
        for number, piece in enumerate(pieces if isinstance(pieces, list) else [None], start=1):
            points = _pairs(piece)
            if points is None:
                hint = "each position is [x, y] in the unit of the plan"
                what = f"the coordinates of {said} are no positions"
                return self._refuse(here, what, f"coordinates of a {kind} (RFC 7946)", hint)
            if kind == "Polygon" and points[0] != points[-1]:
                hint = "repeat the first position at the end (RFC 7946, 3.1.6)"
                what = f"the ring of {said} is not closed"
                return self._refuse(here, what, "a ring whose last position is its first", hint)
            ring = bare_ring(points) if kind == "Polygon" and role not in LINES else points
            own = f"{name}.{number}" if len(pieces) > 1 else name
            shapes.append(Shape(role, own, ring, fields, self.source.line_of(at)))
        return shapes


def _pairs(piece: Any) -> list[Pair] | None:
    """Positions without height, or None where it is none."""
    if not isinstance(piece, list) or not piece:
        return None
    for one in piece:
        if not (isinstance(one, list) and len(one) in (2, 3)):
            return None
        if not all(isinstance(part, str) for part in one):
            return None
    return [one[:2] for one in piece]


__all__ = ["MOST_FEATURES", "read_geojson"]
