"""CP-SAT: the solver.

The model is filled in through the helper module that the public one is built on: it loads in a
third of the time, and a solve from the shell starts with it.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

from ortools.sat.python import cp_model_helper as helper

from optimizer.errors import Defect
from optimizer.model.program import FREE, Program
from optimizer.solving.outcome import Outcome

VERSION = "CP-SAT 9.15"
_FAR = 2**62


class CpSat:
    """A program in CP-SAT's form; objective and extra rows may change between solves."""

    def __init__(self, program: Program) -> None:
        self.program = program
        self.proto = helper.CpModelProto()
        for low, high in zip(program.lower, program.upper, strict=True):
            self.proto.variables.add().domain.extend([low, high])
        for row in program.rows:
            self._row(row.cols, row.coefs, row.lo, row.hi)
        self.minimise(program.cost)
        self.wrapper: helper.SolveWrapper | None = None

    def stop(self) -> None:
        """End a solve that runs in another thread; what it proved by then is its outcome."""
        if self.wrapper is not None:
            self.wrapper.stop_search()

    def _row(self, cols: Sequence[int], coefs: Sequence[int], lo: int, hi: int) -> None:
        linear = self.proto.constraints.add().linear
        linear.vars.extend(cols)
        linear.coeffs.extend(coefs)
        linear.domain.extend([-_FAR if lo <= -FREE else lo, _FAR if hi >= FREE else hi])

    def add_row(self, terms: Mapping[int, int], lo: int = -FREE, hi: int = FREE) -> None:
        """Add a row for this and later solves."""
        self._row(list(terms), list(terms.values()), lo, hi)

    def fix(self, var: int, value: int) -> None:
        """Fix a variable for this and later solves."""
        domain = self.proto.variables[var].domain
        domain.clear()
        domain.extend([value, value])

    def minimise(self, cost: Sequence[int] | Mapping[int, int]) -> None:
        """Set the objective."""
        pairs = cost.items() if isinstance(cost, Mapping) else enumerate(cost)
        kept = [(i, k) for i, k in pairs if k]
        self.cost = dict(kept)
        self.proto.clear_objective()
        self.proto.objective.vars.extend([i for i, _ in kept])
        self.proto.objective.coeffs.extend([k for _, k in kept])

    def hint(self, values: Sequence[int] | None) -> None:
        """Give a starting solution; None takes it back."""
        self.proto.clear_solution_hint()
        if values is not None:
            self.proto.solution_hint.vars.extend(range(len(values)))
            self.proto.solution_hint.values.extend(values)

    def solve(
        self,
        seconds: float,
        *,
        work: float | None = None,
        first: bool = False,
        gap: float = 0.0,
        search: Mapping[str, object] | None = None,
    ) -> Outcome:
        """Solve with one worker and a fixed seed, so that the same question has the same answer.

        Parameters
        ----------
        seconds : float
            Time limit.
        work : float, optional
            Limit in deterministic units, so that the result does not hang on the machine.
        first : bool
            Stop at the first solution.
        gap : float
            Stop at this relative gap.

        Raises
        ------
        Defect
            If the solver calls the model invalid or returns values that break a row.
        """
        parameters = helper.SatParameters()
        parameters.num_workers = 1
        parameters.linearization_level = 2
        parameters.random_seed = 1
        parameters.max_time_in_seconds = max(seconds, 0.01)
        # An interrupt is for the program to handle: it has files to put away.
        parameters.catch_sigint_signal = False
        if work is not None:
            parameters.max_deterministic_time = work
        if first:
            parameters.stop_after_first_solution = True
        if gap:
            parameters.relative_gap_limit = gap
        for name, value in (search or {}).items():
            setattr(parameters, name, value)
        self.wrapper = helper.SolveWrapper()
        self.wrapper.set_parameters(parameters)
        response = self.wrapper.solve(self.proto)  # type: ignore[no-untyped-call]
        return self._outcome(response)

    def _outcome(self, response: helper.CpSolverResponse) -> Outcome:
        status = response.status
        if status == helper.MODEL_INVALID:
            raise Defect("CP-SAT calls the model invalid")
        if status == helper.INFEASIBLE:
            return Outcome("infeasible", None, None, None)
        bound = None
        if math.isfinite(response.best_objective_bound):
            bound = math.ceil(response.best_objective_bound - 1e-6)
        if status not in (helper.OPTIMAL, helper.FEASIBLE):
            return Outcome("unknown", None, None, bound)
        values = tuple(response.solution)
        broken = self.program.broken(values)
        if broken:
            raise Defect(f"CP-SAT's solution breaks {broken[0]}")
        objective = sum(k * values[i] for i, k in self.cost.items())
        if status == helper.OPTIMAL:
            return Outcome("optimal", values, objective, objective)
        return Outcome("feasible", values, objective, bound)
