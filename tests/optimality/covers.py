"""Open covering instances: how they are read, and what is published of their least covers.

    python -m tests.optimality.covers FOLDER [SECONDS]

runs the covering core on every instance of the folder and prints what it finds beside what is
published. The files are research data of others and are not part of this project; SOURCE.txt in
their folder says where they are from (OR-Library, J. E. Beasley; Steiner triple covering,
Fulkerson, Nemhauser and Trotter 1974; an instance of the optimal-camera-placement competitions of
GECCO 2020 and 2021). best_known.csv beside them holds the best known value and the proven bound.
"""

from __future__ import annotations

import csv
import sys
import time
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from optimizer.instance.covering import Cover
from optimizer.solving.covering import Covered, least_cover


@dataclass(frozen=True)
class Published:
    """One line of best_known.csv; the optimum is known where value and bound agree."""

    name: str
    unicost: bool
    value: int
    bound: int

    @property
    def settled(self) -> bool:
        """Whether the optimum is published."""
        return self.value == self.bound


def published(folder: Path) -> list[Published]:
    """What best_known.csv says."""
    with (folder / "best_known.csv").open(newline="", encoding="utf-8") as file:
        return [
            Published(
                line["instance"],
                line["unicost"] == "1",
                int(line["best_known"]),
                int(line["proven_bound"]),
            )
            for line in csv.DictReader(file)
        ]


def read(folder: Path, one: Published) -> Cover:
    """An instance of the folder."""
    numbers = iter((folder / f"{one.name}.txt").read_text(encoding="utf-8").split())
    kind = one.name.split("/")[0]
    if kind == "steiner":
        cover = _triples(numbers)
    elif kind == "camera_cover":
        cover = _samples(numbers)
    else:
        cover = _beasley(numbers)
    if one.unicost:
        cover = Cover((1,) * len(cover.costs), cover.rows)
    return cover


def _beasley(numbers: Iterator[str]) -> Cover:
    rows, columns = int(next(numbers)), int(next(numbers))
    costs = tuple(int(next(numbers)) for _ in range(columns))
    sets = []
    for _ in range(rows):
        count = int(next(numbers))
        sets.append(tuple(sorted(int(next(numbers)) - 1 for _ in range(count))))
    return Cover(costs, tuple(sets))


def _triples(numbers: Iterator[str]) -> Cover:
    points, triples = int(next(numbers)), int(next(numbers))
    sets = [tuple(sorted(int(next(numbers)) - 1 for _ in range(3))) for _ in range(triples)]
    return Cover((1,) * points, tuple(sets))


def _samples(numbers: Iterator[str]) -> Cover:
    samples, candidates = int(next(numbers)), int(next(numbers))
    sets = []
    for _ in range(samples):
        next(numbers)
        count = int(next(numbers))
        sets.append(tuple(sorted(int(next(numbers)) for _ in range(count))))
    return Cover((1,) * candidates, tuple(sets))


def check(one: Published, cover: Cover, found: Covered) -> str:
    """What is wrong with an answer, or nothing.

    The cover is added up here; a bound above the best known value, a cost below the published
    bound, or an optimum claimed at another value are wrong.
    """
    if found.chosen is None or found.cost is None:
        return "no cover was found"
    picked = set(found.chosen)
    if any(picked.isdisjoint(row) for row in cover.rows):
        return "a row is not covered"
    if sum(cover.costs[c] for c in picked) != found.cost:
        return "the cost does not add up"
    if found.bound > one.value:
        return f"the bound {found.bound} is above the best known value {one.value}"
    if found.cost < one.bound:
        return f"the cost {found.cost} is below the published bound {one.bound}"
    if found.status == "optimal" and found.cost != found.bound:
        return "an optimum is claimed whose bound is lower"
    if found.status == "optimal" and one.settled and found.cost != one.value:
        return f"{found.cost} is claimed to be least, {one.value} is published"
    return ""


def main(folder: Path, seconds: float) -> int:
    """Run all instances; the number of wrong answers."""
    wrong = 0
    for one in published(folder):
        cover = read(folder, one)
        start = time.monotonic()
        found = least_cover(cover, seconds)
        took = time.monotonic() - start
        fault = check(one, cover, found)
        wrong += bool(fault)
        gap = 0.0 if not found.cost else 100 * (found.cost - found.bound) / found.cost
        print(  # noqa: T201
            f"{one.name:26} {found.status:9} cost {found.cost} bound {found.bound} "
            f"gap {gap:.1f} %  published {one.value} (bound {one.bound})  {took:.2f} s  {fault}",
            flush=True,
        )
    return wrong


if __name__ == "__main__":
    limit = float(sys.argv[2]) if len(sys.argv) > 2 else 20.0
    sys.exit(1 if main(Path(sys.argv[1]), limit) else 0)
