"""The program's own answer to a case, audited, as a net that can be compared."""

from __future__ import annotations

from optimizer import solving
from optimizer.audit import audit_design
from optimizer.pricebook import LoadedBook
from optimizer.pricebook.schema import Book
from optimizer.reading.source import Source
from optimizer.site.schema import Site
from optimizer.units import money
from tests.optimality.readings import total_of

AMPLE_S = 600.0
"""For cases that are proven in seconds: their time must not hang on the machine. [s]"""


def loaded(book: Book) -> LoadedBook:
    """A price book that was never a file."""
    source = Source("drawn for a test", None, {}, "0" * 64)
    return LoadedBook(book, {item.id: item for item in book.items}, source, source.sha256)


def program_net(site: Site, book: Book) -> int | None:
    """Net of the program's proven optimum, None where it proves that the site is unmeetable.

    Fails where nothing is proven, where the audit finds anything in the design, or where net,
    tax, total and bound do not belong together.
    """
    answer = solving.solve_site(site, loaded(book), seconds=AMPLE_S)
    if answer.status == "unmeetable":
        assert answer.total is None
        assert answer.bill == ()
        return None
    assert answer.status == "optimal", answer.status
    items = {item.id: item for item in book.items}
    findings = audit_design(site, items, book.offers, answer.design())
    assert findings == [], findings
    assert answer.net is not None
    assert answer.tax is not None
    assert answer.total is not None
    net = money(answer.net)
    assert answer.lower_bound == answer.total
    assert money(answer.total) == net + money(answer.tax) == total_of(site, net)
    return net


__all__ = ["loaded", "program_net"]
