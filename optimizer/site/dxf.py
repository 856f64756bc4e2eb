"""Shapes read from the layers of a DXF drawing; needs ezdxf, the optional extra ``dxf``.

`plan.layers` of the site file says what is drawn on each layer; other layers are left aside. On a
layer are read: lines and polylines (walls, routes; closed ones as outline, obstacle, area,
keep_out), circles, arcs, ellipses and splines as polylines whose chords leave the curve by at most
`MOST_SAG_M`, points and inserted blocks (mounts, risers, room). Texts on the layer name
the closed shape that they lie in, an attribute ID of a block names the block, and its rotation is
the facing of a mount; what has no name is called by its layer and its number in the file.
"""

from __future__ import annotations

import hashlib
import re
from collections.abc import Iterator, Mapping
from io import StringIO
from pathlib import Path
from typing import Any

from optimizer.errors import InputError, Trouble, installing, listed, quoted
from optimizer.reading.files import read_bytes
from optimizer.reading.hints import suggest
from optimizer.site.shapes import LINES, NAMELESS, SPOTS, Shape
from optimizer.units import DIMENSIONS

MOST_BYTES = 20_000_000
MOST_ENTITIES = 20_000
MOST_SAG_M = 0.005
_UNITS = {0: "", 1: " in", 2: " ft", 4: " mm", 5: " cm", 6: " m"}
"""Units of coordinates by the header variable $INSUNITS of the DXF reference."""
_CURVES = ("LINE", "LWPOLYLINE", "POLYLINE", "CIRCLE", "ARC", "ELLIPSE", "SPLINE")
_WORDS = ("TEXT", "MTEXT")


def read_dxf(
    path: str | Path, layers: Mapping[str, Any], plan_unit: str = "m"
) -> tuple[list[Shape], str]:
    """Read the shapes on some layers of a DXF file.

    Parameters
    ----------
    path : path
        The drawing.
    layers : mapping of layer name to mapping
        What `plan.layers` says of each: ``shape``, and ``set`` with fields for each shape.
    plan_unit : str
        Unit of the plan, in which a drawing counts that states none.

    Returns
    -------
    list of Shape
        In the order of the file.
    str
        SHA-256 of the file.

    Raises
    ------
    InputError
        If ezdxf is not there, the file is too large or no drawing, a layer is not in it, or an
        entity on a named layer is not what the layer is said to hold.
    """
    name = str(path)
    raw = read_bytes(path, "drawing", MOST_BYTES)
    document = _document(raw, name)
    return _Layers(document, name, layers, plan_unit).shapes(), hashlib.sha256(raw).hexdigest()


def _document(raw: bytes, name: str) -> Any:
    try:
        import ezdxf
        from ezdxf.lldxf.const import DXFError
    except ImportError:
        raise InputError(
            Trouble(
                "reading DXF drawings needs the package ezdxf",
                file=name,
                accepted="a Python environment in which ezdxf can be imported, or GeoJSON",
                hint=installing("dxf"),
            )
        ) from None
    try:
        text = raw.decode("utf-8", errors="surrogateescape")
        document = ezdxf.read(StringIO(text.replace("\r\n", "\n")))
    except (DXFError, ValueError, IndexError, KeyError, AttributeError, TypeError) as error:
        # A damaged file breaks the reader in many ways; whatever it says, it is no drawing.
        raise InputError(
            Trouble(
                f"this cannot be read as a DXF drawing: {error}",
                file=name,
                accepted="an ASCII DXF file, R12 or later",
                hint="export it again as ASCII DXF (2018 or earlier)",
            )
        ) from None
    return document


class _Layers:
    """Turns entities into shapes, collecting what is wrong."""

    def __init__(self, document: Any, name: str, layers: Mapping[str, Any], plan_unit: str) -> None:
        self.name, self.layers = name, layers
        code = document.header.get("$INSUNITS", 0)
        if code not in _UNITS:
            raise InputError(
                Trouble(
                    f"the drawing counts in unit {code} of $INSUNITS",
                    file=name,
                    accepted="none (0), inches (1), feet (2), mm (4), cm (5) or m (6)",
                    hint="set the units of the drawing to one of these and save it again",
                )
            )
        self.unit = _UNITS[code]
        factors = DIMENSIONS["length"].factors
        self.sag = MOST_SAG_M / float(factors.get(self.unit.strip() or plan_unit, 1))
        self.troubles: list[Trouble] = []
        self.entities: dict[str, list[Any]] = {layer: [] for layer in layers}
        self.there: dict[str, None] = {}
        for entity in document.modelspace():
            layer = entity.dxf.layer
            self.there[layer] = None
            if layer in self.entities:
                self.entities[layer].append(entity)

    def shapes(self) -> list[Shape]:
        found: list[Shape] = []
        for layer, held in self.entities.items():
            if layer not in self.there:
                self._refuse(
                    layer,
                    f"the drawing has nothing on a layer {quoted(layer)}",
                    listed(self.there),
                    suggest(layer, self.there, "name a layer of the drawing"),
                )
            elif len(held) > MOST_ENTITIES:
                self._refuse(
                    layer,
                    f"there are {len(held)} entities on layer {quoted(layer)}",
                    f"at most {MOST_ENTITIES}",
                    "leave out what neither hides a view nor carries cable: hatching, furniture",
                )
            else:
                found += self._on(layer, held)
        if self.troubles:
            raise InputError(*self.troubles)
        return found

    def _refuse(self, where: str, what: str, accepted: str, hint: str) -> None:
        self.troubles.append(Trouble(what, self.name, None, where, None, accepted, hint))

    def _on(self, layer: str, held: list[Any]) -> Iterator[Shape]:
        rule = self.layers[layer]
        role, fields = rule["shape"], dict(rule.get("set") or {})
        texts = [one for one in held if one.dxftype() in _WORDS]
        drawn = [one for one in held if one.dxftype() not in _WORDS]
        for number, entity in enumerate(drawn, start=1):
            where = f"handle {entity.dxf.handle}, layer {layer}"
            points = self._points(entity, role, where)
            if points is None:
                continue
            own = _ident(f"{layer}-{number}")
            extra: dict[str, Any] = {}
            if entity.dxftype() == "INSERT":
                own = _attribute(entity) or own
                if role == "mount":
                    extra["facing"] = f"{_figure(float(entity.dxf.rotation))} deg"
            elif role not in SPOTS and role not in LINES:
                inside = [t for t in texts if _holds(points, t)]
                own = _ident(_said(inside[0])) if len(inside) == 1 else own
                if len(inside) > 1:
                    names = listed(_said(t) for t in inside)
                    hint = "leave one text in it, its id"
                    self._refuse(where, f"several texts lie in one {role}: {names}", "one", hint)
            pairs = [[f"{_figure(x)}{self.unit}", f"{_figure(y)}{self.unit}"] for x, y in points]
            named = "" if role in NAMELESS else own
            yield Shape(role, named, pairs, {**extra, **fields}, None, where)

    def _points(self, entity: Any, role: str, where: str) -> list[tuple[float, float]] | None:
        kind = entity.dxftype()
        if role in SPOTS:
            if kind not in ("POINT", "INSERT"):
                wanted = "a POINT or an inserted block"
                self._refuse(where, f"a {role} is drawn as {kind}", wanted, f"draw it as {wanted}")
                return None
            spot = entity.dxf.location if kind == "POINT" else entity.dxf.insert
            return [(spot.x, spot.y)]
        if kind not in _CURVES:
            wanted = listed(_CURVES)
            hint = "explode blocks and hatches, or move them to another layer"
            self._refuse(where, f"a {role} is drawn as {kind}", wanted, hint)
            return None
        from ezdxf.path import make_path

        path = make_path(entity)
        line = [(p.x, p.y) for p in path.flattening(self.sag)]
        if role in LINES:
            return line
        if not path.is_closed:
            hint = "close the polyline"
            self._refuse(where, f"the {role} is not closed", "a closed polyline", hint)
            return None
        return line[:-1] if line[0] == line[-1] else line


def _figure(number: float) -> str:
    """To a millionth of the drawing unit; what is finer is noise of the drawing program."""
    text = f"{number:.6f}".rstrip("0").rstrip(".")
    return "0" if text in ("-0", "") else text


def _ident(text: str) -> str:
    return re.sub(r"[^a-z0-9_.-]+", "-", text.strip().lower()).strip("-.")[:64]


def _said(text: Any) -> str:
    said = text.plain_text() if text.dxftype() == "MTEXT" else text.dxf.text
    return str(said).strip()


def _attribute(block: Any) -> str:
    return next((_ident(a.dxf.text) for a in block.attribs if a.dxf.tag.upper() == "ID"), "")


def _holds(points: list[tuple[float, float]], text: Any) -> bool:
    from shapely import Point, Polygon

    spot = text.dxf.insert
    return len(points) >= 3 and bool(Polygon(points).intersects(Point(spot.x, spot.y)))


__all__ = ["MOST_BYTES", "MOST_ENTITIES", "MOST_SAG_M", "read_dxf"]
