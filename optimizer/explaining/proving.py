"""Can this be met? The verdict with its proof, the conflicts, the ways out, and what is lacking.

Everything is asked in a fixed order: the conflicts, what lifting the budget alone does, the ways
out, the certificate, the arguments. Where time runs out, what is left is said to be open.
"""

from __future__ import annotations

import time
from contextlib import closing
from pathlib import Path
from typing import Literal

from optimizer.explaining.argument import argue
from optimizer.explaining.asking import Asker, Progress, least_net
from optimizer.explaining.asking_plan import asker_for
from optimizer.explaining.binding import binding
from optimizer.explaining.certificate import Certificate, certify_site, write_folder
from optimizer.explaining.certified_steps import AIMED
from optimizer.explaining.confirming import CERTIFICATE, Confirmed, confirm
from optimizer.explaining.conflicts import Quarrels
from optimizer.explaining.deciding_plan import holding_of
from optimizer.explaining.holding import BUDGET, Holding
from optimizer.explaining.inquiry import Inquiry
from optimizer.explaining.lacking import lacking
from optimizer.explaining.standing import Wanted, stand
from optimizer.instance import build_instance
from optimizer.model import Program, build
from optimizer.pricebook.loading import LoadedBook
from optimizer.site.loading import LoadedSite
from optimizer.solving import highs
from optimizer.solving.answer import Answer
from optimizer.solving.explanation import Step
from optimizer.solving.export import mps
from optimizer.solving.proof import (
    Argument,
    BudgetAlone,
    CertificateMade,
    CostOf,
    Proof,
    WaysOut,
)
from optimizer.units import money, money_text

_CERTIFICATE = 0.9
"""Share of the time by which the certificate is to be found; what comes before it: `standing`."""

_LEAST = 1.0
"""Time that a certificate which was asked for is given in any case. [s]"""

LIMITS = (
    "it is proven for this price book: whether its data and prices are true is not proven",
    "the program that is proven about is written from the site file by this tool; every row of it "
    "is named, and every design shown has passed an audit that does not know the program",
    "local codes and licensed practice decide what may be built",
)


NOT_ON_PLANS = (
    "which demands cannot hold together, and what would help, is told on a plan only where it is "
    "proven that no aim does"
)
ITEMS_NOT_ON_PLANS = "what a better item would have to be: not worked out for zones on a plan"


def prove(
    asked: LoadedSite,
    book: LoadedBook,
    answer: Answer,
    wanted: Wanted,
    deadline: float,
    say: Progress,
) -> Answer:
    """The answer with its proof, and with what stands in the way where it cannot be met.

    Parameters
    ----------
    answer : Answer
        To the same site, as solved.
    deadline : float
        On the clock of ``time.monotonic``. [s]

    Raises
    ------
    Defect
        If two proofs contradict each other, or the audit finds fault with a design.
    FileExistsError
        If the certificate's folder exists and is not empty.
    OSError
        If the certificate cannot be written.
    """
    if answer.status == "unmeetable" or (answer.status == "undecided" and not answer.met):
        if asked.site.areas and answer.status == "undecided":
            return _on_plan(answer)
        with closing(asker_for(asked.site, book, deadline, say)) as asker:
            return _unmet(asker, asked, answer, wanted)
    return _met(asked, book, answer, wanted, deadline, say)


def _met(
    asked: LoadedSite,
    book: LoadedBook,
    answer: Answer,
    wanted: Wanted,
    deadline: float,
    say: Progress,
) -> Answer:
    """A site with a design: the design is the proof; that none is cheaper can be certified."""
    words = "met: the audited design meets every demand"
    made = None
    if wanted.certificate is not None and answer.lower_bound is not None:
        say("looking for a certificate that no kit costs less")
        made, how = _bounded(asked, book, answer, wanted.certificate, deadline)
        words += f"; {how}"
    by = (answer.provenance.solver,)
    proof = Proof(verdict="met", words=words, by=by, certificate=made, limits=LIMITS)
    return answer.model_copy(update={"proof": proof})


def _on_plan(answer: Answer) -> Answer:
    """A site on a plan of which neither a kit is known nor that there is none: that is all.

    A conflict would rest on what is surely seen in the ways to aim that are listed, and so claim
    more than is proven.
    """
    proof = Proof(verdict="undecided", words=f"nothing is proven; {NOT_ON_PLANS}", limits=LIMITS)
    return answer.model_copy(update={"proof": proof})


def _bounded(
    asked: LoadedSite, book: LoadedBook, answer: Answer, folder: Path, deadline: float
) -> tuple[CertificateMade | None, str]:
    """The certificate that no kit costs less than the answer's bound, or than the relaxation's."""
    assert answer.lower_bound is not None
    optimal = answer.status == "optimal" and answer.net is not None
    tax = asked.site.money.tax
    net = money(answer.net or "0") if optimal else least_net(money(answer.lower_bound), tax)
    instance = build_instance(asked.site, book)
    relaxed = highs.relax(build(instance).program, max(deadline - time.monotonic(), _LEAST))
    bounds = [net] if relaxed is None else [net, highs.whole_bound(relaxed)]
    for bound in sorted({b for b in bounds if 0 < b <= net}, reverse=True):
        left = deadline - time.monotonic()
        found = certify_site(instance, max(left if bound < net else left / 2, _LEAST), bound)
        if found is not None:
            least = f"{money_text(bound)} {answer.currency} net"
            claim = f"No kit for {answer.site} costs less than {least}."
            over = ""
            if asked.site.areas:
                claim, over = f"{AIMED}: {claim}", ", over the ways to aim cameras that it lists"
            made = _written(asked, book, found, folder, claim)
            if optimal and bound == net:
                return made, f"that none is cheaper is certified{over}"
            return made, f"that none costs less than {least} is certified{over}"
    return None, "no certificate was found in the time given"


def _unmet(asker: Asker, asked: LoadedSite, answer: Answer, wanted: Wanted) -> Answer:
    """A site without a design: why that is, how it is proven, and what would help."""
    book, deadline, say = asker.book, asker.deadline, asker.say
    begun = time.monotonic()

    def until(share: float) -> float:
        return begun + share * (deadline - begun)

    holding = holding_of(asked, book, asker)
    # On a plan there is no kit only if there is none where a cell counts that might be seen.
    sure = not asked.site.areas
    standing = stand(holding, wanted, until, say)
    quarrels, ways = standing.quarrels, standing.ways
    asker.deadline = until(_CERTIFICATE)
    say("having it confirmed")
    sought = max(until(_CERTIFICATE) - time.monotonic(), 0.5) if wanted.certified else 0.0
    confirmed = Confirmed(())
    if answer.status == "unmeetable" or quarrels.conflicts:
        confirmed = confirm(asked.site, book, until(_CERTIFICATE), certificate=sought)
    elif sought > 0:
        # Nobody has proven anything yet: a certificate alone would, whatever the solvers reached.
        alone = certify_site(build_instance(asked.site, book, sure=sure), sought)
        confirmed = confirmed if alone is None else Confirmed((CERTIFICATE,), *alone)
    # A confirmed conflict is a part of the site: with it, the site is proven unmeetable too.
    shown = confirmed.enough or bool(quarrels.conflicts)
    verdict: Literal["unmeetable", "undecided"] = "unmeetable" if shown else "undecided"
    claim = f"{answer.site}: no kit from {book.book.name} meets all that the site asks."
    made = _written(asked, book, _pair(confirmed), wanted.certificate, claim)
    asker.deadline = deadline
    arguments = _arguments(holding, quarrels, confirmed, deadline)
    say("asking what would settle it")
    costs = _costs(holding, ways.budget, deadline) if sure else ()
    missing = lacking(holding, quarrels, deadline) if sure else ()
    left = (*standing.open, *_open(ways), *(() if sure else (ITEMS_NOT_ON_PLANS,)))
    proof = Proof(
        verdict=verdict,
        words=_words(confirmed, quarrels),
        by=confirmed.by,
        certificate=made,
        limits=LIMITS,
        costs=costs,
        lacking=missing,
        all_conflicts=standing.all_conflicts,
        left_open=left,
    )
    return answer.model_copy(
        update={
            "status": verdict,
            "conflict": quarrels.conflicts,
            "ways_out": ways,
            "argument": arguments,
            "proof": proof,
        }
    )


def _words(confirmed: Confirmed, quarrels: Quarrels) -> str:
    """How far the verdict is proven; a conflict proves it where the whole site was not reached."""
    if confirmed.enough or not quarrels.conflicts:
        return confirmed.words
    return "proven by two solvers on the conflict below, no certificate"


def _open(ways: WaysOut) -> tuple[str, ...]:
    if ways.complete:
        return ()
    return (f"whether there are more ways out that touch up to {ways.longest} requirements",)


def _pair(confirmed: Confirmed) -> tuple[Program, Certificate] | None:
    if confirmed.certificate is None or confirmed.program is None:
        return None
    return confirmed.program, confirmed.certificate


def _arguments(
    holding: Holding, quarrels: Quarrels, whole: Confirmed, deadline: float
) -> tuple[Argument, ...]:
    """Each conflict as an argument; one that no sum of the tables closes, by a certificate."""
    told: list[Argument] = []
    for conflict, site in zip(quarrels.conflicts, quarrels.sites, strict=True):
        argument = argue(holding, conflict, site, None)
        left = deadline - time.monotonic()
        if not argument.closed and left > 1 and whole.certificate is not None:
            instance = build_instance(site, holding.book, sure=not site.areas)
            proof = certify_site(instance, left / 4)
            argument = argue(holding, conflict, site, proof)
        told.append(argument)
    return tuple(told)


def _costs(holding: Holding, budget: BudgetAlone | None, deadline: float) -> tuple[CostOf, ...]:
    """What each requirement adds to the price, where only the budget stands in the way."""
    if budget is None or budget.enough != "yes" or time.monotonic() > deadline:
        return ()
    have = holding.asker.design(holding.free)
    known = holding.asker.so_far(holding.free)
    if have is None or not known.settled or BUDGET not in holding.listed:
        return ()
    inquiry = Inquiry.of(holding.asked, holding.book, have.design, holding.asker)
    found = binding(inquiry, [holding.listed[i] for i in holding.order if i != BUDGET])
    costs = [
        CostOf(requirement=b.requirement, text=b.text, saving=money_text(-_saved(b.dropped)))
        for b in found
        if b.dropped is not None and b.dropped.difference is not None and _saved(b.dropped) < 0
    ]
    return tuple(sorted(costs, key=lambda c: -money(c.saving)))


def _saved(step: Step) -> int:
    assert step.difference is not None
    sign = -1 if step.difference.startswith("-") else 1
    return sign * money(step.difference.lstrip("-"))


def _written(
    asked: LoadedSite,
    book: LoadedBook,
    found: tuple[Program, Certificate] | None,
    folder: Path | None,
    claim: str,
) -> CertificateMade | None:
    """The certificate in figures, and in its folder where one is asked for."""
    if found is None:
        return None
    program, certificate = found
    if folder is not None:
        write_folder(folder, program, certificate, asked.source.sha256, book.sha256, claim)
    text = mps(program, {"site": asked.source.sha256, "book": book.sha256})
    proof = certificate.text(text)
    return CertificateMade(
        claim=certificate.claim,
        sums=certificate.sums,
        cases=1 + sum(line.startswith("if ") for line in certificate.lines),
        bytes=len(proof.encode("ascii")),
        program_sha256=proof.splitlines()[1].removeprefix("program "),
        folder=None if folder is None else str(folder),
    )


__all__ = ["ITEMS_NOT_ON_PLANS", "LIMITS", "NOT_ON_PLANS", "Wanted", "prove"]
