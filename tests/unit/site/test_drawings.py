"""A plan drawn in GeoJSON or DXF gives the same site as one written in the site file."""

from __future__ import annotations

import json
import math
from collections.abc import Callable
from decimal import Decimal
from pathlib import Path
from typing import Any

import ezdxf
import pytest
import shapely

from optimizer.errors import InputError
from optimizer.site import load_site
from optimizer.site.dxf import MOST_SAG_M
from optimizer.site.scenes import scene_of
from tests.unit.site.plans import PLAN, loaded

DRAWN = """\
leastkit: site/1
name: Trial hall
money: {currency: EUR}
plan:
  file: plan.geojson
mounts:
- {id: corner, at: post, facing: 45 deg}
zones:
- {id: floor, area: sales, detail: observe, frame_rate: 6 fps,
   share: 90 %, cameras: 2, apart: 30 deg, faces: true}
- {id: gate, distance: 5 m, width: 3 m, detail: observe, frame_rate: 6 fps, run: 12 m}
recording: {retention: 7 days}
"""


def ring(*points: tuple[float, float]) -> dict[str, Any]:
    return {"type": "Polygon", "coordinates": [[list(p) for p in (*points, points[0])]]}


def line(*points: tuple[float, float]) -> dict[str, Any]:
    return {"type": "LineString", "coordinates": [list(p) for p in points]}


def spot(x: float, y: float) -> dict[str, Any]:
    return {"type": "Point", "coordinates": [x, y, 0]}


def collection(*features: tuple[dict[str, Any], dict[str, str]]) -> str:
    """A GeoJSON text; the id of every other feature stands beside its properties."""
    made = []
    for number, (geometry, given) in enumerate(features):
        properties = dict(given)
        outer = {"id": properties.pop("id")} if number % 2 and "id" in properties else {}
        made.append({"type": "Feature", **outer, "properties": properties, "geometry": geometry})
    return json.dumps({"type": "FeatureCollection", "features": made})


FEATURES = (
    (ring((0, 0), (12, 0), (12, 8), (0, 8)), {"shape": "outline"}),
    (line((0, 0), (12, 0)), {"shape": "wall", "id": "south"}),
    (line((2, 2), (4, 2), (4, 3)), {"shape": "wall", "id": "low", "height": "1.2 m"}),
    (ring((3, 4), (6, 4), (6, 5), (3, 5)), {"shape": "obstacle", "id": "rack", "height": "2 m"}),
    (spot(1, 7), {"shape": "room"}),
    (line((1, 7), (11, 7)), {"shape": "route", "id": "tray"}),
    (
        ring((7, 6), (8, 6), (8, 6.8), (7, 6.8)),
        {"shape": "keep_out", "id": "desk", "detail": "detect"},
    ),
    (spot(0, 0), {"shape": "mount", "id": "post", "height": "3 m", "swing": "90 deg",
                  "facing": "10 deg"}),
    (
        spot(6, 5.5),
        {"shape": "mount", "id": "middle", "height": "3 m", "run": "20 m", "place": "outdoors",
         "ingress": "IP65"},
    ),
    (ring((1, 1), (8, 1), (8, 6), (1, 6)), {"shape": "area", "id": "sales"}),
)  # fmt: skip


def drawn(folder: Path, *features: tuple[dict[str, Any], dict[str, str]], text: str = DRAWN) -> Any:
    return loaded(folder, text, plan_geojson=collection(*features))


def test_geojson_gives_the_site_that_the_site_file_gives(tmp_path: Path) -> None:
    site = drawn(tmp_path, *FEATURES)
    assert site.site == loaded(tmp_path, PLAN).site


def test_the_checksum_is_of_both_files(tmp_path: Path) -> None:
    before = drawn(tmp_path, *FEATURES).source.sha256
    assert drawn(tmp_path, *FEATURES).source.sha256 == before
    moved = (line((0, 0), (11.9, 0)), {"shape": "wall", "id": "south"})
    assert drawn(tmp_path, FEATURES[0], moved, *FEATURES[2:]).source.sha256 != before
    assert drawn(tmp_path, *FEATURES, text=DRAWN + "#\n").source.sha256 != before


def test_pieces_and_rings_of_walls(tmp_path: Path) -> None:
    pieces = {"type": "MultiLineString", "coordinates": [[[1, 1], [2, 1]], [[3, 1], [4, 1]]]}
    more = (
        (pieces, {"shape": "wall", "id": "screens"}),
        (ring((9, 2), (10, 2), (10, 3)), {"shape": "wall", "id": "booth"}),
    )
    scene = scene_of(drawn(tmp_path, *FEATURES, *more).site)
    walls = [(w.id, w.ends) for w in scene.walls[3:]]
    assert walls == [
        ("screens.1", ((1, 1), (2, 1))),
        ("screens.2", ((3, 1), (4, 1))),
        ("booth", ((9, 2), (10, 2))),
        ("booth", ((10, 2), (10, 3))),
        ("booth", ((10, 3), (9, 2))),
    ]


def test_a_mount_that_is_named_does_not_stand_for_itself_too(tmp_path: Path) -> None:
    site = drawn(tmp_path, *FEATURES).site
    assert [mount.id for mount in site.mounts] == ["corner", "middle"]
    # The site file's own fields go before those of the shape: facing 45 deg, not 10 deg.
    assert (site.mounts[0].facing, site.mounts[0].swing) == (45, 90)


LAYERS = """\
leastkit: site/1
name: Trial hall
money: {currency: EUR}
plan:
  file: plan.dxf
  layers:
    EDGE: {shape: outline}
    WALLS: {shape: wall, set: {height: 2.5 m}}
    RACKS: {shape: obstacle, set: {height: 2 m}}
    CAMS: {shape: mount, set: {height: 3 m, run: 20 m, swing: 90 deg}}
    FLOOR: {shape: area}
zones:
- {id: floor, area: sales-floor, detail: observe, frame_rate: 6 fps}
recording: {retention: 7 days}
"""

Spoil = Callable[[Any, Any], None]


def dxf(folder: Path, spoil: Spoil = lambda _document, _model: None, unit: int = 4) -> Path:
    """A drawing in millimetres (or as said), with a site file beside it."""
    document = ezdxf.new("R2010")
    document.header["$INSUNITS"] = unit
    model = document.modelspace()
    edge = [(0, 0), (12000, 0), (12000, 8000), (0, 8000)]
    model.add_lwpolyline(edge, close=True, dxfattribs={"layer": "EDGE"})
    model.add_line((0, 0), (12000, 0), dxfattribs={"layer": "WALLS"})
    model.add_circle((5000, 5000), 300, dxfattribs={"layer": "RACKS"})
    block = document.blocks.new("CAM")
    block.add_circle((0, 0), 100)
    placed = model.add_blockref("CAM", (0, 0), dxfattribs={"layer": "CAMS", "rotation": 45})
    placed.add_attrib("ID", "Corner 1")
    model.add_blockref("CAM", (6000, 6500), dxfattribs={"layer": "CAMS", "rotation": 270})
    floor = [(1000, 1000), (8000, 1000), (8000, 6000), (1000, 6000)]
    model.add_lwpolyline(floor, close=True, dxfattribs={"layer": "FLOOR"})
    model.add_text("Sales floor", dxfattribs={"layer": "FLOOR", "insert": (2000, 2000)})
    model.add_mtext("left aside", dxfattribs={"layer": "NOTES"})
    spoil(document, model)
    document.saveas(folder / "plan.dxf")
    (folder / "site.yaml").write_text(LAYERS, encoding="utf-8")
    return folder / "site.yaml"


def test_dxf(tmp_path: Path) -> None:
    site = load_site(dxf(tmp_path)).site
    scene = scene_of(site)
    assert scene.outline == ((0, 0), (12, 0), (12, 8), (0, 8))
    assert [(w.id, w.ends, w.height_m) for w in scene.walls] == [
        ("walls-1", ((0, 0), (12, 0)), 2.5)
    ]
    assert [(m.id, m.at, m.facing_deg) for m in scene.mounts] == [
        ("corner-1", (0, 0), 45),
        ("cams-2", (6, 6.5), 270),
    ]
    assert [m.run for m in site.mounts] == [20, 20]
    assert scene.areas[0].outline == ((1, 1), (8, 1), (8, 6), (1, 6))


def test_chords_of_a_circle_stay_within_the_sag(tmp_path: Path) -> None:
    (body,) = scene_of(load_site(dxf(tmp_path)).site).obstacles
    polygon = shapely.Polygon(body.outline)
    turns = [math.tau * step / 500 for step in range(500)]
    around = [shapely.Point(5 + 0.3 * math.cos(t), 5 + 0.3 * math.sin(t)) for t in turns]
    assert max(polygon.exterior.distance(point) for point in around) <= MOST_SAG_M
    assert len(body.outline) < 100


def test_a_drawing_without_a_unit_counts_in_that_of_the_plan(tmp_path: Path) -> None:
    path = dxf(tmp_path, unit=0)
    path.write_text(LAYERS.replace("plan:\n", "plan:\n  unit: mm\n"), encoding="utf-8")
    assert scene_of(load_site(path).site).outline == ((0, 0), (12, 0), (12, 8), (0, 8))


def test_the_unit_of_a_drawing_goes_before_that_of_the_plan(tmp_path: Path) -> None:
    # 12,000 in = 304.8 m (1 in = 0.0254 m, NIST SP 811); the plan's unit is for the site file.
    path = dxf(tmp_path, unit=1)
    path.write_text(LAYERS.replace("plan:\n", "plan:\n  unit: ft\n"), encoding="utf-8")
    assert scene_of(load_site(path).site).outline[1] == (304.8, 0)


def _hatch(_document: Any, model: Any) -> None:
    model.add_hatch(dxfattribs={"layer": "WALLS"})


def _open(_document: Any, model: Any) -> None:
    model.add_line((0, 0), (1, 1), dxfattribs={"layer": "FLOOR"})


def _line_as_mount(_document: Any, model: Any) -> None:
    model.add_line((0, 0), (1, 1), dxfattribs={"layer": "CAMS"})


def _second_text(_document: Any, model: Any) -> None:
    model.add_text("Two", dxfattribs={"layer": "FLOOR", "insert": (3000, 2000)})


def _second_edge(_document: Any, model: Any) -> None:
    edge = [(0, 0), (12000, 0), (12000, 8000)]
    model.add_lwpolyline(edge, close=True, dxfattribs={"layer": "EDGE"})


def _no_length(_document: Any, model: Any) -> None:
    model.add_line((1, 1), (1, 1), dxfattribs={"layer": "WALLS"})


def _miles(document: Any, _model: Any) -> None:
    document.header["$INSUNITS"] = 3


@pytest.mark.parametrize(
    ("spoil", "what", "where"),
    [
        (_hatch, "a wall is drawn as HATCH", "layer WALLS"),
        (_open, "the area is not closed", "layer FLOOR"),
        (_line_as_mount, "a mount is drawn as LINE", "layer CAMS"),
        (_second_text, "several texts lie in one area: Sales floor, Two", "layer FLOOR"),
        (_second_edge, "the drawing holds more than one outline", "plan.file"),
        (
            _no_length,
            'wall "walls-2" has a piece without length at (0.001, 0.001) m',
            "plan.walls[1].line",
        ),
        (_miles, "the drawing counts in unit 3 of $INSUNITS", ""),
    ],
)
def test_drawings_that_are_refused(tmp_path: Path, spoil: Spoil, what: str, where: str) -> None:
    with pytest.raises(InputError) as refused:
        load_site(dxf(tmp_path, spoil))
    (trouble,) = refused.value.troubles
    assert trouble.what == what
    assert where in trouble.field
    assert trouble.hint


@pytest.mark.parametrize(
    ("old", "new", "what"),
    [
        ("RACKS:", "RACK:", 'the drawing has nothing on a layer "RACK"'),
        ("{shape: outline}", "{shape: edge}", "this is not one of the choices"),
        ("{height: 2 m}", "{hight: 2 m}", '"hight" is not a field here'),
        ("{height: 2 m}", "{height: 2}", "the unit is missing"),
    ],
)
def test_layers_that_are_refused(tmp_path: Path, old: str, new: str, what: str) -> None:
    path = dxf(tmp_path)
    path.write_text(LAYERS.replace(old, new), encoding="utf-8")
    with pytest.raises(InputError) as refused:
        load_site(path)
    assert [trouble.what for trouble in refused.value.troubles] == [what]


@pytest.mark.parametrize(
    ("raw", "what"),
    [
        (b"\x00\x01binary", "this cannot be read as a DXF drawing"),
        (b"hello\nworld\n", "this cannot be read as a DXF drawing"),
        (b"", "this cannot be read as a DXF drawing"),
        (b"0\nSECTION\n" * 2_200_000, "the drawing is larger than 20 MB"),
    ],
)
def test_files_that_are_no_drawings(tmp_path: Path, raw: bytes, what: str) -> None:
    path = dxf(tmp_path)
    (tmp_path / "plan.dxf").write_bytes(raw)
    with pytest.raises(InputError) as refused:
        load_site(path)
    (trouble,) = refused.value.troubles
    assert trouble.what.startswith(what)
    assert trouble.file == str(tmp_path / "plan.dxf")


def test_a_drawing_cut_off(tmp_path: Path) -> None:
    path = dxf(tmp_path)
    text = (tmp_path / "plan.dxf").read_text(encoding="utf-8")
    for share in (0.2, 0.5, 0.9, 0.99):
        (tmp_path / "plan.dxf").write_text(text[: int(len(text) * share)], encoding="utf-8")
        with pytest.raises(InputError):
            load_site(path)


def test_too_many_entities(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("optimizer.site.dxf.MOST_ENTITIES", 1)
    with pytest.raises(InputError) as refused:
        load_site(dxf(tmp_path))
    assert [trouble.what for trouble in refused.value.troubles] == [
        'there are 2 entities on layer "CAMS"',
        'there are 2 entities on layer "FLOOR"',
    ]


def test_exact_figures(tmp_path: Path) -> None:
    """Figures of a drawing are taken to a millionth of its unit; what is finer is noise."""

    def more(_document: Any, model: Any) -> None:
        model.add_line((0.1 + 0.2, 0), (5, 1e-9), dxfattribs={"layer": "WALLS"})

    plan = load_site(dxf(tmp_path, more)).site.plan
    assert plan is not None
    assert plan.walls[1].line == (("0.3 mm", "0 mm"), ("5 mm", "0 mm"))
    assert Decimal(str(plan.spot(plan.walls[1].line[0])[0])) == Decimal("0.0003")
