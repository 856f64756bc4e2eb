"""The integer program: variables, tagged rows, families, objective."""

from optimizer.model.build import build
from optimizer.model.program import Program, Row

__all__ = ["Program", "Row", "build"]
