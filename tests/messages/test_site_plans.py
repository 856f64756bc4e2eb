"""What is said of plans that no real place can have, each with the shape that is to blame."""

from __future__ import annotations

from pathlib import Path

import pytest

from optimizer.site import load_site
from tests.messages.refusals import assert_refused, changed

PLAN = """\
leastkit: site/1
name: Trial hall
money: {currency: EUR}
plan:
  outline: [[0, 0], [12, 0], [12, 8], [0, 8]]
  walls:
  - {id: south, line: [[0, 0], [12, 0]]}
  - {id: east, line: [[12, 0], [12, 8]]}
  obstacles:
  - {id: rack, area: [[3, 3], [6, 3], [6, 4], [3, 4]], height: 2 m}
  - {id: pier, area: [[9, 3], [10, 3], [10, 4], [9, 4]]}
  room: {at: [1, 7]}
  routes:
  - {id: tray, line: [[1, 7], [11, 7]]}
  keep_outs:
  - {id: desk, area: [[7, 6], [8, 6], [8, 7], [7, 7]], detail: detect}
mounts:
- {id: corner, at: [0, 0], height: 3 m, facing: 45 deg, swing: 90 deg}
- {id: middle, at: [6, 5], height: 3 m}
zones:
- {id: floor, area: [[1, 1], [8, 1], [8, 6], [1, 6]], detail: observe, frame_rate: 6 fps}
recording: {retention: 7 days}
"""


def zone(area: str) -> str:
    """Line 21 with another area, and what may follow it."""
    return f"- {{id: floor, area: {area}, detail: observe, frame_rate: 6 fps}}"


CASES = {
    "outline crosses": (
        {5: "  outline: [[0, 0], [12, 8], [12, 0], [0, 8]]"},
        """
        site.yaml:5: the outline of the plan crosses or touches itself near (6, 4)
          field:    plan.outline
          accepted: a simple outline: corners in order around the shape
          hint:     list the corners in order around the shape
        """,
    ),
    "outline without extent": (
        {5: "  outline: [[0, 0], [12, 0], [6, 0]]"},
        """
        site.yaml:5: the outline of the plan crosses or touches itself near (6, 0)
          field:    plan.outline
          accepted: a simple outline: corners in order around the shape
          hint:     list the corners in order around the shape
        """,
    ),
    "outline of two points": (
        {5: "  outline: [[0, 0], [12, 0]]"},
        """
        site.yaml:5: there are 2 entries
          field:    plan.outline
          value:    a list of 2 entries
          accepted: at least 3 entries
          hint:     add an entry
        """,
    ),
    "millimetres taken for metres": (
        {5: "  outline: [[0, 0], [12000, 0], [12000, 8000], [0, 8000]]"},
        """
        site.yaml:5: the outline of the plan is 12,000 m across, taken in m
          field:    plan.outline
          accepted: a plan 1 m to 5,000 m across
          hint:     are they in mm? then write 'unit: mm' in plan
        """,
    ),
    "metres taken for millimetres": (
        {5: "  unit: mm\n  outline: [[0, 0], [12, 0], [12, 8], [0, 8]]"},
        """
        site.yaml:6: the outline of the plan is 0.012 m across, taken in mm
          field:    plan.outline
          accepted: a plan 1 m to 5,000 m across
          hint:     are they in m? then write 'unit: m' in plan
        """,
    ),
    "plan of a country": (
        {5: "  outline: [[0, 0], [1200000, 0], [1200000, 80], [0, 8]]"},
        """
        site.yaml:5: the outline of the plan is 1,200,000 m across, taken in m
          field:    plan.outline
          accepted: a plan 1 m to 5,000 m across
          hint:     are they in mm? then write 'unit: mm' in plan
        """,
    ),
    "coordinate of the earth": (
        {5: "  outline: [[0, 0], [99999999999, 0], [12, 80], [0, 8]]"},
        """
        site.yaml:5: this coordinate is outside what is believable
          field:    plan.outline[1][0]
          value:    99999999999
          accepted: a number in the unit of the plan, such as 12.5, or a length such as 41 ft
          hint:     check the number; plans in coordinates of the earth must be shifted to the site
        """,
    ),
    "coordinate with a strange unit": (
        {5: "  outline: [[0, 0], [12 q, 0], [12, 8], [0, 8]]"},
        """
        site.yaml:5: this is not a coordinate
          field:    plan.outline[1][0]
          value:    12 q
          accepted: a number in the unit of the plan, such as 12.5, or a length such as 41 ft
          hint:     write it as 30 m, 98 ft
        """,
    ),
    "point of three": (
        {5: "  outline: [[0, 0, 0], [12, 0], [12, 8], [0, 8]]"},
        """
        site.yaml:5: this is not a point of the plan
          field:    plan.outline[0]
          value:    a list of 3 entries
          accepted: [x, y] in the unit of the plan, such as [2.5, 3]
          hint:     write two coordinates in brackets
        """,
    ),
    "numbers in place of points": (
        {5: "  outline: [0, 0, 12, 0]"},
        """
        site.yaml:5: this is not a point of the plan
          field:    plan.outline[0]
          value:    0
          accepted: [x, y] in the unit of the plan, such as [2.5, 3]
          hint:     write two coordinates in brackets
        site.yaml:5: this is not a point of the plan
          field:    plan.outline[1]
          value:    0
          accepted: [x, y] in the unit of the plan, such as [2.5, 3]
          hint:     write two coordinates in brackets
        site.yaml:5: this is not a point of the plan
          field:    plan.outline[2]
          value:    12
          accepted: [x, y] in the unit of the plan, such as [2.5, 3]
          hint:     write two coordinates in brackets
        site.yaml:5: this is not a point of the plan
          field:    plan.outline[3]
          value:    0
          accepted: [x, y] in the unit of the plan, such as [2.5, 3]
          hint:     write two coordinates in brackets
        """,
    ),
    "zone crosses": (
        {21: zone("[[1, 1], [8, 6], [8, 1], [1, 6]]")},
        """
        site.yaml:21: zone "floor" crosses or touches itself near (4.5, 3.5)
          field:    zones[0].area
          accepted: a simple outline: corners in order around the shape
          hint:     list the corners in order around the shape
        """,
    ),
    "zone out": (
        {21: zone("[[13, 1], [18, 1], [18, 6], [13, 6]]")},
        """
        site.yaml:21: zone "floor" lies outside the plan: (18, 1) m is 6 m out
          field:    zones[0].area
          accepted: a place within plan.outline
          hint:     check its coordinates, or draw the outline of the plan around it
        """,
    ),
    "zone part out": (
        {21: zone("[[1, 1], [14.5, 1], [8, 6], [1, 6]]")},
        """
        site.yaml:21: zone "floor" lies partly outside the plan: (14.5, 1) m is 2.5 m out
          field:    zones[0].area
          accepted: a place within plan.outline
          hint:     check its coordinates, or draw the outline of the plan around it
        """,
    ),
    "zone in mm": (
        {21: zone("[[1000, 1000], [8000, 1000], [8000, 6000], [1000, 6000]]")},
        """
        site.yaml:21: zone "floor" lies outside the plan: (8000, 6000) m is 9,985.6 m out
          field:    zones[0].area
          accepted: a place within plan.outline
          hint:     are its coordinates in another unit than the plan's? state it: 1500 mm
        """,
    ),
    "zone under an obstacle": (
        {21: zone("[[9.2, 3.2], [9.8, 3.2], [9.8, 3.8]]")},
        """
        site.yaml:21: no ground of zone "floor" is free of obstacles: pier
          field:    zones[0].area
          accepted: an area with free ground
          hint:     check the coordinates, or the heights of the obstacles
        """,
    ),
    "wall without length": (
        {7: "  - {id: south, line: [[0, 0], [0, 0]]}"},
        """
        site.yaml:7: wall "south" has a piece without length at (0, 0) m
          field:    plan.walls[0].line
          accepted: points that differ from the one before
          hint:     remove one of the two equal points
        """,
    ),
    "wall with a point twice": (
        {7: "  - {id: south, line: [[0, 0], [5, 0], [5, 0], [12, 0]]}"},
        """
        site.yaml:7: wall "south" has a piece without length at (5, 0) m
          field:    plan.walls[0].line
          accepted: points that differ from the one before
          hint:     remove one of the two equal points
        """,
    ),
    "wall out": (
        {7: "  - {id: south, line: [[0, 0], [12, -3]]}"},
        """
        site.yaml:7: wall "south" lies partly outside the plan: (12, -3) m is 3 m out
          field:    plan.walls[0].line
          accepted: a place within plan.outline
          hint:     check its coordinates, or draw the outline of the plan around it
        """,
    ),
    "route out": (
        {14: "  - {id: tray, line: [[1, 7], [11, 9]]}"},
        """
        site.yaml:14: cable route "tray" lies partly outside the plan: (11, 9) m is 1 m out
          field:    plan.routes[0].line
          accepted: a place within plan.outline
          hint:     check its coordinates, or draw the outline of the plan around it
        """,
    ),
    "mount out": (
        {19: "- {id: middle, at: [6, 9], height: 3 m}"},
        """
        site.yaml:19: mount "middle" at (6, 9) m is 1 m outside the plan
          field:    mounts[1].at
          accepted: a place within plan.outline
          hint:     check its coordinates and the unit of the plan
        """,
    ),
    "mount in pier": (
        {19: "- {id: middle, at: [9.5, 3.5], height: 3 m}"},
        """
        site.yaml:19: mount "middle" is inside obstacle "pier"
          field:    mounts[1].at
          accepted: a place in the open
          hint:     move it to the face of the obstacle, or above it
        """,
    ),
    "mount in rack": (
        {19: "- {id: middle, at: [4.5, 3.5], height: 1.5 m}"},
        """
        site.yaml:19: mount "middle" is inside obstacle "rack"
          field:    mounts[1].at
          accepted: a place in the open
          hint:     move it to the face of the obstacle, or above it
        """,
    ),
    "mount on wall": (
        {19: "- {id: middle, at: [6, 0], height: 3 m}"},
        """
        site.yaml:19: mount "middle" stands on wall "south" and faces every way, which is into it
          field:    mounts[1].at
          accepted: open directions on one side
          hint:     say which side is open: facing, and swing if it is less than 180 deg
        """,
    ),
    "mount through": (
        {19: "- {id: middle, at: [6, 0], height: 3 m, facing: 180 deg}"},
        """
        site.yaml:19: mount "middle" stands on wall "south" and faces along it
          field:    mounts[1].facing
          accepted: open directions on one side
          hint:     turn facing to the side that it looks to; what lies behind it is never seen
        """,
    ),
    "mount in corner": (
        {18: "- {id: corner, at: [12, 0], height: 3 m, facing: 90 deg}"},
        """
        site.yaml:18: mount "corner" stands on wall "south", wall "east" and faces along it
          field:    mounts[0].facing
          accepted: open directions on one side
          hint:     turn facing to the side that it looks to; what lies behind it is never seen
        """,
    ),
    "mount into pier": (
        {19: "- {id: middle, at: [9.5, 4], height: 3 m, facing: 270 deg}"},
        """
        site.yaml:19: mount "middle" faces into obstacle "pier" that it stands on
          field:    mounts[1].facing
          accepted: the open side
          hint:     turn facing round
        """,
    ),
    "swing without facing": (
        {19: "- {id: middle, at: [6, 5], height: 3 m, swing: 90 deg}"},
        """
        site.yaml:19: the open directions need their middle
          field:    mounts[1].facing
          accepted: an angle in deg, such as 45 deg
          hint:     add a line 'facing: ...': 0 deg is to the right on the plan, 90 deg up
        """,
    ),
    "mount without height": (
        {19: "- {id: middle, at: [6, 5]}"},
        """
        site.yaml:19: "height" is missing
          field:    mounts[1].height
          accepted: a length in m, cm, mm, km, ft or in, such as 30 m, 98 ft
          hint:     add a line 'height: 30 m'
        """,
    ),
    "room out": (
        {12: "  room: {at: [1, 70]}"},
        """
        site.yaml:12: the equipment room at (1, 70) m is 62 m outside the plan
          field:    plan.room.at
          accepted: a place within plan.outline
          hint:     check its coordinates and the unit of the plan
        """,
    ),
    "no room": (
        {12: "  allowance: 10 %"},
        """
        site.yaml:4: without a room, runs cannot be taken from the plan
          field:    plan
          accepted: a way from each mount to the room
          hint:     add 'room: {at: [x, y]}' to plan, or state each run
        """,
    ),
    "no routes": (
        {13: "  north: 90 deg", 14: "  allowance: 10 %"},
        """
        site.yaml:12: without cable routes, runs cannot be taken from the plan
          field:    plan.room
          accepted: a way from each mount to the room
          hint:     add 'routes:' to plan, or state each run
        """,
    ),
    "route lost": (
        {14: "  - {id: tray, line: [[1, 7], [11, 7]]}\n  - {id: spur, line: [[1, 2], [2, 2]]}"},
        """
        site.yaml:15: cable route "spur" does not lead to the room
          field:    plan.routes[1]
          accepted: a way from each mount to the room
          hint:     let its end lie on another route, add a riser, or remove it
        """,
    ),
    "walls with one id": (
        {8: "  - {id: south, line: [[12, 0], [12, 8]]}"},
        """
        site.yaml:8: "south" stands twice in plan.walls, first in line 7
          field:    plan.walls[1].id
          value:    south
          accepted: each one once
          hint:     rename or remove one of the two
        """,
    ),
    "mount twins": (
        {19: "- {id: corner, at: [6, 5], height: 3 m}"},
        """
        site.yaml:19: "corner" stands twice in mounts, first in line 18
          field:    mounts[1].id
          value:    corner
          accepted: each one once
          hint:     rename or remove one of the two
        """,
    ),
    "mount named as zone": (
        {19: "- {id: floor, at: [6, 5], height: 3 m}"},
        """
        site.yaml:19: "floor" is also the id of zones[0]
          field:    mounts[1].id
          value:    floor
          accepted: ids of mounts that no zone and no audio point has: answers name places by them
          hint:     rename one of the two
        """,
    ),
    "name without drawing": (
        {21: zone("sales")},
        """
        site.yaml:21: this names a shape, and there is no drawing that could hold it
          field:    zones[0].area
          value:    sales
          accepted: coordinates, such as [[0, 0], [4, 0], [4, 3]] or [2.5, 3]
          hint:     write coordinates, or name the drawing in plan.file
        """,
    ),
    "view and area at once": (
        {21: zone("[[1, 1], [8, 1], [8, 6], [1, 6]], distance: 4 m")},
        """
        site.yaml:21: "distance" is not a field here
          field:    zones[0].distance
          accepted: id, name, area, level, detail, share, cameras, apart, heights, faces, \
most_tilt, frame_rate, night, night_colour, discreet, recorded, retention, bit_rate
          hint:     it does not go with the other fields of this entry
        """,
    ),
    "apart with one camera": (
        {21: zone("[[1, 1], [8, 1], [8, 6], [1, 6]], apart: 30 deg")},
        """
        site.yaml:21: directions can lie apart only where several cameras see each spot
          field:    zones[0].apart
          value:    30 deg
          accepted: cameras of at least 2 beside apart
          hint:     add a line 'cameras: 2', or leave apart out
        """,
    ),
    "share of nothing": (
        {21: zone("[[1, 1], [8, 1], [8, 6], [1, 6]], share: 0 %")},
        """
        site.yaml:21: this share is outside the range that is believable here
          field:    zones[0].share
          value:    0 %
          accepted: 1 % to 100 %
          hint:     check the number and its unit
        """,
    ),
    "unknown level": (
        {19: "- {id: middle, at: [6, 5], height: 3 m, level: upper}"},
        """
        site.yaml:19: the plan has no level "upper"
          field:    mounts[1].level
          value:    upper
          accepted: no level: plan.levels is not given
          hint:     add a line 'upper: 0 m' to plan.levels
        """,
    ),
    "no mounts": (
        {17: "mounts: []", 18: "", 19: ""},
        """
        site.yaml:17: the site has zones on its plan and no mount that could see them
          field:    mounts
          accepted: at least one mount
          hint:     add a list 'mounts:' with each place where a camera can be fixed
        """,
    ),
    "sign for degrees": (
        {19: "- {id: middle, at: [6, 5], height: 3 m, facing: 45°}"},
        """
        site.yaml:19: "°" is not a unit of angle
          field:    mounts[1].facing
          value:    45°
          accepted: an angle in deg, such as 45 deg
          hint:     did you mean "45 deg"?
        """,
    ),
    "sound at an area": (
        {22: "recording: {retention: 7 days}\naudio: {points: [{id: mic, zone: floor, run: 3 m}]}"},
        """
        site.yaml:23: zone "floor" is an area on the plan: it has no camera point of its own
          field:    audio.points[0].zone
          value:    floor
          accepted: no zone: all are areas on the plan
          hint:     leave zone out; the microphone then has a run of its own
        """,
    ),
    "keep-out level": (
        {16: "  - {id: desk, area: [[7, 6], [8, 6], [8, 7], [7, 7]], detail: outline}"},
        """
        site.yaml:16: "outline" is not a level of IEC 62676-4:2014
          field:    plan.keep_outs[0].detail
          value:    outline
          accepted: monitor, detect, observe, recognise, identify, inspect, or a density such as \
250 px/m
          hint:     use one of these, or add a line 'standard: IEC 62676-4:2025' at the top level
        """,
    ),
    "no detail": (
        {16: "  - {id: desk, area: [[7, 6], [8, 6], [8, 7], [7, 7]]}"},
        """
        site.yaml:16: "detail" is missing
          field:    plan.keep_outs[0].detail
          accepted: characterise, detect, discern, identify, inspect, monitor, observe, outline, \
overview, perceive, recognise, scrutinise, validate, or a density such as 250 px/m
          hint:     add a line 'detail: recognise'
        """,
    ),
}


@pytest.mark.parametrize("title", CASES)
def test_plan(title: str) -> None:
    lines, expected = CASES[title]
    assert_refused(load_site, "site.yaml", changed(PLAN, lines), expected)


def test_the_plan_that_is_spoilt_is_sound() -> None:
    Path("site.yaml").write_text(PLAN, encoding="utf-8")
    assert [zone.id for zone in load_site("site.yaml").site.areas] == ["floor"]


def test_an_area_without_a_plan() -> None:
    rows = PLAN.splitlines()
    assert_refused(
        load_site,
        "site.yaml",
        "\n".join([*rows[:3], *rows[19:]]) + "\n",
        """
        site.yaml:5: an area needs the plan that it lies on
          field:    zones[0].area
          accepted: plan and mounts at the top level
          hint:     add a block 'plan:', or give distance, width and run in place of area
        """,
    )
