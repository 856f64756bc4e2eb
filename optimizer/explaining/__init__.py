"""Findings about a proven answer, as data: what binds, how far it reaches, what a change costs."""
