"""What an audit found, on the terminal."""

from __future__ import annotations

from collections.abc import Sequence

from rich.console import Console
from rich.text import Text

from optimizer.audit import Finding
from optimizer.reporting.page import BAD, GOOD, HEADING, QUIET, Column, Page, row, safe
from optimizer.solving.wording import count

_KINDS = (
    ("missing", "Missing"),
    ("limit", "Beyond a limit"),
    ("mismatch", "Does not agree"),
    ("surplus", "More than is needed"),
)


def meets(findings: Sequence[Finding]) -> bool:
    """Whether a design meets its site: pieces without a job do no harm but to the price."""
    return all(finding.kind == "surplus" for finding in findings)


def render_findings(
    findings: Sequence[Finding], site_name: str, whole: bool, console: Console
) -> None:
    """Print what an audit found.

    Parameters
    ----------
    findings : sequence of Finding
        In any order.
    site_name : str
        The site that was asked for.
    whole : bool
        True if a whole design was judged, False if only a bill was.
    console : Console
        Where to print.
    """
    page = Page(console)
    judged = "design" if whole else "bill"
    good = meets(findings)
    verdict = f"the {judged} meets the site" if good else f"the {judged} does not meet the site"
    page.sides(
        Text(safe(site_name), style=HEADING),
        Text(verdict if whole or not good else "nothing found against it", GOOD if good else BAD),
    )
    page.rule()
    if whole and not findings:
        page.text("Every rule was checked; nothing is missing, beyond a limit or in excess.")
    if not whole:
        page.text(
            "A bill alone does not say how its pieces are used, so only quantities and money are "
            "judged."
        )
    for kind, words in _KINDS:
        some = [finding for finding in findings if finding.kind == kind]
        if not some:
            continue
        page.heading(words, count(len(some), "finding"))
        grid = page.table([Column("where"), Column("what"), Column("rule")])
        for finding in some:
            # Its number in the rules and its name: "2.4: drives".
            rule = Text(safe(finding.rule).replace(" ", ": ", 1), style=QUIET)
            grid.add_row(*row([finding.place, finding.text, rule]))
        page.put(grid)
