"""Named changes to one site, compared; the frontier of total against one demand; many sites."""

from optimizer.scenarios.comparing import compare
from optimizer.scenarios.findings import Comparison, Frontier
from optimizer.scenarios.frontier import frontier
from optimizer.scenarios.loading import LoadedScenarios, load_scenarios
from optimizer.scenarios.portfolio import Portfolio

__all__ = [
    "Comparison",
    "Frontier",
    "LoadedScenarios",
    "Portfolio",
    "compare",
    "frontier",
    "load_scenarios",
]
