"""Words and tables for the terminal: renders what it is handed, never solves."""

from optimizer.reporting.answers import render
from optimizer.reporting.catalogue import render_gaps, render_item, render_items
from optimizer.reporting.findings import meets, render_findings

__all__ = ["meets", "render", "render_findings", "render_gaps", "render_item", "render_items"]
