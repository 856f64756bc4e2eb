"""Writing the whole program."""

from __future__ import annotations

from collections.abc import Iterable

from optimizer.instance import Instance
from optimizer.model.draft import Draft
from optimizer.model.families import (
    changing,
    coverage,
    linking,
    money,
    packing,
    parts,
    recording,
    sound,
    streams,
    viewing,
    wiring,
)


def build(
    instance: Instance,
    spelt: Iterable[str] = (),
    units: dict[str, int] | None = None,
    *,
    linked: bool = True,
) -> Draft:
    """Write the program of an instance.

    Parameters
    ----------
    spelt : iterable of str
        Names of the packs (and "recorders") to be spelt out unit by unit.
    units : dict, optional
        Most units of each recorder item; those not named are left out.
    linked : bool
        Add the rows that change no solution but lift the linear bound.
    """
    draft = _written(Draft(instance, spelt=frozenset(spelt), units=units), linked, last=True)
    money.write(draft)
    draft.program.check()
    return draft


def build_phase(instance: Instance, spelt: Iterable[str], *, last: bool) -> Draft:
    """Write the program of one of several phases, without what it buys.

    Parameters
    ----------
    last : bool
        Add the questions whether a signal family is used at all, which the last phase answers for
        all of them.
    """
    return _written(Draft(instance, spelt=frozenset(spelt)), linked=True, last=last)


def _written(draft: Draft, linked: bool, *, last: bool) -> Draft:
    openings = (
        coverage.write, viewing.write, wiring.write, streams.write, changing.write, sound.write,
    )  # fmt: skip
    for family in openings:
        family(draft)
    # From here on tallies are turned into rows; each of these may still ask for parts.
    for closing in (recording.write, packing.write, parts.write_sized, parts.write_mains_leads):
        closing(draft)
    if linked:
        linking.write(draft)
        linking.write_totals(draft)
    if linked and last:
        linking.write_families(draft)
    parts.write(draft)
    parts.write_tools(draft)
    if linked:
        parts.write_tool_links(draft)
    return draft
