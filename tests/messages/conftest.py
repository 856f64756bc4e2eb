"""Every message test works in an empty folder of its own, so that messages name bare files."""

from __future__ import annotations

from pathlib import Path

import pytest

pytest.register_assert_rewrite("tests.messages.refusals")


@pytest.fixture(autouse=True)
def _own_folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
