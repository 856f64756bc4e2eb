"""Which line of the model wrote which row.

A constraint is a place in the source that adds rows. Its label is the module and the name of its
rows as the source spells it, such as ``coverage seen/{table.name}``; where one place serves several
limits or packs, the first part of the row's own name is added.
"""

from __future__ import annotations

import ast
import sys
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from dataclasses import replace
from functools import lru_cache
from pathlib import Path
from typing import NamedTuple

import pytest

import optimizer.model
from optimizer.instance import build_instance
from optimizer.instance.leaving import Leaving
from optimizer.model import build
from optimizer.model.draft import Draft
from optimizer.model.families.recording import PACK
from optimizer.model.program import Program
from optimizer.pricebook.schema import Book
from optimizer.site.schema import Site
from optimizer.solving.cpsat import CpSat
from tests.optimality.asking import loaded

MODEL = Path(optimizer.model.__file__).parent
SOURCES = (*sorted((MODEL / "families").glob("*.py")), MODEL / "packs.py")
_ADDING = ("row", "equal")


@lru_cache(maxsize=1)
def places() -> dict[str, list[tuple[int, int, str]]]:
    """Source file to the places that add rows: first line, last line, name as spelt."""
    found: dict[str, list[tuple[int, int, str]]] = {}
    for path in SOURCES:
        mine = []
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if (
                isinstance(node, ast.Call)
                and isinstance(node.func, ast.Attribute)
                and node.func.attr in _ADDING
            ):
                spelt = ast.unparse(node.args[0]).removeprefix("f").strip("'\"")
                mine.append((node.lineno, node.end_lineno or node.lineno, f"{path.stem} {spelt}"))
        found[str(path)] = mine
    return found


def all_labels() -> set[str]:
    """Every constraint in the source, without what is added at run time."""
    return {label for mine in places().values() for _, _, label in mine}


def _label(name: str) -> str:
    """The label of the row that is being added."""
    frame = sys._getframe(2)
    while frame is not None:
        mine = places().get(frame.f_code.co_filename)
        if mine is not None:
            inside = [p for p in mine if p[0] <= frame.f_lineno <= p[1]]
            return _told_apart(min(inside, key=lambda p: p[1] - p[0])[2], name)
        frame = frame.f_back
    raise AssertionError(f"row {name} comes from nowhere")


def _told_apart(label: str, name: str) -> str:
    """A label with the limit or pack where its place serves several, and the pool's dimension."""
    head = label.partition(" ")[2]
    if not head.startswith("{"):
        return label
    kind = name.partition("/")[0]
    if "pool{number}" in head:
        _, dim, step = name.rpartition("/pool")[2].split(".")
        # Rounded rows (step above 1) only tighten what step 1 says already.
        return f"{label} [{kind} {dim}{' rounded' if step != '1' else ''}]"
    return f"{label} [{kind}]"


@contextmanager
def _watched() -> Iterator[list[str]]:
    labels: list[str] = []
    true_row = Program.row

    def row(self: Program, name: str, *args: object, **kwargs: object) -> None:
        labels.append(_label(name))
        true_row(self, name, *args, **kwargs)  # type: ignore[arg-type]

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(Program, "row", row)
        yield labels


class Others(NamedTuple):
    """Sites of which a program is to be any one, and those of which only new kits matter."""

    sites: dict[str, Site]
    fresh: frozenset[str] = frozenset()


def traced(
    site: Site,
    book: Book,
    spelt: bool,
    leaving: Leaving | None = None,
    others: Others | None = None,
) -> tuple[Draft, list[str]] | None:
    """The program of a case with the label of each row; None where tables alone say no."""
    changed, fresh = others or (None, ())
    instance = build_instance(
        site, loaded(book), group=leaving is None, others=changed, fresh=fresh
    )
    instance = replace(instance, leaving=leaving)
    if not instance.recorders or instance.lacks_candidates:
        return None
    names: Iterable[str] = {*build(instance).packs, PACK} if spelt else ()
    with _watched() as labels:
        draft = build(instance, names)
    assert len(labels) == len(draft.program.rows)
    return draft, labels


def optimum(program: Program) -> int | None:
    """Its proven optimum; None where it is proven to have no solution."""
    outcome = CpSat(program).solve(30.0)
    assert outcome.status in ("optimal", "infeasible"), outcome.status
    return outcome.objective


def without(draft: Draft, labels: list[str], gone: str) -> Program:
    """The program without the rows of one label."""
    kept = [r for r, own in zip(draft.program.rows, labels, strict=True) if own != gone]
    assert len(kept) < len(draft.program.rows), gone
    return replace(draft.program, rows=kept)
