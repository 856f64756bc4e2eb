"""Changes to one site compared, what its total is traded against and buys; many sites."""

from optimizer.scenarios.comparing import compare
from optimizer.scenarios.findings import Comparison, Frontier
from optimizer.scenarios.frontier import frontier
from optimizer.scenarios.loading import LoadedScenarios, load_scenarios
from optimizer.scenarios.phase_findings import PhasePlan
from optimizer.scenarios.phase_loading import LoadedPhases, load_phases
from optimizer.scenarios.phasing import phases
from optimizer.scenarios.portfolio import Portfolio
from optimizer.scenarios.within import within
from optimizer.scenarios.within_findings import Within

__all__ = [
    "Comparison",
    "Frontier",
    "LoadedPhases",
    "LoadedScenarios",
    "PhasePlan",
    "Portfolio",
    "Within",
    "compare",
    "frontier",
    "load_phases",
    "load_scenarios",
    "phases",
    "within",
]
