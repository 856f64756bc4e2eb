"""Invented price books for the random cases: small, odd on purpose, and tight where it hurts.

Nothing here is meant to look like a real catalogue. Each part is drawn so that the rules of
``optimizer/RULES.md`` decide: reaches that end inside the drawn runs, limits near the drawn
loads, prices that make unusual ways pay now and then.
"""

from __future__ import annotations

import random
from dataclasses import dataclass
from typing import Any

Row = dict[str, Any]

COAX = ("composite", "hd_coax")


@dataclass
class Wish:
    """What the case is about; decides which kinds of item the book has."""

    families: tuple[str, ...]
    audio: bool = False
    steer: bool = False
    leads: bool = False
    balun: bool = False
    coax: bool = False
    ac: bool = False
    arrays: bool = False
    money: bool = False
    small: bool = False
    picture: bool = False


class Drawing:
    """Draws items one by one; `rows` holds them as a book file would."""

    def __init__(self, rng: random.Random, wish: Wish) -> None:
        self.rng = rng
        self.wish = wish
        self.rows: list[Row] = []
        self.taken: dict[str, int] = {}

    def chance(self, share: float) -> bool:
        return self.rng.random() < share

    def pick(self, *choices: Any) -> Any:
        return self.rng.choice(choices)

    def add(self, kind: str, stem: str, low: float, high: float, **what: Any) -> Row:
        """One more item, its price drawn to the hundredth between low and high."""
        self.taken[stem] = self.taken.get(stem, 0) + 1
        cents = self.rng.randint(round(low * 100), round(high * 100))
        row: Row = {
            "id": f"{stem}-{self.taken[stem]}",
            "kind": kind,
            "name": f"{stem} {self.taken[stem]}",
            "price": f"{cents // 100}.{cents % 100:02d}",
            **{key: value for key, value in what.items() if value is not None},
        }
        self.rows.append(row)
        return row

    def packed(self, low: float, high: float) -> Row:
        """Pack size; a pack costs its pieces."""
        pack = self.pick(1, 1, 2, 5, 10) if self.wish.money else self.pick(1, 1, 4)
        return {"low": low * pack, "high": high * pack, "pack": pack}

    def fitted(self, low: float, high: float) -> Row:
        """Pack size and fitting time."""
        return {**self.packed(low, high), "minutes": self.pick("0 min", "3 min", "90 s", "7 min")}
