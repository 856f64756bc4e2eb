"""A design, or a bill alone, against a site."""

from __future__ import annotations

from pathlib import Path

from optimizer.audit import Finding, audit_bill, audit_design, read_design, surplus
from optimizer.design import Design
from optimizer.errors import InputError, Trouble
from optimizer.questions.preparing import BillLines, BookLike, SiteLike, prepare
from optimizer.solving.answer import Answer


def findings(
    site: SiteLike,
    design: Answer | Design | BillLines | str | Path,
    book: BookLike = None,
) -> list[Finding]:
    """Audit a design, or a bill alone, against a site.

    Parameters
    ----------
    site, book
        As for :func:`prepare`.
    design : Answer, Design, list of (item, quantity), or path
        What is judged. A path is read as ``leastkit audit`` reads it.

    Returns
    -------
    list of Finding
        Empty if every rule is kept and nothing is in excess. Of a bill alone only quantities
        can be judged.

    Raises
    ------
    InputError
        As for :func:`prepare`, or if the file holds no design.
    ValueError
        If the answer holds no design.
    """
    asked, prices = prepare(site, book)
    judged = read_design(design) if isinstance(design, str | Path) else design
    if isinstance(judged, Answer):
        judged = judged.design()
    site_asked, items, offers = asked.site, prices.items, prices.book.offers
    if isinstance(judged, Design):
        found = audit_design(site_asked, items, offers, judged)
        return [*found, *surplus(site_asked, items, offers, judged)]
    if site_asked.areas:
        raise InputError(
            Trouble(
                "a bill alone says nothing of what its cameras see on the plan",
                asked.source.name,
                field="zones",
                accepted="a design or an answer, for a site with zones on a plan",
                hint="audit the answer that leastkit solve --json writes",
            )
        )
    return audit_bill(site_asked, items, offers=offers, bill=list(judged))
