"""A program as text: MPS for any solver, and a listing for people.

Rows carry the names of the program, and the listing also the requirements and facts they stand
for, so that a reader finds each number again.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from itertools import count

from optimizer.model.program import FREE, Program, Row

COST = "cost"
"""Name of the objective in MPS."""

_WIDTH = 96


def mps(program: Program, files: Mapping[str, str]) -> str:
    """A program as free-format MPS, in whole numbers.

    Variables and rows stand in the order of the program. Every variable is said to be whole and
    has both bounds; a row with two different sides is of kind G with a range.

    Parameters
    ----------
    files : mapping
        What the program was made from: a word for each, such as "site", to its SHA-256. They
        stand in comments at the top: "* site sha256 ...".

    Returns
    -------
    str
        ASCII; names have no blanks and are all different.
    """
    columns, rows = _names(program.names), _names([r.name for r in program.rows], {COST})
    entries: list[list[tuple[str, int]]] = [[] for _ in columns]
    for number, cost in enumerate(program.cost):
        # A column without any entry would be left out.
        entries[number].append((COST, cost))
    for name, row in zip(rows, program.rows, strict=True):
        for col, coef in zip(row.cols, row.coefs, strict=True):
            entries[col].append((name, coef))
    lines = [f"* {word} sha256 {digest}" for word, digest in files.items()]
    lines += ["NAME leastkit", "ROWS", f" N {COST}"]
    lines += [f" {_kind(row)} {name}" for name, row in zip(rows, program.rows, strict=True)]
    lines += ["COLUMNS", " M 'MARKER' 'INTORG'"]
    for column, mine in zip(columns, entries, strict=True):
        lines += [f" {column} {row} {coef}" for row, coef in mine]
    lines += [" M 'MARKER' 'INTEND'", "RHS"]
    for name, row in zip(rows, program.rows, strict=True):
        side = {"L": row.hi, "N": 0}.get(_kind(row), row.lo)
        if side:
            lines.append(f" RHS {name} {side}")
    lines.append("RANGES")
    for name, row in zip(rows, program.rows, strict=True):
        if _kind(row) == "G" and row.hi < FREE:
            lines.append(f" RNG {name} {row.hi - row.lo}")
    lines.append("BOUNDS")
    for column, low, high in zip(columns, program.lower, program.upper, strict=True):
        lines += [f" LO BND {column} {low}", f" UP BND {column} {high}"]
    return "\n".join([*lines, "ENDATA", ""])


def listing(program: Program) -> str:
    """A program as a list to be read: numbered variables and rows, with what each row stands for.

    Numbers are those by which a certificate speaks of variables and rows.
    """
    lines = ["Variables: whole numbers within bounds; cost in hundredths", ""]
    for number, name in enumerate(program.names):
        cost = f", cost {program.cost[number]}" if program.cost[number] else ""
        lines.append(f"{number}  {program.lower[number]} to {program.upper[number]}{cost}  {name}")
    lines += ["", "Rows: name [requirements and facts it stands for]", ""]
    for number, row in enumerate(program.rows):
        lines.append(f"{number}  {row.name} [{', '.join(row.tags)}]")
        lines += _wrapped(_sentence(program, row))
    return "\n".join([*lines, ""])


def _kind(row: Row) -> str:
    if row.lo <= -FREE:
        return "N" if row.hi >= FREE else "L"
    return "E" if row.lo == row.hi else "G"


def _names(names: list[str], taken: set[str] | None = None) -> list[str]:
    """Names without blanks or letters beyond ASCII, made different by a number where need be."""
    used = set(taken or ())
    out = []
    for name in names:
        plain = "".join(c if c.isascii() and c.isprintable() and c != " " else "_" for c in name)
        # A leading mark of a comment or a section marker would be misread.
        plain = plain.replace("'", "_").lstrip("*$") or "_"
        free = (
            plain
            if plain not in used
            else next(other for n in count(2) if (other := f"{plain}.{n}") not in used)
        )
        used.add(free)
        out.append(free)
    return out


def _sentence(program: Program, row: Row) -> list[str]:
    """A row in words that are not to be broken."""
    words = []
    if row.lo > -FREE and row.lo != row.hi:
        words.append(f"{row.lo} <=")
    for col, coef in zip(row.cols, row.coefs, strict=True):
        sign = "-" if coef < 0 else "+"
        size = "" if abs(coef) == 1 else f"{abs(coef)} x "
        words.append(f"{sign} {size}{program.names[col]}")
    if not row.cols:
        words.append("0")
    if row.lo == row.hi:
        words.append(f"= {row.hi}")
    elif row.hi < FREE:
        words.append(f"<= {row.hi}")
    return words


def _wrapped(words: list[str]) -> Iterator[str]:
    line = "   "
    for word in words:
        if len(line) + len(word) > _WIDTH and line.strip():
            yield line
            line = "   "
        line += f" {word}"
    yield line
