"""No stated value of a design can be altered unnoticed, and no alteration breaks the audit."""

from __future__ import annotations

import copy
from collections.abc import Iterator
from typing import Any

import pytest
from pydantic import ValidationError

from optimizer.audit import audit_design
from optimizer.design import Design
from optimizer.site.schema import Site
from tests.unit.audit import variants as v
from tests.unit.audit.worked import Trial

Path = tuple[str | int, ...]

# What no rule says anything about: words for people, the names of jobs that the item tells
# anyway, and where an injector lies.
FREE = {"bill.because", "reductions.because", "injectors.place"}
FREE_ROLES = ("tool", "mains_lead", "coupler", "splitter")


def leaves(data: Any, path: Path = ()) -> Iterator[tuple[Path, Any]]:
    if isinstance(data, dict):
        for key, value in data.items():
            yield from leaves(value, (*path, key))
    elif isinstance(data, list):
        for index, value in enumerate(data):
            yield from leaves(value, (*path, index))
    else:
        yield path, data


def altered(value: Any) -> Any:
    """Something that cannot be right: no number here is negative, no id or amount is "zz"."""
    if isinstance(value, int):
        return -7
    return value + 1 if isinstance(value, float) else "zz"


def with_value(data: Any, path: Path, value: Any) -> Any:
    changed = copy.deepcopy(data)
    inner = changed
    for step in path[:-1]:
        inner = inner[step]
    inner[path[-1]] = value
    return changed


def is_free(path: Path, value: Any) -> bool:
    name = ".".join(p for p in path if isinstance(p, str))
    return name in FREE or (name == "parts.role" and value.startswith(FREE_ROLES))


def unnoticed(site: Site, items: Any, offers: Any, design: Design) -> list[str]:
    data = design.model_dump(mode="json")
    missed = []
    for path, value in leaves(data):
        if value is None or is_free(path, value):
            continue
        try:
            changed = Design.model_validate(with_value(data, path, altered(value)))
        except ValidationError:
            continue
        if not audit_design(site, items, offers, changed):
            missed.append(f"{path}: {value!r} -> {altered(value)!r}")
    return missed


def test_no_value_of_the_worked_design_is_altered_unnoticed():
    assert unnoticed(*Trial().built()) == []


@pytest.mark.parametrize(
    "make",
    [v.v4_powered_balun, v.v5_joined, v.d3_injector, v.rs485_pair, v.with_writer, v.a1, v.a6],
    ids=lambda m: m.__name__,
)
def test_no_value_of_a_variant_is_altered_unnoticed(make):
    variant = make()
    site = Site.model_validate(variant.site)
    assert unnoticed(site, variant.items(), (), variant.written()) == []


@pytest.mark.parametrize(
    "section",
    ["bill", "cameras", "recorders", "runs", "boxes", "supplies", "switches", "parts", "audio"],
)
def test_no_entry_is_left_out_or_repeated_unnoticed(section):
    trial = Trial()
    for index, entry in enumerate(list(trial.design[section])):
        for entries in (
            [e for i, e in enumerate(trial.design[section]) if i != index],
            [*trial.design[section], entry],
        ):
            spoilt = Trial()
            spoilt.design[section] = entries
            assert spoilt.findings(), (section, index, len(entries))
