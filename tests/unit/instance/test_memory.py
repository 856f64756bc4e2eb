"""What is remembered from other sites changes no table."""

from __future__ import annotations

from collections.abc import Iterator

from optimizer.instance import Memory, build_instance
from optimizer.model import build
from optimizer.site.changes import changed
from optimizer.site.schema import Site
from tests.problems.asking import problem


def _others(name: str) -> Iterator[Site]:
    """A site of problems/ and some that differ from it in one thing each."""
    site = problem(name).site.site
    yield site
    changes: list[dict[str, str | None]] = [
        {"policy/families": None},
        {"recording/retention": "1 days"},
        {"spare/supply": "0 %"},
    ]
    changes += [{f"audio.{p.id}": None} for p in site.audio.points[:2]]
    changes += [{f"zones.{z.id}": None} for z in site.zones[:1] if len(site.zones) > 1]
    for change in changes:
        yield changed(site, change)
    labour = {**site.model_dump(mode="json"), "policy": {"labour": {"rate": "50.00"}}}
    yield Site.model_validate(labour)
    bare = {**site.model_dump(mode="json"), "policy": {"connectors": {"bnc": ["crimp"]}}}
    yield Site.model_validate(bare)
    leads = {**site.model_dump(mode="json"), "policy": {"most_joints": 0, "forbid": ["bnc-59"]}}
    yield Site.model_validate(leads)


def test_a_memory_of_other_sites_changes_no_program() -> None:
    for name in ("hearing-room", "tender-unmeetable", "workshop-owned"):
        book, memory = problem(name).book, Memory()
        sites = list(_others(name))
        fresh = [build(build_instance(site, book)).program for site in sites]
        for _ in range(2):
            for site, program in zip(sites, fresh, strict=True):
                assert build(build_instance(site, book, memory=memory)).program == program
        assert any(one != fresh[0] for one in fresh[1:])
