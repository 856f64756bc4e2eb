"""A changed site as if it had been read from a file of its own."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping

from optimizer.reading import Source
from optimizer.site.changes import changed
from optimizer.site.loading import LoadedSite
from optimizer.site.wishes import still_asked


def asked_as(asked: LoadedSite, values: Mapping[str, str]) -> LoadedSite:
    """The site with other values, with a checksum of its own and without lines of a file.

    What must not be touched stays so, as far as it is still asked.

    Raises
    ------
    InputError
        For an unknown id or a value that is refused.
    """
    site = still_asked(changed(asked, values))
    data = site.model_dump(mode="json", exclude_unset=True)
    text = json.dumps(data, indent=1, ensure_ascii=False) + "\n"
    changes = ", ".join(f"{name}={value}" for name, value in values.items())
    digest = hashlib.sha256(text.encode("utf-8")).hexdigest()
    return LoadedSite(site, Source(f"{asked.source.name} with {changes}", data, {}, digest))


def text_of(asked: LoadedSite) -> str:
    """A changed site as JSON text, the bytes of its checksum; a site file like any other."""
    return json.dumps(asked.source.data, indent=1, ensure_ascii=False) + "\n"


__all__ = ["asked_as", "text_of"]
