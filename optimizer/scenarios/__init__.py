"""Changes to one site compared, what its total is traded against and buys; many sites."""

from optimizer.scenarios.comparing import compare
from optimizer.scenarios.findings import Comparison, Frontier
from optimizer.scenarios.frontier import frontier
from optimizer.scenarios.loading import LoadedScenarios, load_scenarios
from optimizer.scenarios.portfolio import Portfolio
from optimizer.scenarios.within import within
from optimizer.scenarios.within_findings import Within

__all__ = [
    "Comparison",
    "Frontier",
    "LoadedScenarios",
    "Portfolio",
    "compare",
    "frontier",
    "load_scenarios",
    "Within",
    "within",
]
