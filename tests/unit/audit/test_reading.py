"""Reading answers, designs and bills; what is refused says where and what to do."""

from __future__ import annotations

import json
from typing import Any

import pytest
import yaml

from optimizer.audit import read_design
from optimizer.design import Design
from optimizer.errors import InputError
from tests.unit.audit.worked import DESIGN

ANSWER: dict[str, Any] = {
    "schema": "leastkit/answer/1",
    "site": "worked example",
    "status": "optimal",
    "lower_bound": "787.48",
    "gap": 0.0,
    "assumptions": [{"name": "n", "value": "v", "origin": "memory"}],
    **DESIGN,
}


@pytest.fixture
def written(tmp_path):
    def write(name: str, text: str) -> str:
        path = tmp_path / name
        path.write_text(text, encoding="utf-8")
        return str(path)

    return write


def test_an_answer_gives_its_design(written):
    path = written("answer.json", json.dumps(ANSWER, indent=1))
    assert read_design(path) == Design.model_validate(DESIGN)


@pytest.mark.parametrize("write", [json.dumps, yaml.safe_dump])
def test_a_design_is_read_from_json_and_yaml(written, write):
    assert read_design(written("design", write(DESIGN))) == Design.model_validate(DESIGN)


def test_every_field_of_a_design_survives_the_file(written):
    """What is written as JSON, nulls and all, is read back as the same design."""
    design = Design.model_validate(DESIGN)
    assert read_design(written("d.json", design.model_dump_json())) == design


def test_a_bill_by_hand_keeps_its_order(written):
    text = (
        "bill:\n- {item: mic, quantity: 3}\n- item: bnc\n  quantity: 1\n- {item: mic, quantity: 2}"
    )
    assert read_design(written("bill.yaml", text)) == [("mic", 3), ("bnc", 1), ("mic", 2)]


@pytest.mark.parametrize(
    ("text", "what", "line", "field"),
    [
        ("bill:\n- {item: mic}", '"quantity" is missing', 2, "bill[0].quantity"),
        ("bill:\n- {item: mic, quantity: 0}", "too small", 2, "bill[0].quantity"),
        ("bill:\n- {item: mic, quantity: few}", "whole number", 2, "bill[0].quantity"),
        ("bill:\n- {item: mic, quantity: 1, prise: 2}", "prise", 2, "bill[0].prise"),
        ("bill: []", "at least 1", 1, "bill"),
        ("name: x", "there is no bill in this file", 1, "bill"),
        ("schema: leastkit/answer/9\ntotal: 1", "version", 1, "schema"),
        ("schema: leastkit/answer/1\nstatus: unmeetable", "no design to audit", 2, "status"),
        ("bill: []\ncameras: []", '"net" is missing', None, "net"),
    ],
)
def test_what_cannot_be_audited_is_refused(written, text, what, line, field):
    with pytest.raises(InputError) as caught:
        read_design(written("file.yaml", text))
    trouble = next(t for t in caught.value.troubles if t.field == field)
    assert what in str(trouble)
    assert line is None or trouble.line == line
    assert trouble.hint


def test_a_file_that_is_not_there_is_refused(tmp_path):
    with pytest.raises(InputError, match="design"):
        read_design(tmp_path / "none.yaml")
