"""Section 7 of the rules: zones on a plan, and the cameras on its mounts.

What needs geometry stands in :mod:`optimizer.audit.ground`, which is loaded for sites with a plan
only.
"""

from __future__ import annotations

from collections.abc import Iterator

from optimizer.audit.case import Case, on_mounts, own_reach
from optimizer.audit.figures import prints_as, recorded_picture
from optimizer.audit.finding import Fault, Rule
from optimizer.engineering.optics import view_angle


def mounts(case: Case) -> Iterator[Fault]:
    """7.1: a mount bears one camera at most, and its number is 1."""
    for camera in case.cameras:
        if camera.mount is not None and camera.stated.number != 1:
            text = f"is camera {camera.stated.number} of a mount that bears one"
            yield Fault(camera.place, "limit", text, camera.stated.number, 1)


def aims(case: Case) -> Iterator[Fault]:
    """7.2: focal length within the lens's range, pan within the open arc."""
    for camera in on_mounts(case):
        lens, stated = camera.item.focal, camera.stated.focal_mm
        if not float(lens.low) * (1 - 1e-9) <= stated <= float(lens.high) * (1 + 1e-9):
            text = f"its lens goes from {lens.low} to {lens.high} mm, not to {stated:g} mm"
            yield Fault(camera.place, "limit", text)
        mount, aim = camera.mount, camera.stated.aim
        assert mount is not None
        assert aim is not None
        if mount.facing is not None:
            off = abs((aim.pan_deg - float(mount.facing) + 180) % 360 - 180)
            if off > mount.swing_deg / 2 + 1e-6:
                text = f"is turned {off:.1f} deg off the middle of what the mount leaves open"
                yield Fault(camera.place, "limit", text)
        if not -90 <= aim.tilt_deg <= 90:
            text = f"is tilted by {aim.tilt_deg:g} deg, more than straight up or down"
            yield Fault(camera.place, "limit", text)
        angle = view_angle(float(camera.item.sensor_width), stated)
        if not prints_as(camera.stated.view_angle_deg, angle, 1):
            text = f"sees {angle:.1f} deg, the design says {camera.stated.view_angle_deg:g} deg"
            yield Fault(camera.place, "mismatch", text)
        picture = None if camera.group is None else recorded_picture(camera.item, camera.group)
        if picture is not None and camera.stated.picture != str(picture):
            text = f"is recorded as {picture}, the design says {camera.stated.picture}"
            yield Fault(camera.place, "mismatch", text)


def suited(case: Case) -> Iterator[Fault]:
    """7.8: a camera keeps what each zone that it serves asks of its light."""
    for camera in on_mounts(case):
        for zone in camera.served:
            if own_reach(camera.item, zone) <= 0:
                text = f"{camera.item.id} does not see at night in {zone.id}, which it serves"
                yield Fault(camera.place, "limit", text)


def zones_seen(case: Case) -> Iterator[Fault]:
    """7.3 to 7.6: enough of each plan zone is seen, by enough cameras, from apart."""
    if case.site.areas:
        from optimizer.audit import ground

        yield from ground.zones_seen(case)


def keep_outs(case: Case) -> Iterator[Fault]:
    """7.7: no camera shows a keep-out area at more than its density, unless a mask is allowed."""
    if case.site.areas:
        from optimizer.audit import ground

        yield from ground.keep_outs(case)


RULES = (
    Rule("7.1 mounts", mounts),
    Rule("7.2 aims", aims),
    Rule("7.6 zones on the plan", zones_seen),
    Rule("7.7 keep-outs", keep_outs),
    Rule("7.8 several zones", suited),
)
