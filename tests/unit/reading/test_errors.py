"""Errors as data and as text that is safe to print."""

from __future__ import annotations

import pickle

import pytest
from hypothesis import given
from hypothesis import strategies as st

from optimizer.errors import InputError, Trouble, clean, listed, quoted

anything = st.text(st.characters())


@given(st.tuples(anything, anything, anything, anything, anything, anything))
def test_nothing_reaches_a_terminal_raw(texts: tuple[str, str, str, str, str, str]) -> None:
    what, file, field, value, accepted, hint = texts
    trouble = Trouble(what, file, 1, field, value, accepted, hint)
    for text in (str(trouble), str(InputError(trouble))):
        assert all(c.isprintable() or c == "\n" for c in text)
        assert len(text.splitlines()) <= 5
        text.encode("utf-8")


@given(st.text(st.characters(categories=["Lu", "Ll", "Nd", "Po"]), max_size=120))
def test_what_prints_stays_as_it_is(text: str) -> None:
    assert clean(text) == text


@pytest.mark.parametrize(
    ("text", "shown"),
    [
        ("a\x1b[31mb", "a\\x1b[31mb"),
        ("a\nb\tc", "a\\nb\\tc"),
        ("a\u202eb", "a\\u202eb"),
        ("a\u00a0b", "a\\xa0b"),
        ("a\ud800b", "a\\ud800b"),
        ("x" * 120, "x" * 120),
        ("x" * 121, "x" * 120 + "... (121 characters)"),
        ("x" * 10**6, "x" * 120 + "... (1000000 characters)"),
        # 119 letters and an escape of four characters: cut within the escape
        ("x" * 119 + "\x1b", "x" * 119 + "\\... (120 characters)"),
    ],
)
def test_clean(text: str, shown: str) -> None:
    assert clean(text) == shown


def test_words() -> None:
    assert quoted("a\0") == '"a\\x00"'
    assert listed(["a", "b"]) == "a, b"
    assert listed("abcde", most=3) == "a, b, c and 2 more"


def test_layout_leaves_out_what_is_not_known() -> None:
    assert str(Trouble("it is wrong")) == "it is wrong"
    assert str(Trouble("it is wrong", "a.yaml")) == "a.yaml: it is wrong"
    assert str(Trouble("it is wrong", "a.yaml", 3, "x", "1", "2", "write 2")) == (
        "a.yaml:3: it is wrong\n  field:    x\n  value:    1\n  accepted: 2\n  hint:     write 2"
    )


def test_an_error_needs_a_trouble() -> None:
    with pytest.raises(ValueError, match="at least one"):
        InputError()


def test_error_survives_the_way_to_another_process() -> None:
    error = InputError(Trouble("one", "a.yaml", 1), Trouble("two", "a.yaml", 2))
    again = pickle.loads(pickle.dumps(error))
    assert again.troubles == error.troubles
    assert str(again) == "a.yaml:1: one\na.yaml:2: two"
