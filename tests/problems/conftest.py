"""What the tests of the problems folder share."""

from __future__ import annotations

import pytest

from tests.problems.asking import Answers


@pytest.fixture(scope="session")
def answers(tmp_path_factory: pytest.TempPathFactory) -> Answers:
    return Answers(tmp_path_factory)
