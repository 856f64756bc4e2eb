"""A slow second judge of what a camera sees, spot by spot, from "Zones on a plan" in RULES.md.

It shares no code with `optimizer.plan`: points are projected by OpenCV, and the line of sight is
followed edge by edge with elementary sums.
"""

import math

import cv2
import numpy as np


def in_picture(lens, focal, pan, tilt, offset):
    """The distance along the axis if a point is in the picture, else None (RULES, Camera)."""
    turn, fall = math.radians(pan), math.radians(tilt)
    ahead = [math.cos(fall) * math.cos(turn), math.cos(fall) * math.sin(turn), -math.sin(fall)]
    right = [math.sin(turn), -math.cos(turn), 0.0]
    rotation = np.array([right, np.cross(ahead, right), ahead])
    depth = float(np.dot(ahead, offset))
    if depth <= 1e-9:
        return None
    matrix = np.diag([focal / lens.sensor_width_mm, focal / lens.sensor_height_mm, 1.0])
    spot, _ = cv2.projectPoints(
        np.array([offset], dtype=float), cv2.Rodrigues(rotation)[0], np.zeros(3), matrix, None
    )
    across, below = spot[0, 0]
    return depth if abs(across) <= 0.5 and abs(below) <= 0.5 else None


def free(scene, mount, spot, height):
    """Whether the line of sight to a point is free (RULES, Line of sight)."""
    for wall in scene.walls:
        if wall.level == mount.level and _blocks(mount, spot, height, wall.ends, wall.height_m):
            return False
    for body in scene.obstacles:
        if body.level != mount.level:
            continue
        sides = zip(body.outline, (*body.outline[1:], body.outline[0]), strict=True)
        if any(_blocks(mount, spot, height, side, body.height_m) for side in sides):
            return False
        if body.height_m > height and _inside(body.outline, spot):
            return False
    return True


def _blocks(mount, spot, height, ends, top):
    (x, y), (u, v) = mount.at, spot
    (ax, ay), (bx, by) = ends
    bottom = (u - x) * (by - ay) - (v - y) * (bx - ax)
    if bottom == 0:
        return False
    along = ((ax - x) * (by - ay) - (ay - y) * (bx - ax)) / bottom
    across = ((ax - x) * (v - y) - (ay - y) * (u - x)) / bottom
    if not (1e-12 < along < 1 - 1e-12 and 0 <= across <= 1):
        return False
    return mount.height_m + along * (height - mount.height_m) < top


def _inside(outline, spot):
    """Whether a ray to the right crosses the outline an odd number of times."""
    x, y = spot
    odd = False
    for (ax, ay), (bx, by) in zip(outline, (*outline[1:], outline[0]), strict=True):
        if (ay > y) != (by > y) and x < ax + (y - ay) * (bx - ax) / (by - ay):
            odd = not odd
    return odd


def in_arc(mount, spot):
    bearing = math.degrees(math.atan2(spot[1] - mount.at[1], spot[0] - mount.at[0]))
    return abs((bearing - mount.facing_deg + 180) % 360 - 180) <= mount.swing_deg / 2


def seen(scene, mount, lens, aim, area, spot):
    """Whether a camera sees a spot of an area (RULES, A spot), at five heights."""
    if mount.level != area.level or not in_arc(mount, spot):
        return False
    x, y = spot[0] - mount.at[0], spot[1] - mount.at[1]
    reach = dict(lens.reaches).get(area.id, math.inf)
    for height in np.linspace(area.low_m, area.high_m, 5):
        offset = (x, y, height - mount.height_m)
        depth = in_picture(lens, *aim, offset)
        if depth is None or not free(scene, mount, spot, height):
            return False
        if lens.width_px * aim[0] / (lens.sensor_width_mm * depth) < area.px_m:
            return False
        if math.sqrt(sum(v * v for v in offset)) > reach:
            return False
    if area.most_tilt_deg is None:
        return True
    fall = math.degrees(math.atan2(mount.height_m - area.high_m, math.hypot(x, y)))
    return fall <= area.most_tilt_deg
