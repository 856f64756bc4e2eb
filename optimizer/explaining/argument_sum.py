"""A certificate told in words, where it is short enough to be followed with a pencil."""

from __future__ import annotations

from optimizer.explaining.certificate import Certificate
from optimizer.model import Program
from optimizer.model.program import FREE, Row
from optimizer.solving.proof import ArgumentStep

MOST_ROWS = 10
"""Limits that a told sum may add up."""
MOST_TERMS = 24
MOST_CASES = 4

_WORDS = {
    "seen": "places seen by",
    "feed": "cameras fed by",
    "path": "runs laid as",
    "stream": "cameras recorded as",
    "recorder": "recorders",
    "on": "streams on",
    "array": "arrays",
    "drives": "drives",
    "buy": "bought",
    "sound": "sound by",
    "steer": "control pairs",
    "models": "models",
}


def summed(program: Program, certificate: Certificate) -> list[ArgumentStep]:
    """The proof as steps; empty where it is too long to be told, or tightens bounds on the way."""
    lines = certificate.lines
    sums = [line for line in lines if line.startswith("by ")]
    if certificate.below is not None or len(sums) > MOST_CASES:
        return []
    if any(line.startswith("so ") for line in lines):
        return []
    if sum(len(line.split()) - 1 for line in sums) > MOST_ROWS:
        return []
    steps: list[ArgumentStep] = []
    boxes = [(list(program.lower), list(program.upper), "")]
    for line in lines:
        low, high, case = boxes.pop()
        word, *rest = line.split()
        if word == "if":
            boxes += _split(program, rest, low, high, case)
            continue
        told = _sum(program, rest, low, high, case)
        if told is None:
            return []
        steps += told
    return steps


def _split(
    program: Program, rest: list[str], low: list[int], high: list[int], case: str
) -> list[tuple[list[int], list[int], str]]:
    """The two cases of a split, the one in hand last."""
    var, edge = int(rest[0]), int(rest[2]) - {"<=": 0, ">=": 1}[rest[1]]
    below, above = list(high), list(low)
    below[var], above[var] = min(high[var], edge), max(low[var], edge + 1)
    name, and_ = named(program.names[var]), f"{case}, and " if case else "If "
    lower = (low, below, f"{and_}{name} at most {edge}")
    upper = (above, high, f"{and_}{name} at least {edge + 1}")
    return [upper, lower] if rest[1] == "<=" else [lower, upper]


def _sum(
    program: Program, rest: list[str], low: list[int], high: list[int], case: str
) -> list[ArgumentStep] | None:
    steps: list[ArgumentStep] = []
    if case:
        steps.append(ArgumentStep(text=f"{case}:", origin="case"))
    total: dict[int, int] = {}
    least, terms = 0, 0
    for part in rest:
        number, times = (int(one) for one in part.split(":"))
        row = program.rows[number]
        terms += len(row.cols)
        side = row.lo if times > 0 else row.hi
        least += times * side
        for col, coef in zip(row.cols, row.coefs, strict=True):
            total[col] = total.get(col, 0) + times * coef
        often = f"{abs(times):,} times: " if abs(times) != 1 else ""
        steps.append(
            ArgumentStep(
                text=f"{often}{_row(program, row, times > 0)}.",
                requirements=tuple(t for t in row.tags if "fact" not in t),
                origin=", ".join(row.tags) or "rules",
            )
        )
    if terms > MOST_TERMS:
        return None
    most = sum(k * (low, high)[k > 0][v] for v, k in total.items())
    assert most < least
    steps.append(
        ArgumentStep(
            text=f"Added up, the left sides can be at most {most:,} and have to be at least "
            f"{least:,}.",
            origin="arithmetic",
        )
    )
    return steps


def _row(program: Program, row: Row, from_below: bool) -> str:
    sign = 1 if from_below else -1
    terms = [
        f"{'+' if sign * k > 0 else '-'} {f'{abs(k):,} x ' if abs(k) != 1 else ''}"
        f"{named(program.names[c])}"
        for c, k in zip(row.cols, row.coefs, strict=True)
    ]
    side = row.lo if from_below else -row.hi
    assert abs(side) < FREE
    words = " ".join(terms).removeprefix("+ ") or "nothing"
    return f"{words} is at least {side:,}"


def named(variable: str) -> str:
    """A quantity of the program in words: "[drives r-8.6.d-12tb]"."""
    family, _, what = variable.partition("/")
    word = _WORDS.get(family, family)
    return f"[{word} {what.replace('/', ' ')}]" if what else f"[{word}]"


__all__ = ["MOST_CASES", "MOST_ROWS", "named", "summed"]
