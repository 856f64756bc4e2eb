"""The drawing of a site of which nobody knows whether it can be met."""

from __future__ import annotations

import pytest

from optimizer.questions import drawing
from tests.optimality.explaining import unread
from tests.optimality.rooms import book, box, mount, site, square, zone


@pytest.mark.parametrize(
    ("why", "words"),
    [("time", "in the time given"), ("settings", "more time does not settle it")],
)
def test_an_undecided_site_says_why_nothing_is_shaded(
    why: str, words: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    asked = unread(site(square(6), [zone(box(1, 1, 5, 5), "100 px/m")], [mount("corner", 0, 0)]))
    known = drawing.solve(asked, book(), 5)
    open_ = known.model_copy(
        update={"status": "undecided", "undecided_by": why, "total": None, "cameras": ()}
    )
    monkeypatch.setattr(drawing, "solve", lambda *_: open_)
    found = drawing.draw_design(asked, None, book())
    assert found.status == "undecided"
    assert found.picture.cameras == ()
    assert words in found.picture.note
    assert "no ground is shaded: that does not say that it cannot be seen" in found.picture.note
