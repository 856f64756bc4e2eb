"""Invented sites of any size, always the same for a kind and a size."""

from __future__ import annotations

import random
from typing import Any, Final

from optimizer.site.schema import Site

KINDS: Final = {
    "coax": ["composite", "hd_coax"],
    "network": ["network"],
    "all": ["composite", "hd_coax", "network"],
}
_DETAIL: Final = (("detect", 3), ("observe", 3), ("recognise", 3), ("identify", 1))
_REACH: Final = {"detect": (8, 25), "observe": (6, 25), "recognise": (3, 14), "identify": (2, 5)}


def site(kind: str, cameras: int) -> Site:
    """A site of so many zones; see :func:`written`."""
    return Site.model_validate(written(kind, cameras))


def written(kind: str, cameras: int, number: int = 0) -> dict[str, Any]:
    """A site of so many zones, one view each, as in a site file.

    Parameters
    ----------
    kind : str
        A key of :data:`KINDS`.
    cameras : int
        Number of zones. A zone may need several cameras side by side.
    number : int
        Which of the sites of this kind and size.
    """
    rng = random.Random(f"{kind}/{cameras}" + (f"/{number}" if number else ""))
    return {
        "leastkit": "site/1",
        "name": f"{kind}, {cameras} zones",
        "money": {"currency": "EUR", "tax": "21 %"},
        "zones": [_zone(rng, number) for number in range(cameras)],
        "recording": {"retention": "31 days"},
        "spare": {"channels": 2},
        "policy": {"families": KINDS[kind]},
    }


def _zone(rng: random.Random, number: int) -> dict[str, Any]:
    """A zone as on a mixed site of yards and halls."""
    detail = rng.choices([n for n, _ in _DETAIL], [w for _, w in _DETAIL])[0]
    distance = rng.randint(*_REACH[detail])
    outdoors = rng.random() < 0.5
    zone: dict[str, Any] = {
        "id": f"z{number}",
        "distance": f"{distance} m",
        # A view between 40 and 90 degrees wide.
        "width": f"{distance * rng.uniform(0.7, 1.3):.1f} m",
        "detail": detail,
        "frame_rate": f"{rng.choice(('6', '12.5', '12.5', '15', '25'))} fps",
        "place": "outdoors" if outdoors else "indoors",
        "night": rng.choice(("dark", "2 lx", "lit")),
        "run": f"{rng.randint(8, 85)} m",
        "route": "outdoor" if outdoors else "indoor",
        "mains": rng.random() < 0.3,
        "recorded": rng.choice(("24 h", "12 h", "40 %")),
    }
    if rng.random() < 0.2:
        zone["retention"] = "7 days"
    return zone
