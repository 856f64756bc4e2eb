"""Optima derived by hand: no camera without need (RULES 1.1).

As in ``test_by_hand``: each sum stands beside the figure, and every case runs three times. The
site asks that two male pigtails are used, and the plain camera uses one: a kit needs a second
camera in the one zone, if only one may stand there.
"""

from __future__ import annotations

from typing import Any

import pytest

from tests.optimality.conftest import Solver
from tests.optimality.plain_kit import RECORDER, TWO, Row, book, site, zone

PIGTAILS = {"item": "male", "quantity": 2}
ZOOM = {"focal": "4 to 8 mm"}
"""At 10 m and 12 m wide it is set to 4 mm alone, to 8 mm where each of two shows 6 m. Recorded
1920 px wide one gives 160 px/m, where 100 are asked; recorded 960 px wide one gives 80, two 160."""


def small(**what: Any) -> Row:
    """A recorder that keeps 960 px, so dear that no kit takes it."""
    groups = [{"families": ["hd_coax"], "count": 4, "picture": "960x1080"}]
    return {**RECORDER, "inputs": groups, "price": "999.00", **what}


WIDE = zone(width="12 m", most_cameras=2)


@pytest.mark.parametrize(
    ("require", "owned", "expected"),
    [
        # One camera keeps the detail, so there is no second one to use the second pigtail.
        ([PIGTAILS], [], None),
        # Of a camera that the site wants used a second one may stand, though not a third.
        ([PIGTAILS, {"item": "cam", "quantity": 1}], [], TWO),
        ([{"item": "cam", "quantity": 2}], [], TWO),
        ([{"item": "cam", "quantity": 3}], [], None),
        ([], [{"item": "cam", "quantity": 2, "pinned": True}], TWO - 200_00),
        ([PIGTAILS], [{"item": "cam", "quantity": 2, "pinned": True}], TWO - 200_00),
        # That it is merely there is no wish.
        ([PIGTAILS], [{"item": "cam", "quantity": 2}], None),
    ],
)
def test_wanted_items(
    net: Solver, require: list[Row], owned: list[Row], expected: int | None
) -> None:
    asked = site(WIDE, policy={"require": require}, owned=owned)
    assert net(asked, book(cam=ZOOM)) == expected


@pytest.mark.parametrize(
    ("other", "forbid", "expected"),
    [
        (small(), [], TWO),
        # Its other limits do not matter.
        (small(encode_rate="1 kpx/s"), [], TWO),
        (small(), ["other"], None),
        (small(codecs=["H.265"]), [], None),
        # The one drive of the book has 1 TB.
        (small(largest_drive="999 GB"), [], None),
        # At 1200 px one camera gives 100 px/m; at 599 px two give 99.8, and three are not allowed.
        (small(inputs=[{"families": ["hd_coax"], "count": 4, "picture": "1200x1080"}]), [], None),
        (small(inputs=[{"families": ["hd_coax"], "count": 4, "picture": "599x1080"}]), [], None),
        (small(inputs=[{"families": ["composite"], "count": 4, "picture": "960x1080"}]), [], None),
    ],
)
def test_recorders_that_the_site_can_use(
    net: Solver, other: Row, forbid: list[str], expected: int | None
) -> None:
    asked = site(WIDE, policy={"require": [PIGTAILS], "forbid": forbid})
    assert net(asked, book(cam=ZOOM, other=other)) == expected


@pytest.mark.parametrize(
    ("failures", "arrays", "bays", "expected"),
    [
        # Mirrored drives in the recorder that is used: a second one, 50.
        (1, ["mirror"], 2, TWO + 50_00),
        (1, ["mirror"], 1, None),
        (1, ["5"], 2, None),
        (1, ["6", "5"], 3, TWO + 50_00),
        (1, [], 4, None),
        # Array 6 of four: three drives more.
        (2, ["6"], 4, TWO + 150_00),
        (2, ["6"], 3, None),
        (2, ["5", "10", "mirror"], 8, None),
    ],
)
def test_arrays_of_a_recorder_that_the_site_can_use(
    net: Solver, failures: int, arrays: list[str], bays: int, expected: int | None
) -> None:
    asked = site(WIDE, policy={"require": [PIGTAILS]}, recording={"drive_failures": failures})
    used = {"arrays": ["mirror", "6"]}
    prices = book(cam=ZOOM, rec=used, other=small(arrays=arrays, bays=bays))
    assert net(asked, prices) == expected


@pytest.mark.parametrize(
    ("optical", "bays", "writer", "expected"),
    [
        ("built_in", 1, False, TWO),
        ("own_bay", 1, True, TWO),
        ("own_bay", 1, False, None),
        ("drive_bay", 2, True, TWO),
        ("drive_bay", 1, True, None),
        ("none", 2, True, None),
    ],
)
def test_export_of_a_recorder_that_the_site_can_use(
    net: Solver, optical: str, bays: int, writer: bool, expected: int | None
) -> None:
    asked = site(WIDE, policy={"require": [PIGTAILS]}, recording={"export": ["optical"]})
    rows: dict[str, Row] = {"writer": {"kind": "optical_writer", "price": "15.00"}}
    prices = book(
        cam=ZOOM,
        rec={"optical": "built_in"},
        other=small(optical=optical, bays=bays),
        **(rows if writer else {}),
    )
    assert net(asked, prices) == expected


@pytest.mark.parametrize(("hdmi", "expected"), [(1, TWO), (0, None)])
def test_displays_of_a_recorder_that_the_site_can_use(
    net: Solver, hdmi: int, expected: int | None
) -> None:
    asked = site(WIDE, policy={"require": [PIGTAILS]}, recording={"displays": {"hdmi": 1}})
    prices = book(cam=ZOOM, rec={"displays": {"hdmi": 1}}, other=small(displays={"hdmi": hdmi}))
    assert net(asked, prices) == expected
