"""What is said of files that cannot be read as a site at all."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from optimizer.reading.source import MOST_NODES
from optimizer.site import load_site
from tests.messages.refusals import assert_refused, changed, refusal
from tests.messages.sites import SITE

# The first bytes of every PNG file (PNG specification, 5.2): 0x89 is not UTF-8.
PNG = bytes([0x89, 0x50, 0x4E, 0x47, 0x0D, 0x0A, 0x1A, 0x0A])

FILES: dict[str, tuple[str | bytes, str]] = {
    "empty": (
        "",
        """
        site.yaml:1: the site is empty
          accepted: a YAML mapping: one 'name: value' line for each field
          hint:     `leastkit start` writes a commented example
        """,
    ),
    "comments only": (
        "# to do\n\n",
        """
        site.yaml:1: the site is empty
          accepted: a YAML mapping: one 'name: value' line for each field
          hint:     `leastkit start` writes a commented example
        """,
    ),
    "empty mapping": (
        "# JSON\n{}\n",
        """
        site.yaml:2: the site is empty
          accepted: a YAML mapping: one 'name: value' line for each field
          hint:     `leastkit start` writes a commented example
        """,
    ),
    "list": (
        "- leastkit: site/1\n- name: Depot\n",
        """
        site.yaml:1: the site is not a mapping
          accepted: a YAML mapping: one 'name: value' line for each field
          hint:     `leastkit start` writes a commented example
        """,
    ),
    "plain text": (
        "Dear team, please find the site below.\n",
        """
        site.yaml:1: the site is not a mapping
          accepted: a YAML mapping: one 'name: value' line for each field
          hint:     `leastkit start` writes a commented example
        """,
    ),
    "picture": (
        PNG,
        """
        site.yaml:1: the site is not text in UTF-8: byte 1 does not fit
          accepted: a YAML file in UTF-8
          hint:     spreadsheets and pictures cannot be read here; save text as UTF-8
        """,
    ),
    "old encoding": (
        SITE.replace("Depot", "D\xe9p\xf4t").encode("latin-1"),
        # 17 bytes of line 1 and its end, "name: D" is 7 more, so byte 18 + 7 = 25 is the first bad.
        """
        site.yaml:2: the site is not text in UTF-8: byte 25 does not fit
          accepted: a YAML file in UTF-8
          hint:     spreadsheets and pictures cannot be read here; save text as UTF-8
        """,
    ),
    "UTF-16": (
        SITE.encode("utf-16"),
        """
        site.yaml: the site is written in UTF-16
          accepted: a YAML file in UTF-8
          hint:     save it again as UTF-8
        """,
    ),
    "UTF-16 without its mark": (
        SITE.encode("utf-16-le"),
        """
        site.yaml:1: the site holds the control character U+0000
          accepted: a YAML file in UTF-8
          hint:     remove it; if the file is full of them it is not text
        """,
    ),
    "NUL": (
        SITE.replace("Depot", "De\0pot"),
        """
        site.yaml:2: the site holds the control character U+0000
          accepted: a YAML file in UTF-8
          hint:     remove it; if the file is full of them it is not text
        """,
    ),
    "terminal sequence": (
        changed(SITE, {3: "note: \x1b]0;owned\x07\nmoney:"}),
        """
        site.yaml:3: the site holds the control character U+001B
          accepted: a YAML file in UTF-8
          hint:     remove it; if the file is full of them it is not text
        """,
    ),
    "override of the writing direction": (
        changed(SITE, {3: "note: \u202eeton\nmoney:"}),
        """
        site.yaml:3: the site holds the control character U+202E
          accepted: a YAML file in UTF-8
          hint:     remove it; if the file is full of them it is not text
        """,
    ),
    "terminal sequence as an escape": (
        changed(SITE, {2: 'name: "\\x1b[31mDepot"'}),
        """
        site.yaml:2: this text holds the control character U+001B
          field:    name
          value:    \\x1b[31mDepot
          accepted: characters that print
          hint:     remove it
        """,
    ),
    "terminal sequence in a field name": (
        changed(SITE, {2: 'name: Depot\n"\\e[2J": 1'}),
        """
        site.yaml:3: this text holds the control character U+001B
          field:    \\x1b[2J
          value:    \\x1b[2J
          accepted: characters that print
          hint:     remove it
        """,
    ),
    "more than 5 MB": (
        b"# " + b"x" * 10_000_000,
        """
        site.yaml: the site is larger than 5 MB
          accepted: a file of at most 5 MB
          hint:     this is probably not the file you meant
        """,
    ),
    "100 levels of brackets": (
        f"leastkit: site/1\nname: {'[' * 100}{']' * 100}\n",
        """
        site.yaml:2: the file is nested more than 40 levels deep
          accepted: at most 40 levels
          hint:     look for brackets that are not closed
        """,
    ),
    "1000 levels of brackets": (
        f"leastkit: site/1\nname: {'[' * 1000}{']' * 1000}\n",
        """
        site.yaml:2: the site is not well-formed YAML: it is nested too deep
          accepted: one YAML document
          hint:     look for brackets that are not closed
        """,
    ),
    "a million brackets": (
        f"leastkit: site/1\nname: {'[' * 1_000_000}\n",
        """
        site.yaml:2: the site is not well-formed YAML: it is nested too deep
          accepted: one YAML document
          hint:     look for brackets that are not closed
        """,
    ),
    "1000 levels of indentation": (
        "".join(f"{' ' * depth}a:\n" for depth in range(1000)),
        # Line 1 is at level 0 and holds a mapping of level 1, so line 41 would hold level 41.
        """
        site.yaml:41: the file is nested more than 40 levels deep
          accepted: at most 40 levels
          hint:     look for brackets that are not closed
        """,
    ),
    "two documents": (
        "leastkit: site/1\n---\nleastkit: site/1\n",
        """
        site.yaml:2: the file holds more than one document
          accepted: one YAML document
          hint:     keep one of them in a file; a line '---' starts another
        """,
    ),
    "alias of nothing": (
        "leastkit: site/1\nname: *depot\n",
        """
        site.yaml:2: there is no anchor "&depot" above this line
          field:    name
          accepted: an alias of an anchor that stands before it
          hint:     quote a value that starts with a star
        """,
    ),
    "alias of itself": (
        "leastkit: site/1\nzones: &all\n  - *all\n",
        """
        site.yaml:3: the alias "*all" stands inside what it stands for
          field:    zones[0]
          accepted: an alias of an anchor that is complete
          hint:     write the part out
        """,
    ),
}


@pytest.mark.parametrize("title", FILES)
def test_file(title: str) -> None:
    content, expected = FILES[title]
    assert_refused(load_site, "site.yaml", content, expected)


def test_alias_bomb() -> None:
    # Each level names the one before ten times: seven levels stand for ten million fields.
    rows = ["a0: &a0 [x, x, x, x, x, x, x, x, x, x]"]
    rows += [f"a{i}: &a{i} [{', '.join([f'*a{i - 1}'] * 10)}]" for i in range(1, 8)]
    # Line 5 stands for 111,111 fields and, with its ten aliases and the lines above it, for less
    # than 130,000; line 6 for 1,111,111, so that it passes the limit.
    assert 130_000 < MOST_NODES < 1_111_111
    assert_refused(
        load_site,
        "site.yaml",
        "\n".join(rows),
        """
        site.yaml:6: the file unfolds to more than 400000 fields
          accepted: at most 400000 fields
          hint:     aliases of aliases multiply: write repeated parts out
        """,
    )


def _unreadable(path: str, why: str, hint: str) -> None:
    expected = (
        f"{path}: the site cannot be read: {why}\n  accepted: a readable file\n  hint:     {hint}"
    )
    assert str(refusal(load_site, Path(path))) == expected


def test_missing_file() -> None:
    _unreadable("none.yaml", "there is no such file", "check the path, and the folder you are in")


def test_folder() -> None:
    Path("folder").mkdir()
    _unreadable("folder", "this is a folder", "name a file in it")


def test_path_inside_a_file() -> None:
    Path("site.yaml").write_text(SITE)
    why = "a part of the path is a file, not a folder"
    _unreadable("site.yaml/inner", why, "check the path")


def test_link_that_leads_back() -> None:
    os.symlink("two.yaml", "one.yaml")
    os.symlink("one.yaml", "two.yaml")
    why = "the path is a link that leads back to itself"
    _unreadable("one.yaml", why, "name the file itself")


def test_path_that_is_too_long() -> None:
    name = "x" * 280
    _unreadable(name, "the path is too long", "check the path")


def test_path_with_a_nul() -> None:
    error = refusal(load_site, Path("si\0te.yaml"))
    assert "cannot be read" in str(error)
    assert "\\x00" in str(error)
