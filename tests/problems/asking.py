"""The problems folder, and one answer to each problem, shared by all workers of a test run."""

from __future__ import annotations

import fcntl
import os
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest
import yaml

import optimizer
from optimizer.pricebook import LoadedBook, load_book
from optimizer.site import LoadedSite, load_site
from optimizer.solving.answer import Answer

FOLDER = Path(__file__).parents[2] / "problems"
NAMES = sorted(path.parent.name for path in FOLDER.glob("*/site.yaml"))
AMPLE_S = 600.0
"""For sites that are proven in seconds: their time must not hang on the machine. [s]"""


@dataclass(frozen=True)
class Problem:
    """One folder of problems/."""

    name: str
    site: LoadedSite
    book: LoadedBook
    expected: dict[str, Any]

    @property
    def seconds(self) -> float:
        """Time that the solve is given. [s]"""
        return float(self.expected.get("seconds", AMPLE_S))


def problem(name: str) -> Problem:
    """Read a folder."""
    folder = FOLDER / name
    book = folder / "book.yaml"
    return Problem(
        name,
        load_site(folder / "site.yaml"),
        load_book(book if book.exists() else None),
        yaml.safe_load((folder / "expected.yaml").read_text(encoding="utf-8")),
    )


class Answers:
    """Answers as JSON files; whoever asks first solves, others wait for the file."""

    def __init__(self, factory: pytest.TempPathFactory) -> None:
        base = factory.getbasetemp()
        # Each worker has a folder of its own inside that of the whole run.
        self._folder = base.parent if "PYTEST_XDIST_WORKER" in os.environ else base

    def file(self, asked: Problem) -> Path:
        """The JSON file of the answer to a problem."""
        target = self._folder / f"answer-{asked.name}.json"
        with open(self._folder / f"lock-{asked.name}", "w", encoding="utf-8") as lock:
            fcntl.flock(lock, fcntl.LOCK_EX)
            if not target.exists():
                answer = optimizer.solve(asked.site, asked.book, seconds=asked.seconds)
                part = target.with_suffix(".part")
                part.write_text(answer.as_json(), encoding="utf-8")
                part.replace(target)
        return target

    def answer(self, asked: Problem) -> Answer:
        """The answer, read back from its file."""
        return Answer.model_validate_json(self.file(asked).read_text(encoding="utf-8"))


__all__ = ["NAMES", "Answers", "Problem", "problem"]
