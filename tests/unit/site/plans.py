"""A small plan for tests of what is read off plans; invented."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from optimizer.site import LoadedSite, load_site

PLAN = """\
leastkit: site/1
name: Trial hall
money: {currency: EUR}
plan:
  outline: [[0, 0], [12, 0], [12, 8], [0, 8]]
  walls:
  - {id: south, line: [[0, 0], [12, 0]]}
  - {id: low, line: [[2, 2], [4, 2], [4, 3]], height: 1.2 m}
  obstacles:
  - {id: rack, area: [[3, 4], [6, 4], [6, 5], [3, 5]], height: 2 m}
  room: {at: [1, 7]}
  routes:
  - {id: tray, line: [[1, 7], [11, 7]]}
  keep_outs:
  - {id: desk, area: [[7, 6], [8, 6], [8, 6.8], [7, 6.8]], detail: detect}
mounts:
- {id: corner, at: [0, 0], height: 3 m, facing: 45 deg, swing: 90 deg}
- {id: middle, at: [6, 5.5], height: 3 m, run: 20 m, place: outdoors, ingress: IP65}
zones:
- {id: floor, area: [[1, 1], [8, 1], [8, 6], [1, 6]], detail: observe, frame_rate: 6 fps,
   share: 90 %, cameras: 2, apart: 30 deg, faces: true}
- {id: gate, distance: 5 m, width: 3 m, detail: observe, frame_rate: 6 fps, run: 12 m}
recording: {retention: 7 days}
"""


def loaded(folder: Path, text: str = PLAN, **files: str) -> LoadedSite:
    """A site read from a file, with other files beside it."""
    for name, content in files.items():
        (folder / name.replace("_", ".")).write_text(content, encoding="utf-8")
    path = folder / "site.yaml"
    path.write_text(text, encoding="utf-8")
    return load_site(path)


def edited(*changes: tuple[str, str]) -> str:
    """The plan with pieces of its text replaced, each of which must stand there once."""
    text = PLAN
    for old, new in changes:
        assert text.count(old) == 1, old
        text = text.replace(old, new)
    return text


def dumped(site: LoadedSite) -> dict[str, Any]:
    """A site as plain data."""
    return site.site.model_dump(mode="json")
