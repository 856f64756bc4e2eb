"""What a changed site leaves unstated: a default is no demand of the site file's.

A site that is changed is written out in full and read again, after which every field looks as if it
had been stated. What decides where a value is from is whether the first site stated it.
"""

from __future__ import annotations

from pydantic import BaseModel

from optimizer.site.schema import Site


def unstated(site: Site, before: Site) -> Site:
    """A changed site in which what stayed as it was counts as stated only if it was before."""
    _forget(site, before)
    return site


def _forget(new: BaseModel, old: BaseModel) -> None:
    for name in type(old).model_fields:
        value, was = getattr(new, name), getattr(old, name)
        if name not in old.model_fields_set and value == was:
            new.model_fields_set.discard(name)
        if isinstance(value, BaseModel) and type(value) is type(was):
            _forget(value, was)
        elif isinstance(value, tuple) and isinstance(was, tuple):
            known = {getattr(one, "id", None): one for one in was if isinstance(one, BaseModel)}
            for one in value:
                twin = known.get(getattr(one, "id", None))
                if isinstance(one, BaseModel) and type(one) is type(twin):
                    _forget(one, twin)


__all__ = ["unstated"]
