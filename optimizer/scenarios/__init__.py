"""Named changes to one site, compared, and the frontier of total against one demand."""

from optimizer.scenarios.comparing import compare
from optimizer.scenarios.findings import Comparison, Frontier
from optimizer.scenarios.frontier import frontier
from optimizer.scenarios.loading import LoadedScenarios, load_scenarios

__all__ = ["Comparison", "Frontier", "LoadedScenarios", "compare", "frontier", "load_scenarios"]
