"""What is read from a file, and the line that each field is said to stand on."""

from __future__ import annotations

import hashlib
from pathlib import Path

import pytest
import yaml
from hypothesis import given
from hypothesis import strategies as st

from optimizer.errors import InputError
from optimizer.reading.source import MOST_DEPTH, Source, dotted, read_source

TEXT = """\
# a comment
name: Depot
block:
  inner: 1
  list:
    - first
    -
      key: value
    - {a: x, b: y}
  folded: >
    several
    lines
last: end
"""
# Counted by hand: the key for a value, the entry for an entry.
LINES = {
    (): 2,
    ("name",): 2,
    ("block",): 3,
    ("block", "inner"): 4,
    ("block", "list"): 5,
    ("block", "list", 0): 6,
    ("block", "list", 1): 8,
    ("block", "list", 1, "key"): 8,
    ("block", "list", 2): 9,
    ("block", "list", 2, "a"): 9,
    ("block", "list", 2, "b"): 9,
    ("block", "folded"): 10,
    ("last",): 13,
}
DATA = {
    "name": "Depot",
    "block": {
        "inner": "1",
        "list": ["first", {"key": "value"}, {"a": "x", "b": "y"}],
        "folded": "several lines\n",
    },
    "last": "end",
}


def _read(folder: Path, content: str | bytes) -> Source:
    path = folder / "file.yaml"
    path.write_bytes(content if isinstance(content, bytes) else content.encode())
    return read_source(path, "file")


@pytest.mark.parametrize("parser", ["libyaml", "python"])
@pytest.mark.parametrize("end", ["\n", "\r\n", "\r"])
@pytest.mark.parametrize("mark", ["", "\ufeff"])
def test_data_and_lines(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, parser: str, end: str, mark: str
) -> None:
    if parser == "python":
        monkeypatch.delattr(yaml, "CSafeLoader")
    source = _read(tmp_path, mark + TEXT.replace("\n", end))
    assert source.data == DATA
    assert source.lines == LINES
    assert source.slips == ()


def test_line_of_what_is_not_there_is_that_of_the_nearest_around_it(tmp_path: Path) -> None:
    source = _read(tmp_path, TEXT)
    assert source.line_of(("block", "list", 1, "missing", "deeper")) == 8
    assert source.line_of(("missing",)) == 2
    assert Source("made", {}, {}, "").line_of(("any",)) is None


def test_digest_is_that_of_the_bytes(tmp_path: Path) -> None:
    raw = b"\xef\xbb\xbfname: Depot\r\n"
    assert _read(tmp_path, raw).sha256 == hashlib.sha256(raw).hexdigest()


@pytest.mark.parametrize(
    "text", ["012", "no", "1e5", "12.50", "2024-01-01", "0x10", "1_000", "12:30:45", "true", "+1"]
)
def test_scalars_stay_as_they_are_written(tmp_path: Path, text: str) -> None:
    assert _read(tmp_path, f"a: {text}\n").data == {"a": text}
    assert _read(tmp_path, f"{text}: a\n").data == {text: "a"}


@pytest.mark.parametrize("text", ["", "~", "null", "Null", "NULL"])
def test_nothing(tmp_path: Path, text: str) -> None:
    assert _read(tmp_path, f"a: {text}\n").data == {"a": None}
    assert _read(tmp_path, f"a: '{text}'\n").data == {"a": text}


def test_json(tmp_path: Path) -> None:
    source = _read(tmp_path, '{\n\t"name": "Depot",\n\t"list": [1,\n\t\t{"a": null}]\n}\n')
    assert source.data == {"name": "Depot", "list": ["1", {"a": None}]}
    assert source.lines[("list", 1, "a")] == 4


def test_one_document_with_its_marks(tmp_path: Path) -> None:
    assert _read(tmp_path, "%YAML 1.1\n---\na: 1\n...\n").data == {"a": "1"}


def test_aliases_and_merge_keys(tmp_path: Path) -> None:
    source = _read(
        tmp_path,
        """\
base: &base
  run: 3 m
  night: lit
other: &other {night: dark, place: outdoors}
copy: *base
zones:
  - <<: *base
    run: 4 m
  - <<: [*base, *other]
  - {run: 5 m, <<: {mains: "true"}}
""",
    )
    base = {"run": "3 m", "night": "lit"}
    assert source.data == {
        "base": base,
        "other": {"night": "dark", "place": "outdoors"},
        "copy": base,
        # Its own fields come first, then the earlier of the merged mappings.
        "zones": [
            {"run": "4 m", "night": "lit"},
            {"run": "3 m", "night": "lit", "place": "outdoors"},
            {"run": "5 m", "mains": "true"},
        ],
    }
    assert source.slips == ()
    # The alias stands in line 5, what it repeats is written in line 2.
    assert source.line_of(("copy",)) == 5
    assert source.line_of(("copy", "run")) == 2
    assert source.line_of(("zones", 0, "run")) == 8
    assert source.line_of(("zones", 0, "night")) == 3
    assert source.line_of(("zones", 1, "place")) == 4
    assert source.line_of(("zones", 2, "mains")) == 10


def test_quoted_merge_sign_is_a_plain_name(tmp_path: Path) -> None:
    assert _read(tmp_path, "'<<': {a: 1}\n").data == {"<<": {"a": "1"}}


def test_deepest_nesting(tmp_path: Path) -> None:
    # The document is level 0, so a scalar in n brackets below a field stands at level n + 1.
    brackets = MOST_DEPTH - 1
    text = f"a: {'[' * brackets}x{']' * brackets}\n"
    inner = _read(tmp_path, text).data["a"]
    for _ in range(brackets):
        (inner,) = inner
    assert inner == "x"
    with pytest.raises(InputError, match="nested more than 40 levels"):
        _read(tmp_path, text.replace("x", "[x]"))


def test_alias_counts_its_depth(tmp_path: Path) -> None:
    half = MOST_DEPTH // 2
    deep = f"a: &a {'[' * half}x{']' * half}\nb: {'[' * half}*a{']' * half}\n"
    with pytest.raises(InputError, match="nested more than 40 levels"):
        _read(tmp_path, deep)


def test_slips_are_kept_and_end_at_a_thousand(tmp_path: Path) -> None:
    assert len(_read(tmp_path, "a: 1\n" * 1000).slips) == 999
    with pytest.raises(InputError) as caught:
        _read(tmp_path, "a: 1\n" * 5000)
    assert len(caught.value.troubles) == 1000


def test_first_value_of_a_field_given_twice_is_kept(tmp_path: Path) -> None:
    source = _read(tmp_path, "a: 1\na: 2\n")
    assert source.data == {"a": "1"}
    assert [t.line for t in source.slips] == [2]


def test_unreadable_name_is_said_as_it_is(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="there is no such file"):
        read_source(str(tmp_path / "none.yaml"), "site")


def test_dotted() -> None:
    assert dotted(()) == ""
    assert dotted(("zones", 3, "existing", 0, "fit")) == "zones[3].existing[0].fit"


words = st.text(st.characters(codec="utf-8"), max_size=8)
trees = st.recursive(
    words, lambda inner: st.lists(inner, max_size=3) | st.dictionaries(words, inner, max_size=3)
)


@given(st.dictionaries(words, trees, min_size=1, max_size=4))
def test_what_a_yaml_writer_writes_is_read_back_or_refused(
    tmp_path_factory: pytest.TempPathFactory, tree: dict[str, object]
) -> None:
    folder = tmp_path_factory.mktemp("tree")
    text = yaml.safe_dump(tree, allow_unicode=False, default_style='"')
    said: set[str] = set()
    try:
        source = _read(folder, text)
    except InputError as error:
        said = {trouble.what for trouble in error.troubles}
    else:
        said = {trouble.what for trouble in source.slips}
        assert said or source.data == tree
    # Nothing but characters that do not print keeps such a document from being read.
    assert all(what.startswith("this text holds the control character") for what in said)


@given(st.binary(max_size=60))
def test_any_bytes_are_read_or_refused(
    tmp_path_factory: pytest.TempPathFactory, raw: bytes
) -> None:
    try:
        data = _read(tmp_path_factory.mktemp("bytes"), raw).data
    except InputError as error:
        data = error.troubles
    assert data
