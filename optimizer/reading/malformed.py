"""What is wrong with a file that is not well-formed YAML, in words of the trade, not of parsers."""

from __future__ import annotations

import re
from typing import Any, NamedTuple

from optimizer.errors import Trouble, clean, quoted

_ACCEPTED = "one YAML document"
_LAYOUT = (
    "the lines do not line up, or text follows a value that was complete",
    "indent the fields of one block alike, with spaces; quote a value that holds quotes, "
    "brackets or ': '",
)


class _Say(NamedTuple):
    """A message for a complaint of the parser; `opened` blames the line where the part began."""

    complaint: str
    what: str
    hint: str
    opened: bool = False


# Both parsers that PyYAML may bring (libyaml and its own) are matched: their words differ.
_SAYINGS = (
    _Say(
        r"tab character|character '\\t' that cannot start",
        "a tab stands where only spaces may indent",
        "replace the tabs at the start of the lines by spaces",
    ),
    _Say(
        r"found unexpected (end of stream|document)",
        "a quote is opened here and never closed",
        "close it, or double a quote that is meant as a character",
        opened=True,
    ),
    _Say(
        r"expected ',' or '\]'",
        "a bracket is opened here and not closed",
        "close it with ], and part the entries by commas",
        opened=True,
    ),
    _Say(
        r"expected ',' or '\}'",
        "a brace is opened here and not closed",
        "close it with }, and part the fields by commas",
        opened=True,
    ),
    _Say(
        r"nesting depth",
        "it is nested too deep",
        "look for brackets that are not closed",
    ),
    _Say(
        r"mapping values are not allowed",
        "a colon stands where no field name can",
        "indent the fields of one block alike, write 'name: value' with a blank after the colon, "
        "and quote a value that holds ': '",
    ),
    _Say(
        r"could not find expected ':'",
        "this line is no 'name: value'",
        "write 'name: value' with a blank after the colon",
        opened=True,
    ),
    _Say(
        r"sequence entries are not allowed",
        "a list cannot start here",
        "start each entry with '- ' on a line of its own below the field name",
    ),
    _Say(
        r"unknown escape",
        "a backslash in double quotes starts no known escape",
        "write the value in single quotes, where a backslash is only a backslash",
    ),
    _Say(
        r"invalid Unicode character escape",
        "this escape is not a character",
        "write the character itself",
    ),
    _Say(
        r"alphabetic or numeric character",
        "a value cannot start with this sign",
        "quote a value that starts with * or &",
    ),
    _Say(
        r"tag handle|tag URI|tag directive",
        "tags are not used here",
        "quote a value that starts with an exclamation mark",
    ),
    _Say(
        r"expected key|expected '-' indicator|expected <block end>|document start",
        *_LAYOUT,
    ),
)


def malformed(error: Any, text: str, name: str, what: str) -> Trouble:
    """Say what is wrong with the file, and in which line.

    Parameters
    ----------
    error : yaml.YAMLError
        What the parser raised.
    text : str
        The file.
    name, what : str
        Its name, and what it is read as.
    """
    problem = str(getattr(error, "problem", None) or getattr(error, "reason", None) or error)
    mark = getattr(error, "problem_mark", None)
    if re.search("cannot start any token", problem) and mark is not None:
        return _bad_start(text, mark, name, what)
    for say in _SAYINGS:
        if re.search(say.complaint, problem):
            start = getattr(error, "context_mark", None) if say.opened else None
            return _trouble(say.what, name, what, start or mark, say.hint)
    hint = "look at the indentation, colons and quotes at this line and the one before"
    return _trouble(clean(problem), name, what, mark, hint)


def _bad_start(text: str, mark: Any, name: str, what: str) -> Trouble:
    rows = re.split(r"\r\n|\r|\n", text)
    sign = rows[mark.line][mark.column : mark.column + 1]
    if sign == "\t":
        say = _SAYINGS[0]
        return _trouble(say.what, name, what, mark, say.hint)
    return _trouble(
        f"a value cannot start with {quoted(sign)}", name, what, mark, "write the value in quotes"
    )


def _trouble(said: str, name: str, what: str, mark: Any, hint: str) -> Trouble:
    return Trouble(
        f"the {what} is not well-formed YAML: {said}",
        file=name,
        line=None if mark is None else mark.line + 1,
        accepted=_ACCEPTED,
        hint=hint,
    )
