"""A certificate for every price step of a curve: no kit costs less from that value on."""

from __future__ import annotations

import os
import shutil
import tempfile
import time
from pathlib import Path

from optimizer.explaining.asked import asked_as, text_of
from optimizer.explaining.asking import Progress, least_net
from optimizer.explaining.certificate import certify_site, write_folder
from optimizer.instance import build_instance
from optimizer.pricebook.loading import LoadedBook
from optimizer.site.loading import LoadedSite
from optimizer.solving.explanation import PriceCurve, PriceLevel
from optimizer.units import money

SITE_FILE = "site.json"
AIMED = "With cameras on mounts aimed in one of the ways that the program lists"


def certify_steps(
    asked: LoadedSite,
    book: LoadedBook,
    curve: PriceCurve,
    folder: Path,
    deadline: float,
    say: Progress,
) -> PriceCurve:
    """The curve with a certificate for each of its levels, in folders of their own.

    Each is about the easiest value of its level, without a budget: no kit costs less than the
    level's total there, or none meets it. The site so changed goes with it.

    Parameters
    ----------
    folder : Path
        Made anew, whole or not at all; its parent must exist.
    deadline : float
        On the clock of ``time.monotonic``; what is not found by then has no certificate. [s]

    Raises
    ------
    Defect
        If the checker refuses what was found.
    OSError
        If it cannot be written.
    """
    part = Path(tempfile.mkdtemp(prefix=f".{folder.name}.", dir=folder.absolute().parent))
    levels: list[PriceLevel] = []
    try:
        for number, level in enumerate(curve.levels, 1):
            share = (deadline - time.monotonic()) / (len(curve.levels) - number + 1)
            name = f"{number}-{level.first.replace(' ', '-').replace('/', '-')}"
            say(f"looking for a certificate at {level.first}")
            made = share > 0 and _certified(asked, book, curve, level, part / name, share)
            path = str(folder / name) if made else None
            levels.append(level.model_copy(update={"certificate": path}))
        part.chmod(0o755)
        os.replace(part, folder)
    except BaseException:
        shutil.rmtree(part)
        raise
    return curve.model_copy(update={"levels": tuple(levels)})


def _certified(
    asked: LoadedSite,
    book: LoadedBook,
    curve: PriceCurve,
    level: PriceLevel,
    folder: Path,
    seconds: float,
) -> bool:
    """Write the certificate of a level; False if there is nothing to prove or no proof in time."""
    if level.status not in ("proven", "unmeetable"):
        return False
    values = {curve.requirement: level.first}
    if asked.site.money.budget is not None:
        values["budget"] = "none"
    at = asked_as(asked, values)
    where = f"at {curve.requirement} {level.first}"
    below = None
    claim = f"{asked.site.name}: no kit from {book.book.name} meets the site {where}."
    if level.total is not None:
        below = least_net(money(level.total), at.site.money.tax)
        taxed = " with tax" if at.site.money.tax else ""
        claim = (
            f"No kit for {asked.site.name} costs less than {level.total} {curve.currency}"
            f"{taxed} {where}."
        )
        if at.site.areas:
            claim = f"{AIMED}: {claim}"
    # On a plan a price is the least over what is listed; that there is no kit holds for all aims.
    sure = below is not None or not at.site.areas
    found = certify_site(build_instance(at.site, book, sure=sure), seconds, below)
    if found is None:
        return False
    write_folder(folder, *found, at.source.sha256, book.sha256, claim)
    (folder / SITE_FILE).write_text(text_of(at), encoding="utf-8")
    return True


__all__ = ["AIMED", "SITE_FILE", "certify_steps"]
