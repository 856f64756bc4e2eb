"""Uses are keys of the tallies: uses of different kinds are never equal, whatever they hold."""

from __future__ import annotations

from itertools import combinations
from typing import Any, NamedTuple, get_args, get_type_hints

import pytest

from optimizer.instance import options
from optimizer.instance.options import (
    Injected,
    Kept,
    Part,
    Piece,
    PlainPort,
    PoweredPort,
    RecorderPort,
    SupplyGroup,
    Use,
)
from optimizer.instance.streams import Stream

KINDS: tuple[type[Any], ...] = get_args(Use)


def filled(kind: type[Any], number: int, word: str) -> Any:
    """A use whose numbers and words are all the same."""
    values = {"int": number, "str": word, "SupplyGroup": SupplyGroup(word, number, word)}
    hints = get_type_hints(kind)
    own = {name: values[hints[name].__name__] for name in kind._fields if name != "kind"}
    return kind(**own)


def test_every_kind_of_use_is_looked_at() -> None:
    named = {
        v
        for v in vars(options).values()
        if isinstance(v, type) and issubclass(v, tuple) and v is not NamedTuple
    }
    assert named - {SupplyGroup} == set(KINDS)


@pytest.mark.parametrize(("one", "two"), list(combinations(KINDS, 2)))
def test_uses_of_two_kinds_with_the_same_content_differ(one: type[Any], two: type[Any]) -> None:
    for number, word in ((0, ""), (1544, "x"), (1, "bnc/rg59")):
        first, second = filled(one, number, word), filled(two, number, word)
        assert first != second
        assert len({first: 1, second: 2}) == 2


@pytest.mark.parametrize("kind", KINDS)
def test_uses_of_one_kind_with_the_same_content_are_one_key(kind: type[Any]) -> None:
    assert filled(kind, 3, "x") == filled(kind, 3, "x")
    assert hash(filled(kind, 3, "x")) == hash(filled(kind, 3, "x"))
    if len(kind._fields) > 1:
        assert filled(kind, 3, "x") != filled(kind, 4, "y")


def test_the_cases_that_were_once_mixed_up() -> None:
    assert PoweredPort(1544) != RecorderPort(1544) != Injected(1544) != PoweredPort(1544)
    assert Part("tail") != Piece("tail")
    assert Kept(0) != PoweredPort(0)
    assert PlainPort() != ()


def test_a_stream_is_no_use() -> None:
    stream = Stream("network", 1, 1, 0, 0, 0, 0, False, ())
    assert all(stream != filled(kind, 1, "network") for kind in KINDS)
