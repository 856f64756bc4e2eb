"""From plain text data to a validated model, with one clear error for each thing wrong."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import Any, TypeVar

from pydantic import BaseModel, ValidationError
from pydantic_core import ErrorDetails

from optimizer.errors import MOST_COLLECTED, InputError, Trouble, listed, quoted
from optimizer.reading.describing import Kind
from optimizer.reading.hints import closest, suggest
from optimizer.reading.source import FieldPath, Source, dotted
from optimizer.reading.wording import Spot, words

__all__ = ["suggest", "validate"]

Model = TypeVar("Model", bound=BaseModel)

_FILES = {
    "site": "a site",
    "book": "a price book",
    "scenarios": "a set of scenarios",
    "phases": "a set of phases",
}
_TAG_ERRORS = ("union_tag_invalid", "union_tag_not_found")


def validate(
    model: type[Model],
    source: Source,
    at: FieldPath = (),
    also: Callable[[Source], Iterable[Trouble]] | None = None,
) -> Model:
    """Check a source against a schema.

    Parameters
    ----------
    model : type
        The schema.
    source : Source
        What was read.
    at : path, optional
        Where in the source the model's data is.
    also : callable, optional
        Checks of the plain data that need more than one field. They are made whether the rest
        is right or not, so that everything wrong is told at once.

    Raises
    ------
    InputError
        With one trouble for each thing wrong, in the order of the file; with `MOST_COLLECTED` of
        them where the schema finds more.
    """
    data = source.data
    for step in at:
        data = data[step]
    _check_header(model, data, source, at)
    troubles = [*source.slips, *(also(source) if also else ())]
    result: Model | None = None
    try:
        result = model.model_validate(data)
    except ValidationError as error:
        details = [d for d in error.errors(include_url=False) if not _echo(d)][:MOST_COLLECTED]
        spots = [_locate(detail, Kind.of(model)) for detail in details]
        misspelt = _misspelt(details, spots)
        troubles += [
            _trouble(detail, spot, data, source, at)
            for detail, spot in zip(details, spots, strict=True)
            if detail["type"] != "missing" or spot.path not in misspelt
        ]
    if troubles or result is None:
        raise InputError(*sorted(troubles, key=lambda t: (t.line or 0, t.field)))
    return result


def _check_header(model: type[BaseModel], data: Any, source: Source, at: FieldPath) -> None:
    """Stop at once at a file of another kind: every other message about it would mislead."""
    known = Kind.of(model).field("leastkit").choices
    given = data.get("leastkit") if isinstance(data, dict) else None
    if not known or not isinstance(given, str) or given in known:
        return
    wanted = known[0].partition("/")[0]
    written, _, version = given.partition("/")
    if written == wanted and version.isdigit():
        what = f"version {quoted(version)} of this file format is not known here"
        hint = "a newer leastkit may read it"
    elif written in _FILES and version:
        what = f"this file is {_FILES[written]}, not {_FILES.get(wanted, wanted)}"
        hint = "check the order of the files in the command"
    else:
        what = "this does not name the file format"
        hint = suggest(given, known, f"write {known[0]}")
    path = (*at, "leastkit")
    line, field = source.line_of(path), dotted(path)
    raise InputError(Trouble(what, source.name, line, field, given, listed(known), hint))


def _echo(detail: ErrorDetails) -> bool:
    """Whether a list is called too short only because its entries were refused."""
    return detail["type"] == "too_short" and len(detail["input"]) >= detail["ctx"]["min_length"]


def _locate(detail: ErrorDetails, root: Kind) -> Spot:
    """Follow a location of pydantic, which also names the members of unions."""
    kind, around = root, Kind(None)
    path: FieldPath = ()
    for step in detail["loc"]:
        member = kind.tagged(step)
        if member is not None:
            kind = member
        elif step == "[key]":
            kind = around.key
        else:
            kind, around, path = kind.entry or kind.field(step), kind, (*path, step)
    if detail["type"] in _TAG_ERRORS:
        return Spot((*path, "kind"), Kind.among(kind.tags), kind, root)
    field = detail.get("ctx", {}).get("field")
    if field is not None:
        return Spot((*path, field), kind.field(field), kind, root)
    return Spot(path, kind, around, root)


def _misspelt(details: list[ErrorDetails], spots: list[Spot]) -> set[FieldPath]:
    """Paths of missing fields that stand there under a slightly wrong name."""
    meant = {
        (*spot.path[:-1], closest(spot.name, spot.known) or "")
        for detail, spot in zip(details, spots, strict=True)
        if detail["type"] == "extra_forbidden"
    }
    missing = {s.path for d, s in zip(details, spots, strict=True) if d["type"] == "missing"}
    return missing & meant


def _trouble(detail: ErrorDetails, spot: Spot, data: Any, source: Source, at: FieldPath) -> Trouble:
    kind, context = detail["type"], detail.get("ctx", {})
    value: Any = detail["input"]
    if "field" in context or kind in _TAG_ERRORS:
        value = _value_at(data, spot.path)
    said = words(kind, detail["msg"], context, spot, value)
    path = (*at, *spot.path)
    # Nothing to show where the field is absent, or where a whole mapping is to blame.
    bare = kind in ("missing", "union_tag_not_found", "extra_forbidden") or (
        value is None if "field" in context else kind == "value_error" and isinstance(value, dict)
    )
    return Trouble(
        said.what,
        source.name,
        source.line_of(path),
        dotted(path),
        None if bare else _shown(value),
        said.accepted,
        said.hint,
    )


def _value_at(data: Any, path: FieldPath) -> Any:
    for step in path[:-1]:
        data = data[step]
    return data.get(path[-1]) if isinstance(data, dict) else None


def _shown(value: Any) -> str:
    if isinstance(value, list | dict):
        count = f"{len(value)} {'entry' if len(value) == 1 else 'entries'}"
        return f"a {'list' if isinstance(value, list) else 'mapping'} of {count}"
    return "nothing" if value is None else str(value)
