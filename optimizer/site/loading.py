"""Reading a site file."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from optimizer.errors import InputError
from optimizer.reading import Source, read_source, validate
from optimizer.site.consistency import consistency
from optimizer.site.drawn import with_drawing
from optimizer.site.schema import Site


@dataclass(frozen=True)
class LoadedSite:
    """A site and where it was read; the source has the shapes of its drawing in place."""

    site: Site
    source: Source


def load_site(path: str | Path) -> LoadedSite:
    """Read and check a site file, and the drawing that it names.

    Parameters
    ----------
    path : path
        A YAML or JSON file.

    Raises
    ------
    InputError
        With one trouble for each thing wrong, in the order of the file.
    """
    source = with_drawing(read_source(path, "site"))
    site = validate(Site, source, also=consistency)
    check_plan(site, source)
    return LoadedSite(site, source)


def check_plan(site: Site, source: Source) -> None:
    """Check that what a site draws can be drawn of a real place.

    Raises
    ------
    InputError
        With one trouble for each shape that is wrong, in the order of the file.
    """
    if site.plan is None:
        return
    # shapely and networkx take a moment to load: only for sites that have a plan.
    from optimizer.site.plan_checks import plan_troubles

    troubles = plan_troubles(site, source)
    if troubles:
        raise InputError(*sorted(troubles, key=lambda t: (t.line or 0, t.field)))
