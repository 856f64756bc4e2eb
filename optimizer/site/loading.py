"""Reading a site file."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from optimizer.reading import Source, read_source, validate
from optimizer.site.consistency import consistency
from optimizer.site.schema import Site


@dataclass(frozen=True)
class LoadedSite:
    """A site and where it was read."""

    site: Site
    source: Source


def load_site(path: str | Path) -> LoadedSite:
    """Read and check a site file.

    Parameters
    ----------
    path : path
        A YAML or JSON file.

    Raises
    ------
    InputError
        With one trouble for each thing wrong, in the order of the file.
    """
    source = read_source(path, "site")
    return LoadedSite(validate(Site, source, also=consistency), source)
