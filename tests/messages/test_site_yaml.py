"""What is said of a file that is not well-formed YAML, whichever parser PyYAML brings."""

from __future__ import annotations

import textwrap

import pytest
import yaml

from optimizer.site import load_site
from tests.messages.refusals import assert_refused, changed
from tests.messages.sites import SITE

LAYOUT = (
    "the lines do not line up, or text follows a value that was complete",
    "indent the fields of one block alike, with spaces; quote a value that holds quotes, brackets "
    "or ': '",
)
TAB = (
    "a tab stands where only spaces may indent",
    "replace the tabs at the start of the lines by spaces",
)
COLON = (
    "a colon stands where no field name can",
    "indent the fields of one block alike, write 'name: value' with a blank after the colon, and "
    "quote a value that holds ': '",
)
NO_COLON = ("this line is no 'name: value'", "write 'name: value' with a blank after the colon")

# title: (lines changed, line blamed, (what, hint))
CASES = {
    "tab before the first field of a block": ({4: "\tcurrency: EUR"}, 4, TAB),
    "tab before a later field of a block": ({5: "\ttax: 21 %"}, 5, TAB),
    "tab before an entry of a list": ({8: "\t- id: gate"}, 8, TAB),
    "tab in a block of text": ({2: "name: Depot\nnote: |\n\ttext"}, 4, TAB),
    "quote that is not closed": (
        {37: "  forbid: ['old-dome]"},
        37,
        (
            "a quote is opened here and never closed",
            "close it, or double a quote that is meant as a character",
        ),
    ),
    "quote that is closed by the next quote": ({2: 'name: "Depot\nnote: "x"'}, 3, LAYOUT),
    "quote within quotes": ({2: "name: 'Tom's'"}, 2, LAYOUT),
    "bracket that is not closed": (
        {36: "  families: [network"},
        36,
        (
            "a bracket is opened here and not closed",
            "close it with ], and part the entries by commas",
        ),
    ),
    "brace that is not closed": (
        {3: "money: {currency: EUR", 4: "", 5: "", 6: ""},
        3,
        ("a brace is opened here and not closed", "close it with }, and part the fields by commas"),
    ),
    "bracket too many": ({36: "  families: [network]]"}, 36, LAYOUT),
    "field that is indented too far": ({5: "    tax: 21 %"}, 5, COLON),
    "field that is indented too little": ({5: " tax: 21 %"}, 5, LAYOUT),
    "two colons": ({2: "name: Depot: South"}, 2, COLON),
    "field without its colon": ({5: "  tax 21 %"}, 5, NO_COLON),
    "last field without its colon": ({37: "  forbid"}, 37, NO_COLON),
    "list behind the field name": (
        {7: "zones: - id: gate", 8: ""},
        7,
        (
            "a list cannot start here",
            "start each entry with '- ' on a line of its own below the field name",
        ),
    ),
    "field among the entries of a list": ({34: "  quantity: 2"}, 34, LAYOUT),
    "backslash in double quotes": (
        {2: 'name: "C:\\depot"'},
        2,
        (
            "a backslash in double quotes starts no known escape",
            "write the value in single quotes, where a backslash is only a backslash",
        ),
    ),
    "star": (
        {2: "name: *"},
        2,
        ("a value cannot start with this sign", "quote a value that starts with * or &"),
    ),
    "at sign": (
        {2: "name: @depot"},
        2,
        ('a value cannot start with "@"', "write the value in quotes"),
    ),
    "percent sign": (
        {5: "  tax: %21"},
        5,
        ('a value cannot start with "%"', "write the value in quotes"),
    ),
    "tag of nothing": (
        {2: "name: !a!b c"},
        2,
        ("tags are not used here", "quote a value that starts with an exclamation mark"),
    ),
}


@pytest.mark.parametrize("title", CASES)
def test_malformed(title: str) -> None:
    _check(title)


@pytest.mark.parametrize("title", CASES)
def test_malformed_without_libyaml(title: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delattr(yaml, "CSafeLoader")
    _check(title)


def _check(title: str) -> None:
    lines, line, (what, hint) = CASES[title]
    expected = f"""
        site.yaml:{line}: the site is not well-formed YAML: {what}
          accepted: one YAML document
          hint:     {hint}
        """
    assert_refused(load_site, "site.yaml", changed(SITE, lines), textwrap.dedent(expected))


SURROGATE = {2: 'name: "\\ud800"'}


def test_half_of_a_surrogate() -> None:
    assert_refused(
        load_site,
        "site.yaml",
        changed(SITE, SURROGATE),
        """
        site.yaml:2: the site is not well-formed YAML: this escape is not a character
          accepted: one YAML document
          hint:     write the character itself
        """,
    )


def test_half_of_a_surrogate_without_libyaml(monkeypatch: pytest.MonkeyPatch) -> None:
    # This parser lets it pass, and the check of every text stops it.
    monkeypatch.delattr(yaml, "CSafeLoader")
    assert_refused(
        load_site,
        "site.yaml",
        changed(SITE, SURROGATE),
        """
        site.yaml:2: this text holds the control character U+D800
          field:    name
          value:    \\ud800
          accepted: characters that print
          hint:     remove it
        """,
    )
