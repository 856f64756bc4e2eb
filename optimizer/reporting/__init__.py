"""Words and tables for the terminal: renders what it is handed, never solves."""

from optimizer.reporting.answers import render
from optimizer.reporting.catalogue import render_gaps, render_item, render_items
from optimizer.reporting.explanation import render_explanation
from optimizer.reporting.explanation_variants import (
    render_alternatives,
    render_steps,
    render_what_if,
)
from optimizer.reporting.findings import meets, render_findings
from optimizer.reporting.proof import render_met

__all__ = [
    "meets",
    "render",
    "render_alternatives",
    "render_explanation",
    "render_findings",
    "render_gaps",
    "render_item",
    "render_items",
    "render_met",
    "render_steps",
    "render_what_if",
]
