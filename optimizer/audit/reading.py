"""Reading what is to be audited: an answer, a design, or a bill typed by hand."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from pydantic import Field

from optimizer.design import Design
from optimizer.errors import InputError, Trouble
from optimizer.reading import Source, read_source, validate
from optimizer.reading.fields import Base, Ident

ANSWER = "leastkit/answer/1"
WHAT = "design"
_ACCEPTED = f'an answer ("schema": "{ANSWER}"), a design, or a list "bill" of item and quantity'


class BillEntry(Base):
    """One line of a bill typed by hand."""

    item: Ident
    quantity: int = Field(ge=1, le=1_000_000, description="packs where sold in packs")


class HandBill(Base):
    """A bill alone."""

    bill: tuple[BillEntry, ...] = Field(min_length=1)


def read_design(path: str | Path) -> Design | list[tuple[str, int]]:
    """Read what is to be audited.

    Parameters
    ----------
    path : path
        A JSON or YAML file: an answer as ``leastkit solve --json`` writes it, a design, or a
        mapping with ``bill`` alone, its entries of ``item`` and ``quantity`` (bought; packs
        where sold in packs).

    Returns
    -------
    Design, or list of (str, int)
        The design; or the lines of the bill in the order of the file, which may name an item
        more than once.

    Raises
    ------
    InputError
        If the file cannot be read, is none of the three, or is an answer without a design.
    """
    source = read_source(path, WHAT)
    schema = source.data.get("schema")
    if schema is not None:
        return _of_answer(source, schema)
    if set(source.data) == {"bill"}:
        return [(e.item, e.quantity) for e in validate(HandBill, source).bill]
    if "bill" not in source.data:
        raise InputError(
            Trouble(
                "there is no bill in this file",
                file=source.name,
                line=1,
                field="bill",
                accepted=_ACCEPTED,
                hint="a bill is a list of lines such as '- {item: some-item, quantity: 3}'",
            )
        )
    return validate(Design, source)


def _of_answer(source: Source, schema: object) -> Design:
    if schema != ANSWER:
        raise InputError(
            Trouble(
                "this is not an answer of a version that is known here",
                file=source.name,
                line=source.line_of(("schema",)),
                field="schema",
                value=schema if isinstance(schema, str) else None,
                accepted=_ACCEPTED,
                hint="solve the site again with this version and audit that answer",
            )
        )
    if source.data.get("total") is None:
        status = source.data.get("status")
        raise InputError(
            Trouble(
                "this answer holds no design to audit",
                file=source.name,
                line=source.line_of(("status",)),
                field="status",
                value=status if isinstance(status, str) else None,
                accepted="an answer that is optimal or feasible",
                hint="an unmeetable or undecided answer has nothing to audit",
            )
        )
    fields = {k: v for k, v in source.data.items() if k in Design.model_fields}
    return validate(Design, replace(source, data=fields))
