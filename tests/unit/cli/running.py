"""Running the command for tests: in this process with a stand-in for the solver, or for real."""

from __future__ import annotations

import os
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner, Result

from optimizer.cli.command import cli
from optimizer.solving.answer import Answer
from tests.unit.reporting import handmade

TOP = Path(__file__).parents[3]
SITE = str(handmade.SITE_FILE)
BOOK = str(handmade.BOOK_FILE)


def here(*arguments: str) -> Result:
    """Run a command in this process."""
    return CliRunner().invoke(cli, arguments, prog_name="leastkit")


def real(*arguments: str, **environment: str) -> subprocess.CompletedProcess[str]:
    """Run a command in a process of its own."""
    return subprocess.run(
        [sys.executable, "-m", "optimizer", *arguments],
        capture_output=True,
        text=True,
        check=False,
        cwd=TOP,
        env={**os.environ, **environment},
    )


def stand_in(
    monkeypatch: pytest.MonkeyPatch, answer: Answer | Callable[[], Answer]
) -> list[dict[str, Any]]:
    """Put a ready answer in the place of the solver; returns what it was asked.

    Nothing is explained: questions about a made-up answer would contradict each other.
    """
    asked: list[dict[str, Any]] = []

    def explain(_site: Any, answer: Answer, *_more: Any, **_options: Any) -> Answer:
        return answer

    def solve_site(site: Any, book: Any, **options: Any) -> Answer:
        asked.append({"site": site, "book": book, **options})
        return answer if isinstance(answer, Answer) else answer()

    monkeypatch.setattr("optimizer.solving.solve_site", solve_site, raising=False)
    monkeypatch.setattr("optimizer.questions.explain", explain)
    monkeypatch.setattr("optimizer.questions.told_why", explain)
    return asked
