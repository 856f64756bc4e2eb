"""What a solver says about a program."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal


@dataclass(frozen=True)
class Outcome:
    """Result of one solve, in integers, checked against the program.

    Attributes
    ----------
    status : str
        "optimal" or "infeasible" are that solver's proofs; "feasible" and "unknown" are not.
    values : tuple of int or None
        A solution that keeps every row.
    bound : int or None
        No solution has a lower objective, says the solver.
    """

    status: Literal["optimal", "feasible", "infeasible", "unknown"]
    values: tuple[int, ...] | None
    objective: int | None
    bound: int | None
