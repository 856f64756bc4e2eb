"""What is said of drawings that cannot be used, and of shapes that they have not."""

from __future__ import annotations

import textwrap
from pathlib import Path

import pytest

from optimizer.errors import InputError
from optimizer.site import load_site
from tests.messages.refusals import changed

SITE = """\
leastkit: site/1
name: Trial hall
money: {currency: EUR}
plan:
  file: plan.geojson
mounts:
- {id: middle, at: pole, run: 20 m}
zones:
- {id: floor, area: sales, detail: observe, frame_rate: 6 fps}
recording: {retention: 7 days}
"""

GEO = """\
{"type": "FeatureCollection", "features": [
{"type": "Feature", "properties": {"shape": "outline"}, "geometry": {"type": "Polygon",
 "coordinates": [[[0, 0], [12, 0], [12, 8], [0, 8], [0, 0]]]}},
{"type": "Feature", "properties": {"shape": "wall", "id": "south"}, "geometry":
 {"type": "LineString", "coordinates": [[0, 0], [12, 0]]}},
{"type": "Feature", "properties": {"shape": "mount", "id": "pole", "height": "3 m"}, "geometry":
 {"type": "Point", "coordinates": [6, 5]}},
{"type": "Feature", "properties": {"shape": "area", "id": "sales"}, "geometry": {"type": "Polygon",
 "coordinates": [[[1, 1], [8, 1], [8, 6], [1, 6], [1, 1]]]}}
]}
"""
MOUNT = GEO[GEO.index('{"type": "Feature", "properties": {"shape": "mount"') :].partition(",\n{")[0]
RING = "[[1, 1], [8, 1], [8, 6], [1, 6], [1, 1]]"

CASES = {
    "no JSON": (
        {},
        (GEO, "<svg></svg>"),
        """
        plan.geojson:1: the plan is not well-formed JSON: Expecting value
          accepted: a GeoJSON FeatureCollection (RFC 7946)
          hint:     export it again; a file cut off on its way ends like this
        """,
    ),
    "JSON cut off": (
        {},
        (GEO[GEO.index(' {"type": "LineString"') :], ""),
        """
        plan.geojson:5: the plan is not well-formed JSON: Expecting value
          accepted: a GeoJSON FeatureCollection (RFC 7946)
          hint:     export it again; a file cut off on its way ends like this
        """,
    ),
    "no collection": (
        {},
        (GEO, '{"type": "Topology"}'),
        """
        plan.geojson:1: this is not a collection of GeoJSON features
          field:    type
          value:    Topology
          accepted: RFC 7946: {"type": "FeatureCollection", "features": [...]}
          hint:     check that it is the plan you meant
        """,
    ),
    "bare geometry": (
        {},
        (
            '"type": "Feature", "properties": {"shape": "wall"',
            '"type": "LineString", "properties": {"shape": "wall"',
        ),
        """
        plan.geojson:4: this is not a GeoJSON feature
          field:    features[1]
          accepted: a Feature of RFC 7946
          hint:     each entry of features is {"type": "Feature", ...}
        """,
    ),
    "no shape": (
        {},
        ('"shape": "wall", ', ""),
        """
        plan.geojson:4: the feature "south" does not say what it is
          field:    features[1].properties.shape
          accepted: outline, wall, obstacle, route, riser, room, mount, area, keep_out
          hint:     add "shape" to its properties, such as "wall"
        """,
    ),
    "unknown shape": (
        {},
        ('"wall"', '"wal"'),
        """
        plan.geojson:4: the feature "south" has a shape that is not known
          field:    features[1].properties.shape
          value:    wal
          accepted: outline, wall, obstacle, route, riser, room, mount, area, keep_out
          hint:     did you mean "wall"?
        """,
    ),
    "no id": (
        {},
        (', "id": "south"', ""),
        """
        plan.geojson:4: this wall has no id
          field:    features[1].properties
          accepted: an id
          hint:     add "id" to its properties, such as "north-wall"
        """,
    ),
    "wall as a point": (
        {},
        ('"LineString"', '"Point"'),
        """
        plan.geojson:4: the wall "south" is drawn as Point
          field:    features[1].geometry
          accepted: LineString, MultiLineString, Polygon
          hint:     draw a wall as LineString
        """,
    ),
    "no geometry": (
        {},
        ('{"type": "LineString", "coordinates": [[0, 0], [12, 0]]}', "null"),
        """
        plan.geojson:4: the wall "south" is drawn as nothing
          field:    features[1].geometry
          accepted: LineString, MultiLineString, Polygon
          hint:     draw a wall as LineString
        """,
    ),
    "no positions": (
        {},
        ("[[0, 0], [12, 0]]}", "[0, 0]}"),
        """
        plan.geojson:5: the coordinates of wall "south" are no positions
          field:    features[1].geometry.coordinates
          accepted: coordinates of a LineString (RFC 7946)
          hint:     each position is [x, y] in the unit of the plan
        """,
    ),
    "position in words": (
        {},
        ("[12, 0]]}", '["12 q", 0]]}'),
        """
        plan.geojson:4: this is not a coordinate
          field:    wall "south": line[1][0]
          value:    12 q
          accepted: a number in the unit of the plan, such as 12.5, or a length such as 41 ft
          hint:     write it as 30 m, 98 ft
        """,
    ),
    "hole": (
        {},
        (RING, RING + ", [[2, 2], [3, 2], [3, 3], [2, 2]]"),
        """
        plan.geojson:9: the area "sales" has a hole
          field:    features[3].geometry.coordinates
          accepted: a polygon of one ring
          hint:     cut it into two without
        """,
    ),
    "open ring": (
        {},
        (RING, "[[1, 1], [8, 1], [8, 6], [1, 6]]"),
        """
        plan.geojson:9: the ring of area "sales" is not closed
          field:    features[3].geometry.coordinates
          accepted: a ring whose last position is its first
          hint:     repeat the first position at the end (RFC 7946, 3.1.6)
        """,
    ),
    "unknown property": (
        {},
        ('"id": "south"', '"id": "south", "hight": "2 m"'),
        """
        plan.geojson:4: "hight" is not a field here
          field:    wall "south": hight
          accepted: id, line, level, height
          hint:     did you mean "height"?
        """,
    ),
    "height without unit": (
        {},
        ('"id": "south"', '"id": "south", "height": "2"'),
        """
        plan.geojson:4: the unit is missing
          field:    wall "south": height
          value:    2
          accepted: a length in m, cm, mm, km, ft or in, such as 30 m, 98 ft
          hint:     did you mean "2 m"?
        """,
    ),
    "id with a blank": (
        {},
        ('"south"', '"South Wall"'),
        """
        plan.geojson:4: this is not a usable id
          field:    wall "South Wall": id
          value:    South Wall
          accepted: 1 to 64 small letters a to z, digits, '.', '-' and '_', starting with a \
letter or digit
          hint:     did you mean "south-wall"?
        """,
    ),
    "one id twice": (
        {},
        (MOUNT, f"{MOUNT},\n{MOUNT}"),
        """
        site.yaml:5: "pole" stands twice in the drawing, as mount
          field:    plan.file
          accepted: each one once
          hint:     rename or remove one of the two
        """,
    ),
    "wall in both": (
        {5: "  file: plan.geojson\n  walls: [{id: south, line: [[0, 0], [0, 8]]}]"},
        ("", ""),
        """
        site.yaml:5: "south" stands twice in plan.walls, first in line 6
          field:    plan.walls[1].id
          value:    south
          accepted: each one once
          hint:     rename or remove one of the two
        """,
    ),
    "outline in both": (
        {5: "  file: plan.geojson\n  outline: [[0, 0], [12, 0], [12, 8]]"},
        ("", ""),
        """
        site.yaml:6: both site file and drawing give the outline
          field:    plan.outline
          accepted: one of them
          hint:     remove plan.outline, or the outline from the drawing
        """,
    ),
    "unknown area": (
        {9: "- {id: floor, area: sale, detail: observe, frame_rate: 6 fps}"},
        ("", ""),
        """
        site.yaml:9: the drawing has no area "sale"
          field:    zones[0].area
          accepted: sales
          hint:     did you mean "sales"?
        """,
    ),
    "unknown mount": (
        {7: "- {id: middle, at: mast, run: 20 m}"},
        ("", ""),
        """
        site.yaml:7: the drawing has no mount "mast"
          field:    mounts[0].at
          accepted: pole
          hint:     name one of them, or write coordinates as at
        """,
    ),
    "no such file": (
        {5: "  file: plans.geojson"},
        ("", ""),
        """
        plans.geojson: the plan cannot be read: there is no such file
          accepted: a readable file
          hint:     check the path, and the folder you are in
        """,
    ),
    "file of another kind": (
        {5: "  file: plan.svg"},
        ("", ""),
        """
        site.yaml:5: this is no kind of drawing that is read here
          field:    plan.file
          value:    plan.svg
          accepted: .geojson, .json or .dxf
          hint:     export the plan as one of these
        """,
    ),
    "DXF without layers": (
        {5: "  file: plan.dxf"},
        ("", ""),
        """
        site.yaml:5: a DXF drawing needs plan.layers
          field:    plan.file
          value:    plan.dxf
          accepted: layers beside file
          hint:     say what is drawn on each layer
        """,
    ),
    "layers of GeoJSON": (
        {5: "  file: plan.geojson\n  layers: {A: {shape: wall}}"},
        ("", ""),
        """
        site.yaml:6: only a DXF drawing has layers
          field:    plan.layers
          accepted: none
          hint:     remove plan.layers
        """,
    ),
    "zone that crosses itself": (
        {},
        (RING, "[[1, 1], [8, 6], [8, 1], [1, 6], [1, 1]]"),
        """
        site.yaml:9: zone "floor" crosses or touches itself near (4.5, 3.5)
          field:    zones[0].area
          accepted: a simple outline: corners in order around the shape
          hint:     list the corners in order around the shape
        """,
    ),
    "wall without length": (
        {},
        ("[12, 0]]}", "[0, 0]]}"),
        """
        site.yaml:5: wall "south" has a piece without length at (0, 0) m
          field:    plan.walls[0].line
          accepted: points that differ from the one before
          hint:     remove one of the two equal points
        """,
    ),
}


def _said() -> str:
    with pytest.raises(InputError) as caught:
        load_site("site.yaml")
    for trouble in caught.value.troubles:
        assert trouble.file
        assert trouble.what
        assert trouble.accepted
        assert trouble.hint
    return str(caught.value)


@pytest.mark.parametrize("title", CASES)
def test_drawing(title: str) -> None:
    lines, (old, new), expected = CASES[title]
    assert old in GEO
    Path("plan.geojson").write_text(GEO.replace(old, new) if old else GEO, encoding="utf-8")
    Path("site.yaml").write_text(changed(SITE, lines), encoding="utf-8")
    assert _said() == textwrap.dedent(expected).strip()


def test_the_drawing_that_is_spoilt_is_sound() -> None:
    Path("plan.geojson").write_text(GEO, encoding="utf-8")
    Path("site.yaml").write_text(SITE, encoding="utf-8")
    assert [wall.id for wall in load_site("site.yaml").site.plan.walls] == ["south"]


def test_too_many_features() -> None:
    many = ",".join(["{}"] * 20_001)
    text = f'{{"type": "FeatureCollection", "features": [{many}]}}'
    Path("plan.geojson").write_text(text, encoding="utf-8")
    Path("site.yaml").write_text(SITE, encoding="utf-8")
    assert _said().startswith("plan.geojson:1: the plan has 20001 features")


def test_nested_too_deeply() -> None:
    Path("plan.geojson").write_text("[" * 100_000, encoding="utf-8")
    Path("site.yaml").write_text(SITE, encoding="utf-8")
    assert _said().startswith("plan.geojson: the plan is nested too deeply")
