"""A site's plan as a picture: as it was read, or with a design's cameras on it."""

from __future__ import annotations

import json
from collections.abc import Callable, Sequence
from decimal import Decimal
from pathlib import Path
from typing import NamedTuple

from optimizer.audit import read_design
from optimizer.design import Design
from optimizer.errors import InputError, Trouble
from optimizer.plan.shares import seen
from optimizer.pricebook import LoadedBook
from optimizer.questions.judging import findings
from optimizer.questions.preparing import BookLike, SiteLike, prepare, silent
from optimizer.questions.seeing import never_seen, placed
from optimizer.questions.solving import solve
from optimizer.reporting.findings import meets
from optimizer.reporting.plan_content import PlanPicture
from optimizer.reporting.plan_picture import Missing, Placed, picture_of
from optimizer.site import LoadedSite, load_site
from optimizer.site.runs import ways
from optimizer.site.scenes import scene_of
from optimizer.solving.answer import SCHEMA, Answer


class Drawn(NamedTuple):
    """A picture, and what it shows.

    Attributes
    ----------
    picture : PlanPicture
    status : str
        That of the answer: optimal, feasible, unmeetable or undecided; ``met`` or ``unmet`` for a
        design that was handed in; ``bare`` for the plan alone.
    """

    picture: PlanPicture
    status: str


def draw_bare(site: SiteLike) -> Drawn:
    """The plan of a site as it was read, without any camera.

    Raises
    ------
    InputError
        If the site is refused or has no plan.
    """
    asked = _with_plan(site)
    scene = scene_of(asked.site)
    mounts, zones = len(scene.mounts), len(scene.areas)
    note = f"The plan as it was read: {mounts} mounts, {zones} zones to be seen, no camera chosen."
    return Drawn(picture_of(asked.site, scene, note), "bare")


def draw_design(
    site: SiteLike,
    design: Answer | Design | str | Path | None = None,
    book: BookLike = None,
    seconds: float = 60,
    progress: Callable[[str], None] | None = None,
) -> Drawn:
    """The plan of a site with cameras on it, and the ground that they see.

    Parameters
    ----------
    site, book
        As for :func:`prepare`.
    design : Answer, Design or path, optional
        Whose cameras are drawn; the cheapest kit is looked for if left out. A design that does not
        meet the site is drawn all the same, with the ground that it does not see. For an answer
        that there is no kit, one is looked for anew, and what is seen from nowhere is drawn.
    seconds : float
        For looking. [s]
    progress : callable, optional
        Told what is being done, in a few words.

    Raises
    ------
    InputError
        If an input is refused, the site has no plan, or the file holds no whole design.
    """
    tell = progress or silent
    asked, prices = prepare(_with_plan(site), book)
    if design is None or _says_none(design):
        answer = solve(asked, prices, seconds, progress)
        if answer.status == "unmeetable":
            tell("looking for what is seen from nowhere")
            return _unmeetable(asked, prices)
        if not answer.met:
            note = _undecided(answer)
            return Drawn(picture_of(asked.site, scene_of(asked.site), note), "undecided")
        whole, status, note = answer.design(), str(answer.status), _words(answer)
    else:
        whole = _whole(design)
        good = meets(findings(asked, whole, prices))
        status = "met" if good else "unmet"
        said = "meets the site" if good else "does not meet the site: see leastkit audit"
        note = f"This kit of {whole.total} {whole.currency} {said}."
    tell("working out what the cameras see")
    return Drawn(_with_cameras(asked, whole, prices, note), status)


def _with_cameras(asked: LoadedSite, design: Design, prices: LoadedBook, note: str) -> PlanPicture:
    site = asked.site
    scene = scene_of(site)
    cameras: Sequence[Placed] = placed(site, prices, design)
    how = seen(scene, [one.aimed for one in cameras])
    areas = {area.id: area for area in scene.areas}
    # A share short of what is asked by no more than round edges cost is not short.
    missing = [
        Missing(one.area_id, areas[one.area_id].level, one.unseen)
        for one in how
        if one.share < areas[one.area_id].share - 5e-5
    ]
    return picture_of(
        site, scene, note, cameras=cameras, seen=how, ways=ways(site), missing=missing
    )


def _unmeetable(asked: LoadedSite, prices: LoadedBook) -> Drawn:
    scene = scene_of(asked.site)
    missing, hiding = never_seen(asked.site, prices, scene)
    note = (
        "The site cannot be met: what is dotted is in sight and reach of too few mounts, whatever "
        "camera of the price book they bear."
    )
    if not missing:
        note = (
            "The site cannot be met, though each spot is in sight and reach of enough mounts: "
            "leastkit prove says what cannot hold together."
        )
    return Drawn(picture_of(asked.site, scene, note, missing=missing, hiding=hiding), "unmeetable")


def _undecided(answer: Answer) -> str:
    """What is said where no kit is known: that nothing is shaded is no finding."""
    why = "in the time given"
    if answer.undecided_by in ("cells", "settings"):
        why = "among the aims looked at; more time does not settle it"
    return (
        f"Undecided: neither a kit nor a proof that there is none was found {why}. No camera is "
        "drawn, so no ground is shaded: that does not say that it cannot be seen."
    )


def _words(answer: Answer) -> str:
    taxed = " with tax" if answer.tax and Decimal(answer.tax) else ""
    price = f"{answer.total} {answer.currency}{taxed}"
    if answer.status == "optimal":
        return f"The cheapest kit: {price}."
    return f"A kit for {price}; none is cheaper than {answer.lower_bound} {answer.currency}."


def _says_none(design: Answer | Design | str | Path) -> bool:
    """Whether an answer says that there is no kit; whether that is so is then found out anew."""
    if isinstance(design, Answer):
        return design.status == "unmeetable"
    if isinstance(design, Design):
        return False
    try:
        data = json.loads(Path(design).read_text(encoding="utf-8"))
    except (OSError, ValueError):
        return False  # whatever is wrong with it is told by who reads it in earnest
    return (
        isinstance(data, dict)
        and data.get("schema") == SCHEMA
        and data.get("status") == "unmeetable"
    )


def _whole(design: Answer | Design | str | Path) -> Design:
    judged = read_design(design) if isinstance(design, str | Path) else design
    if isinstance(judged, Answer):
        return judged.design()
    if isinstance(judged, Design):
        return judged
    raise InputError(
        Trouble(
            "a bill alone does not say where its cameras are",
            str(design),
            accepted="an answer as `leastkit solve --json` writes it, or a design",
            hint="leave the design out to have the cheapest kit drawn",
        )
    )


def _with_plan(site: SiteLike) -> LoadedSite:
    asked = site if isinstance(site, LoadedSite) else load_site(site)
    if asked.site.plan is None:
        raise InputError(
            Trouble(
                "the site has no plan to draw",
                asked.source.name,
                accepted="a site file with a plan",
                hint="`leastkit start --plan` writes a commented example",
            )
        )
    return asked


__all__ = ["Drawn", "draw_bare", "draw_design"]
