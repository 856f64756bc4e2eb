"""Ways to spoil the worked design."""

from __future__ import annotations

from typing import Any

from tests.unit.audit.worked import Spoil, Trial

GATE, HALL = 0, 1


def camera(index: int, **changes: Any) -> Spoil:
    return lambda t: t.design["cameras"][index].update(changes)


def feed(index: int, **changes: Any) -> Spoil:
    return lambda t: t.design["cameras"][index]["power"].update(changes)


def sound(**changes: Any) -> Spoil:
    return lambda t: t.design["audio"][0].update(changes)


def sound_feed(**changes: Any) -> Spoil:
    return lambda t: t.design["audio"][0]["power"].update(changes)


def recorder(**changes: Any) -> Spoil:
    return lambda t: t.design["recorders"][0].update(changes)


def run(index: int, **changes: Any) -> Spoil:
    return lambda t: t.design["runs"][index].update(changes)


def box(index: int, **changes: Any) -> Spoil:
    return lambda t: t.design["boxes"][index].update(changes)


def supply(**changes: Any) -> Spoil:
    return lambda t: t.design["supplies"][0].update(changes)


def switch(**changes: Any) -> Spoil:
    return lambda t: t.design["switches"][0].update(changes)


def bill(item: str, **changes: Any) -> Spoil:
    return lambda t: t.bill(item).update(changes)


def part(name: str, **changes: Any) -> Spoil:
    return lambda t: t.part(name).update(changes)


def design(**changes: Any) -> Spoil:
    return lambda t: t.design.update(changes)


def item(item_id: str, **changes: Any) -> Spoil:
    return lambda t: t.item(item_id).update(changes)


def zone(index: int, **changes: Any) -> Spoil:
    return lambda t: t.site["zones"][index].update(changes)


def site(section: str, **changes: Any) -> Spoil:
    return lambda t: t.site.setdefault(section, {}).update(changes)


def without(section: str, index: int) -> Spoil:
    return lambda t: t.design[section].pop(index)


def with_one(section: str, entry: dict[str, Any]) -> Spoil:
    return lambda t: t.design[section].append(entry)


def every(*spoils: Spoil) -> Spoil:
    def all_of(trial: Trial) -> None:
        for spoil in spoils:
            spoil(trial)

    return all_of


def swapped(section: str, index: int, old: str, new: str) -> Spoil:
    """One unit of the design, and its line in the bill, of another item."""

    def swap(trial: Trial) -> None:
        trial.design[section][index]["item"] = new
        trial.bill(old)["item"] = new

    return swap


Case = tuple[str, Spoil, str, str, str]
"""What is spoilt; and the rule, kind and place of the finding that must tell it."""
