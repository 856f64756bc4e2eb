"""What to say of each kind of error that validation finds."""

from __future__ import annotations

from typing import Any, NamedTuple

from optimizer.errors import listed, quoted
from optimizer.reading.describing import Kind, accepted, example, homes
from optimizer.reading.hints import suggest
from optimizer.reading.source import FieldPath

_SHAPES = {
    "list_type",
    "tuple_type",
    "dict_type",
    "model_type",
    "model_attributes_type",
    "string_type",
    "int_type",
    "bool_type",
    "decimal_type",
}


class Spot(NamedTuple):
    """Where an error is.

    Attributes
    ----------
    path : path
        In the data.
    kind : Kind
        What should be there.
    around : Kind
        The schema or container around it.
    root : Kind
        The schema of the whole.
    """

    path: FieldPath
    kind: Kind
    around: Kind
    root: Kind

    @property
    def name(self) -> str:
        """Name of the field."""
        return str(self.path[-1]) if self.path else ""

    @property
    def known(self) -> list[str]:
        """Names of the fields that may stand here."""
        return [] if self.around.model is None else list(self.around.model.model_fields)


class Words(NamedTuple):
    """Parts of a message; see :class:`optimizer.errors.Trouble`."""

    what: str
    accepted: str
    hint: str


def words(kind: str, message: str, context: dict[str, Any], spot: Spot, value: Any) -> Words:
    """Say what is wrong, what is accepted, and what to do.

    Parameters
    ----------
    kind, message, context
        Type, text and context of the error of pydantic.
    spot : Spot
        Where it is.
    value : Any
        What was found there.
    """
    if kind == "extra_forbidden":
        return _unknown(spot)
    if kind == "missing":
        return Words(f'"{spot.name}" is missing', accepted(spot.kind), _add(spot))
    if kind == "union_tag_not_found":
        hint = f"{_add(spot)} (or another kind)"
        return Words('"kind" is missing', accepted(spot.kind), hint)
    said_of_lists = spot.kind.is_list or "field" in context
    if kind == "refused" and (isinstance(value, str) or said_of_lists):
        return Words(str(context["what"]), str(context["accepted"]), str(context["hint"]))
    if value is None and kind != "value_error":
        return Words("there is no value here", accepted(spot.kind), _fill(spot))
    if kind in ("literal_error", "union_tag_invalid") and isinstance(value, str):
        choices = spot.kind.choices
        hint = suggest(value, choices, "choose one of these")
        return Words("this is not one of the choices", listed(choices), hint)
    if kind in _SHAPES or kind in ("refused", "literal_error", "union_tag_invalid"):
        return _wrong_shape(spot, value)
    return _limit(kind, message, context, spot)


def _unknown(spot: Spot) -> Words:
    what = f"{quoted(spot.name)} is not a field here"
    fields = listed(spot.known, 40)
    others = [] if spot.name in spot.known else list(homes(spot.root, spot.name))
    above = [str(step) for step in spot.path[:-1] if not isinstance(step, int)]
    if others == [f"an entry of {'.'.join(above)}"]:
        return Words(what, fields, "it does not go with the other fields of this entry")
    if others:
        where = listed(others, 2)
        return Words(what, fields, f"it is a field of {where}: check the indentation")
    return Words(what, fields, suggest(spot.name, spot.known))


def _wrong_shape(spot: Spot, value: Any) -> Words:
    """A list, a mapping or a single value where another of these is expected."""
    takes = accepted(spot.kind)
    found = "a single value"
    if isinstance(value, list | dict):
        found = "a list" if isinstance(value, list) else "a mapping"
    if spot.kind.is_list:
        hint = "start each entry with '- '"
        if isinstance(value, str) and len(value) <= 40:
            hint = f"write [{value}]"
        return Words(f"{found} stands where a list is expected", takes, hint)
    if spot.kind.model is not None or spot.kind.entry is not None or spot.kind.tags:
        hint = "write the fields below it, one 'name: value' a line, indented"
        return Words(f"{found} stands where a mapping is expected", takes, hint)
    inside = value[0] if isinstance(value, list) and len(value) == 1 else None
    hint = "write one value"
    if isinstance(inside, str) and len(inside) <= 40:
        hint = f"write {inside} without the brackets or dash"
    return Words(f"{found} stands where one value is expected", takes, hint)


def _limit(kind: str, message: str, context: dict[str, Any], spot: Spot) -> Words:
    takes = accepted(spot.kind)
    if kind == "too_short":
        count, least = context["actual_length"], context["min_length"]
        what = f"there are {count} entries" if count > 1 else "there is one entry"
        words_of = f"at least {least} entr{'y' if least == 1 else 'ies'}"
        return Words("the list is empty" if count == 0 else what, words_of, "add an entry")
    if kind == "too_long":
        what = f"there are {context['actual_length']} entries"
        return Words(what, f"at most {context['max_length']} entries", "split the file")
    if kind == "string_too_short":
        return Words("this text is empty", "text that is not empty", "write at least a word")
    if kind.startswith("int_"):
        return Words("this is not a whole number", takes, "write digits only, such as 4")
    if kind.startswith("bool_"):
        return Words("this is neither true nor false", takes, "write true or false")
    if kind.startswith(("decimal_", "finite_number")):
        hint = "write digits, with a decimal point if needed"
        return Words("this is not a number", takes, hint)
    if kind in ("greater_than_equal", "greater_than"):
        return Words("this number is too small", takes, "check the number")
    if kind in ("less_than_equal", "less_than"):
        return Words("this number is too large", takes, "check the number")
    said = message.removeprefix("Value error, ").removeprefix("Input should be ").rstrip(".")
    return Words(said, takes, "see `leastkit schema` for what each field takes")


def _add(spot: Spot) -> str:
    one = example(spot.kind)
    return f"add a line '{spot.name}: {one}'" if one else f"add a block '{spot.name}:'"


def _fill(spot: Spot) -> str:
    one = example(spot.kind)
    if one is None or not spot.path or isinstance(spot.path[-1], int):
        return "write a value, or remove the line"
    return f"write a value, such as '{spot.name}: {one}', or remove the line"
