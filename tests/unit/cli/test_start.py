"""The starter site file, and the published schemas that editors check files with."""

from __future__ import annotations

import json
import re
import typing
from pathlib import Path
from typing import Any

import jsonschema
import pytest
import yaml
from pydantic import BaseModel

from optimizer.cli.schemas import DIALECT, TITLES, published
from optimizer.pricebook import BUILTIN
from optimizer.questions import prepare
from optimizer.site import Site
from optimizer.site.starter import starter_text
from tests.unit.cli.running import here
from tests.unit.reporting import handmade


class Yaml12(yaml.SafeLoader):
    """As editors read YAML today: on, off, yes and no are words, not truth values."""


Yaml12.yaml_implicit_resolvers = {
    first: [(tag, pattern) for tag, pattern in resolvers if tag != "tag:yaml.org,2002:bool"]
    for first, resolvers in yaml.SafeLoader.yaml_implicit_resolvers.items()
}
Yaml12.add_implicit_resolver("tag:yaml.org,2002:bool", re.compile("^(?:true|false)$"), list("tf"))


def checker(name: str) -> jsonschema.Draft202012Validator:
    schema = published(name)
    jsonschema.Draft202012Validator.check_schema(schema)
    return jsonschema.Draft202012Validator(schema)


def read(text: str) -> Any:
    return yaml.load(text, Yaml12)


def test_start_writes_the_starter_and_says_what_to_do_next(tmp_path: Path) -> None:
    target = tmp_path / "site.yaml"
    done = here("start", "--out", str(target))
    assert (done.exit_code, done.stdout) == (0, "")
    assert f"leastkit solve {target}" in done.stderr
    assert target.read_text(encoding="utf-8") == starter_text()
    assert [path.name for path in tmp_path.iterdir()] == ["site.yaml"]


def test_start_never_replaces_a_file(tmp_path: Path) -> None:
    target = tmp_path / "site.yaml"
    target.write_text("mine", encoding="utf-8")
    done = here("start", "--out", str(target))
    assert done.exit_code == 2
    assert "there is a file of that name already" in done.stderr
    assert target.read_text(encoding="utf-8") == "mine"
    link = tmp_path / "link.yaml"
    link.symlink_to(tmp_path / "nowhere.yaml")
    assert here("start", "--out", str(link)).exit_code == 2
    assert sorted(path.name for path in tmp_path.iterdir()) == ["link.yaml", "site.yaml"]


def test_start_on_standard_output() -> None:
    done = here("start", "--out", "-")
    assert (done.exit_code, done.stdout, done.stderr) == (0, starter_text(), "")
    done = here("start", "--out", "-", "--plan")
    assert (done.exit_code, done.stdout, done.stderr) == (0, starter_text(plan=True), "")


def test_the_starter_goes_with_the_built_in_book(tmp_path: Path) -> None:
    target = tmp_path / "site.yaml"
    target.write_text(starter_text(), encoding="utf-8")
    asked, _ = prepare(target)
    assert asked.site.name == "Corner workshop"
    target.write_text(starter_text(plan=True), encoding="utf-8")
    asked, _ = prepare(target)
    assert [mount.id for mount in asked.site.mounts][-1] == "loft-corner"


def test_the_schema_takes_names_of_shapes_and_refuses_a_mixed_zone() -> None:
    data = read(starter_text(plan=True))
    data["plan"]["file"] = "plan.geojson"
    data["zones"][0]["area"] = "sales-floor"
    data["mounts"][0]["at"] = "post-1"
    del data["mounts"][0]["height"]
    del data["plan"]["outline"]
    assert list(checker("site").iter_errors(data)) == []
    data["zones"][0]["distance"] = "4 m"
    assert len(list(checker("site").iter_errors(data))) == 1
    data = read(starter_text(plan=True))
    del data["mounts"][0]["height"]
    del data["plan"]["outline"]
    assert len(list(checker("site").iter_errors(data))) == 2


def _models(annotation: Any) -> list[type[BaseModel]]:
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        return [annotation]
    return [model for inner in typing.get_args(annotation) for model in _models(inner)]


def _used(model: type[BaseModel], data: list[Any], used: dict[str, set[str]]) -> None:
    """Note for each model, wherever it stands, which of its fields some mapping gives."""
    names = used.setdefault(model.__name__, set())
    for name, field in model.model_fields.items():
        values = [one[name] for one in data if name in one]
        names |= {name} if values else set()
        if typing.get_origin(field.annotation) is dict:
            values = [one for value in values for one in value.values()]
        for inner in _models(field.annotation):
            flat = [v for value in values for v in (value if isinstance(value, list) else [value])]
            _used(inner, flat, used)


def _unused(data: Any) -> set[str]:
    used: dict[str, set[str]] = {}
    _used(Site, [data], used)
    every: dict[str, type[BaseModel]] = {}
    _collect(Site, every)
    assert set(every) == set(used)
    return {f"{m}.{f}" for m, model in every.items() for f in set(model.model_fields) - used[m]}


def _collect(model: type[BaseModel], every: dict[str, type[BaseModel]]) -> None:
    every[model.__name__] = model
    for field in model.model_fields.values():
        for inner in _models(field.annotation):
            _collect(inner, every)


# A starter that names a drawing could not be used without it; the one with a plan says how.
DRAWING = {"Plan.file", "Plan.layers", "Layer.shape", "Layer.set"}


def test_the_starters_use_every_field() -> None:
    assert _unused(read(starter_text())) & _unused(read(starter_text(plan=True))) == DRAWING
    # The one with a plan leaves out nothing of plans, the other one nothing else.
    of_plans = {"Plan", "Wall", "Obstacle", "CableRoute", "Riser", "Room", "KeepOut", "Mount"}
    of_plans |= {"PlanZone", "Layer"}
    missing = _unused(read(starter_text()))
    assert {name.partition(".")[0] for name in missing} <= of_plans | {"Site", "Assumptions"}
    assert {"Site.plan", "Site.mounts", "Assumptions.face_tilt"} <= missing


def test_the_check_for_unused_fields_can_fail() -> None:
    data = read(starter_text())
    before = _unused(data)
    del data["zones"][2]["existing"][0]["count"]
    del data["spare"]["storage"]
    assert _unused(data) - before == {"ExistingCable.count", "Spare.storage"}


def test_starter_and_built_in_book_agree_with_their_schemas() -> None:
    for plan in (False, True):
        assert list(checker("site").iter_errors(read(starter_text(plan)))) == []
    book = read(BUILTIN.read_text(encoding="utf-8"))
    assert list(checker("book").iter_errors(book)) == []


def test_answers_agree_with_their_schema() -> None:
    for answer in (handmade.answer(), handmade.without_kit("undecided")):
        assert list(checker("answer").iter_errors(json.loads(answer.as_json()))) == []


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ("distance: 5 m ", "distance: 5 "),
        ("distance: 5 m ", "distance: 5 kg "),
        ("night: dark", "night: pitch black"),
        ("ingress: IP65", "ingress: IP7"),
        ("frame_rate: 12 fps", "frame_rates: 12 fps"),
        ("- id: door ", "- id: Front Door "),
        ("temperature: -20 to 40 C", "temperature: -20 until 40 C"),
        ("drive_failures: 0 ", "drive_failures: 3 "),
        ("route: outdoor", "route: outside"),
    ],
)
def test_editors_are_told_of_slips(old: str, new: str) -> None:
    text = starter_text()
    assert old in text
    assert list(checker("site").iter_errors(read(text.replace(old, new, 1)))) != []


@pytest.mark.parametrize("name", TITLES)
def test_printed_schema(name: str) -> None:
    done = here("schema", name)
    assert done.exit_code == 0
    data = json.loads(done.stdout)
    assert data["$schema"] == DIALECT
    assert data["title"].startswith("leastkit ")
    assert data["description"]
    assert data == published(name)


def _defaults(node: Any) -> list[dict[str, Any]]:
    if isinstance(node, list):
        return [found for one in node for found in _defaults(one)]
    if not isinstance(node, dict):
        return []
    inner = [found for one in node.values() for found in _defaults(one)]
    return [node, *inner] if "default" in node and "properties" not in node else inner


@pytest.mark.parametrize("name", ["site", "book"])
def test_defaults_in_a_schema_are_as_one_would_write_them(name: str) -> None:
    schema = published(name)
    found = _defaults(schema)
    assert found
    for field in found:
        whole = {**field, "$defs": schema["$defs"]}
        default = field["default"]
        errors = list(jsonschema.Draft202012Validator(whole).iter_errors(default))
        assert errors == [], field
    assert {"40 C", "1.5 m", "20 %"} <= {str(f["default"]) for f in found} or name == "book"
