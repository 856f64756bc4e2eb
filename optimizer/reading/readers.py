"""How a field is read from text, described in messages, and written to JSON and its schema."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass, field
from decimal import Decimal
from typing import Any, NamedTuple

from pydantic import GetCoreSchemaHandler, GetJsonSchemaHandler
from pydantic.json_schema import JsonSchemaValue
from pydantic_core import CoreSchema, PydanticCustomError, core_schema

from optimizer import units
from optimizer.reading.hints import odd_character


def refuse(what: str, accepted: str, hint: str, field: str | None = None) -> PydanticCustomError:
    """An error that keeps what is accepted and the hint for the message.

    Parameters
    ----------
    what, accepted, hint : str
        As in :class:`optimizer.errors.Trouble`.
    field : str, optional
        For a check of a whole model: the field in it that is to blame.
    """
    context = {"what": what, "accepted": accepted, "hint": hint}
    if field is not None:
        context["field"] = field
    return PydanticCustomError("refused", "{what}", context)


@dataclass(frozen=True)
class FieldReader:
    """Pydantic metadata of a field that is written as text.

    Parameters
    ----------
    done : type
        Type of the value; one that is given already (a default, a copy) is taken as it is.
    read : callable
        From text to value; raises what :func:`refuse` makes.
    accepted, example : str
        For messages; `example` is one that `read` takes.
    schema : dict
        JSON Schema.
    write : callable
        From value to a text that `read` takes, for JSON.
    """

    done: type
    read: Callable[[str], Any]
    accepted: str
    example: str
    schema: JsonSchemaValue = field(repr=False, hash=False)
    write: Callable[[Any], str] = str

    def __call__(self, value: object) -> Any:
        if isinstance(value, str):
            return self.read(value)
        if isinstance(value, self.done) and not isinstance(value, bool):
            return value
        raise refuse("this is not text", self.accepted, f"write it as {self.example}")

    def __get_pydantic_core_schema__(self, _: Any, __: GetCoreSchemaHandler) -> CoreSchema:
        return core_schema.no_info_plain_validator_function(
            self,
            serialization=core_schema.plain_serializer_function_ser_schema(
                self.write, when_used="json", return_schema=core_schema.str_schema()
            ),
        )

    def __get_pydantic_json_schema__(
        self, _: CoreSchema, __: GetJsonSchemaHandler
    ) -> JsonSchemaValue:
        return dict(self.schema)


def quantity(dimension: str, least: str, most: str, whole: bool = False) -> FieldReader:
    """Reader of a quantity within a believable range; outside it is a slip of the pen.

    Parameters
    ----------
    dimension : str
        A key of `units.DIMENSIONS`.
    least, most : str
        The range, as quantities; both ends belong to it.
    whole : bool
        True if only whole numbers of the base unit have a meaning.
    """
    low, high = units.parse(least, dimension), units.parse(most, dimension)
    example = units.DIMENSIONS[dimension].example.split(", ")[0]

    def read(text: str) -> Decimal:
        try:
            number = units.parse(text, dimension)
        except units.UnitError as error:
            raise refuse(error.what, error.accepted, error.hint) from None
        if not low <= number <= high:
            raise refuse(
                f"this {dimension} is outside the range that is believable here",
                f"{least} to {most}",
                "check the number and its unit",
            )
        if whole and number != number.to_integral_value():
            raise refuse(
                f"this {dimension} is not a whole number",
                f"{least} to {most}",
                "write the nominal one",
            )
        return number

    return FieldReader(
        Decimal,
        read,
        units.accepts(dimension),
        example,
        {
            "type": "string",
            "pattern": rf"^\s*{_pattern(dimension)}\s*$",
            "description": f"a {dimension}, from {least} to {most}",
            "examples": units.DIMENSIONS[dimension].example.split(", "),
        },
        lambda value: units.written(value, dimension),
    )


def _pattern(dimension: str, optional: bool = False) -> str:
    names = "|".join(re.escape(u) for u in units.DIMENSIONS[dimension].factors)
    return rf"[+-]?[0-9]+(\.[0-9]+)?\s*({names}){'?' if optional else ''}"


class SpanOf(NamedTuple):
    """A closed range of one quantity, in its base unit."""

    low: Decimal
    high: Decimal


_BARE = re.compile(r"[+-]?[0-9]+(\.[0-9]+)?")
_UNIT = re.compile(r"[+-]?[0-9]+(?:\.[0-9]+)?\s*(.*)", re.DOTALL)


def span(dimension: str, least: str, most: str, example: str) -> FieldReader:
    """Reader of a range such as "10.8 to 13.2 V" or a single value such as "4 mm".

    The first value may leave its unit to the second, or have one of its own ("-4 F to 50 C").
    """
    one = quantity(dimension, least, most)
    unit = next(iter(units.DIMENSIONS[dimension].factors))
    accepted = f"LOW to HIGH {unit}, or a single {dimension}; {least} to {most}"

    def read(text: str) -> SpanOf:
        ends = [end.strip() for end in re.split(r"\s+to\s+", text.strip())]
        if len(ends) > 2 or not all(ends):
            raise refuse("this is not a range", accepted, f"write it as {example}")
        if len(ends) == 1 and re.search(r"[0-9]\D*(-|–|—|\.\.|~)\D*[0-9]", text):
            raise refuse("this is not a range", accepted, f'write "to" between, as in {example}')
        low, high = ends[0], ends[-1]
        if _BARE.fullmatch(low) and (shared := _UNIT.fullmatch(high)):
            low = f"{low} {shared.group(1)}".strip()
        span_read = SpanOf(one.read(low), one.read(high))
        if span_read.low > span_read.high:
            raise refuse(
                "the range runs backwards",
                accepted,
                f'did you mean "{ends[1]} to {ends[0]}"?'
                if not _BARE.fullmatch(ends[0])
                else "put the lower value first",
            )
        return span_read

    def write(value: SpanOf) -> str:
        return " to ".join(units.written(end, dimension) for end in value)

    both = rf"^\s*({_pattern(dimension, optional=True)}\s+to\s+)?{_pattern(dimension)}\s*$"
    schema = {
        "type": "string",
        "pattern": both,
        "description": f"a {dimension} or a range, from {least} to {most}",
        "examples": [example],
    }
    return FieldReader(SpanOf, read, accepted, example, schema, write)


def code(pattern: str, what: str, example: str, hints: dict[str, str]) -> FieldReader:
    """Reader of a standard's code, in capitals or not.

    Parameters
    ----------
    pattern : str
        Of one code in capitals; several are joined by "/".
    what, example : str
        For messages.
    hints : dict of str to str
        Patterns of usual slips and what to say of each.
    """
    compiled = re.compile(f"{pattern}(/{pattern})*")

    def read(text: str) -> str:
        plain = text.strip().upper()
        if compiled.fullmatch(plain):
            return plain
        hint = next((h for p, h in hints.items() if re.fullmatch(p, plain)), f"write {example}")
        raise refuse(f"this is not {what}", f"{what}, such as {example}", hint)

    schema = {
        "type": "string",
        "pattern": f"^{pattern}(/{pattern})*$",
        "description": what,
        "examples": [example],
    }
    return FieldReader(str, read, f"{what}, such as {example}", example, schema)


def line(most: int) -> FieldReader:
    """Reader of one line of text."""
    accepted = f"one line of text, at most {most} characters"

    def read(text: str) -> str:
        plain = text.strip()
        if "\n" in plain:
            raise refuse("this text has more than one line", accepted, "write it as one line")
        return _bounded(plain, most, accepted)

    return FieldReader(str, read, accepted, "...", {"type": "string", "maxLength": most})


def prose(most: int) -> FieldReader:
    """Reader of text of any number of lines."""
    accepted = f"text of at most {most} characters"

    def read(text: str) -> str:
        return _bounded(text, most, accepted)

    return FieldReader(str, read, accepted, "...", {"type": "string", "maxLength": most})


def _bounded(text: str, most: int, accepted: str) -> str:
    if len(text) > most:
        raise refuse(f"this text has {len(text)} characters", accepted, "shorten it")
    return text


_IDENT = re.compile(r"[a-z0-9][a-z0-9_.-]{0,63}")


def ident_read(text: str) -> str:
    """Check an id; see `fields.Ident`."""
    if _IDENT.fullmatch(text):
        return text
    mended = re.sub(r"\s+", "-", text.strip().lower()) if len(text) <= 64 else ""
    if _IDENT.fullmatch(mended):
        hint = f'did you mean "{mended}"?'
    elif not text.isascii():
        hint = f"type it anew in plain letters {odd_character(text)}"
    else:
        hint = "ids are used in findings and in the answer: keep them short, such as back-door"
    raise refuse(
        "this is not a usable id",
        "1 to 64 small letters a to z, digits, '.', '-' and '_', starting with a letter or digit",
        hint,
    )
