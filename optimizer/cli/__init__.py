"""The command ``leastkit``: arguments, exit statuses, files written."""

from optimizer.cli.command import main

__all__ = ["main"]
