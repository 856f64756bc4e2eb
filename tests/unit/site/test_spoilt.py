"""Whatever is put in the place of any part of a site, the answer is a site or a clear refusal."""

from __future__ import annotations

import copy
import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
import yaml

from optimizer.errors import InputError
from optimizer.reading.source import FieldPath, dotted
from optimizer.site import load_site
from tests.unit.site.test_schema import FULL

WHOLE: dict[str, Any] = yaml.load(FULL, yaml.BaseLoader)
ODD: dict[str, Any] = {
    "nothing": None,
    "a word": "odd",
    "an empty text": "",
    "a number": "7",
    "an empty list": [],
    "an empty mapping": {},
    "a list of a word": ["odd"],
    "a list of nothing": [None],
    "a list in a list": [["odd"]],
    "a mapping": {"odd": "odd"},
    "a list of a mapping": [{"id": ["odd"], "item": {}, "zone": []}],
}


def _paths(data: Any, path: FieldPath = ()) -> Iterator[FieldPath]:
    yield path
    steps: Any = ()
    if isinstance(data, dict):
        steps = data.items()
    elif isinstance(data, list):
        steps = enumerate(data)
    for step, inner in steps:
        yield from _paths(inner, (*path, step))


@pytest.mark.parametrize("path", [*_paths(WHOLE)][1:], ids=dotted)
def test_spoilt_part(tmp_path: Path, path: FieldPath) -> None:
    refused = 0
    for odd in ODD.values():
        data = copy.deepcopy(WHOLE)
        inner: Any = data
        for step in path[:-1]:
            inner = inner[step]
        inner[path[-1]] = odd
        file = tmp_path / "site.yaml"
        file.write_text(json.dumps(data, indent=1))
        try:
            load_site(file)
        except InputError as error:
            refused += 1
            for trouble in error.troubles:
                assert trouble.line is not None
                assert trouble.field
                assert trouble.accepted
                assert trouble.hint
    # A list of a list and a mapping of an odd name fit nowhere.
    assert refused >= 2
