"""Section 3 of the rules: what lies along a run, and whether it may and can."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from fractions import Fraction

from optimizer.audit.case import Case
from optimizer.audit.figures import down
from optimizer.audit.finding import Fault, Rule, counted, figure
from optimizer.engineering.protection import ROUTE_NEEDS, route_ok
from optimizer.pricebook import schema as book
from optimizer.site.schema import Zone


def lengths(case: Case) -> Iterator[Fault]:
    """Stated lengths: cut length, sum of the leads, or length of the existing cable, in cm.

    The cut length is the run with both end allowances, rounded up to a centimetre, so it must
    agree exactly; the others may be stated to the nearest centimetre on either side.
    """
    for run in case.runs.values():
        stated, exact = run.stated.length_cm, run.length_m * 100
        if abs(stated - exact) >= 1:
            text = f"is {figure(exact)} cm long, the design says {figure(stated)} cm"
            yield Fault(run.stated.id, "mismatch", text, stated, exact)


def boxes(case: Case) -> Iterator[Fault]:
    """Each box gives pieces of total length up to its own, its length rounded down to 1 cm."""
    for box in case.design.boxes:
        cable = case.items[box.item]
        assert isinstance(cable, book.Cable)
        whole = down(Fraction(cable.box) * 100)
        cut = sum((case.runs[r].length_m * 100 for r in box.cuts), Fraction(0))
        if cut > whole:
            text = f"{figure(cut)} cm are cut from {figure(whole)} cm"
            yield Fault(box.id, "limit", text, cut, whole)
        if box.length_cm != whole:
            text = f"holds {figure(whole)} cm, the design says {figure(box.length_cm)} cm"
            yield Fault(box.id, "mismatch", text, box.length_cm, whole)
        if box.left_cm != whole - cut:
            text = f"{figure(whole - cut)} cm are left, the design says {figure(box.left_cm)} cm"
            yield Fault(box.id, "mismatch", text, box.left_cm, whole - cut)


def leads(case: Case) -> Iterator[Fault]:
    """Leads cover the run; joined ones are of one series, joinable, with few enough joints."""
    most = case.site.policy.most_joints
    for run in case.runs.values():
        if not run.leads:
            continue
        name, needed = run.stated.id, Fraction(run.owner.run)
        if run.length_m < needed:
            text = f"leads of {figure(run.length_m)} m do not cover the run of {figure(needed)} m"
            yield Fault(name, "limit", text, run.length_m, needed)
        joints = len(run.leads) - 1
        if joints > most:
            text = f"has {counted(joints, 'joint')}, the policy allows {most}"
            yield Fault(name, "limit", text, joints, most)
        if len({x.series for x in run.leads}) > 1:
            yield Fault(name, "mismatch", "joins leads of different series")
        if joints and not all(x.joinable for x in run.leads):
            yield Fault(name, "limit", "joins leads that cannot be joined")


def existing(case: Case) -> Iterator[Fault]:
    """An entry of existing cable serves no more runs than it has cables."""
    used = Counter(
        (isinstance(r.owner, Zone), r.owner.id, r.stated.existing)
        for r in case.runs.values()
        if r.entry is not None
    )
    for run in case.runs.values():
        # Popped, so that an entry is reported once, at the first run that uses it.
        n = used.pop((isinstance(run.owner, Zone), run.owner.id, run.stated.existing), 0)
        if run.entry is not None and n > run.entry.count:
            text = (
                f"{n} runs use existing cable {run.stated.existing} ({run.medium}), of which "
                f"the site has {run.entry.count}"
            )
            yield Fault(run.owner.id, "limit", text, n, run.entry.count)


def routes(case: Case) -> Iterator[Fault]:
    """New cable and leads suit the route they are laid on."""
    for run in case.runs.values():
        route = run.owner.route
        new: tuple[book.Laid, ...] = run.leads if run.cable is None else (run.cable,)
        for one in new:
            if not route_ok(route, one.fire, one.outdoor, one.burial):
                text = f"{one.id} may not lie on the {route} route: it needs {ROUTE_NEEDS[route]}"
                yield Fault(run.stated.id, "limit", text)


RULES = (
    Rule("3 lengths", lengths),
    Rule("3 boxes", boxes),
    Rule("3 leads", leads),
    Rule("3 existing cable", existing),
    Rule("3 routes", routes),
)
