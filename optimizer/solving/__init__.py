"""The solvers, and the answer: the only package that starts a solve."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from optimizer.solving.solve import solve_site

__all__ = ["solve_site"]


def __getattr__(name: str) -> Any:
    # Loaded when first asked for: reports read answers without a solver in memory.
    if name == "solve_site":
        from optimizer.solving.solve import solve_site

        return solve_site
    raise AttributeError(name)
