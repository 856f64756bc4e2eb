"""Invented cables, parts, leads, sound and offers, and the whole book for the random cases."""

from __future__ import annotations

import random

from tests.optimality.catalogue_devices import Devices
from tests.optimality.drawing import COAX, Row, Wish


class Catalogue(Devices):
    """Draws the items of one book."""

    def cables(self) -> None:
        boxes = ("100 m", "152.4 m", "305 m", "60 m", "500 ft")
        fire = lambda: self.pick("CM", "CMR", "CMP")  # noqa: E731 - drawn anew each time
        outside = lambda: {"outdoor": self.chance(0.75), "burial": self.chance(0.4)}  # noqa: E731
        if set(COAX) & set(self.wish.families):
            gauge, rating, out = self.pick("18 AWG", "20 AWG", "16 AWG"), fire(), outside()
            reach = self.pick({}, {}, {"hd_coax": "60 m"}, {"composite": "45 m"})
            for box in self.rng.sample(boxes, self.rng.randint(1, 2)):
                self.add(
                    "cable",
                    "siamese",
                    22,
                    95,
                    medium="coax_power",
                    construction="siamese",
                    box=box,
                    gauge=gauge,
                    fit="rg59",
                    fire=rating,
                    reach=reach,
                    **out,
                )
            if self.wish.coax:
                self.add(
                    "cable",
                    "coax",
                    15,
                    60,
                    medium="coax",
                    construction="coax",
                    box=self.pick(*boxes),
                    fit=self.pick("rg59", "rg6"),
                    fire=fire(),
                    reach=self.pick({}, {}, {"hd_coax": "50 m", "composite": "80 m"}),
                    **outside(),
                )
        if "network" in self.wish.families or self.wish.balun:
            gauge, rating, out = self.pick("24 AWG", "23 AWG"), fire(), outside()
            fit = self.pick("cat5e", "cat6")
            for box in self.rng.sample(boxes, self.rng.randint(1, 1 if self.wish.small else 2)):
                self.add(
                    "cable",
                    "utp",
                    18,
                    80,
                    medium="category",
                    construction="utp",
                    box=box,
                    gauge=gauge,
                    fit=fit,
                    fire=rating,
                    **out,
                )
        if self.wish.audio or self.chance(0.85):
            self.add(
                "cable",
                "pair",
                8,
                45,
                medium="power_pair",
                construction="pair",
                box=self.pick(*boxes),
                gauge=self.pick("18 AWG", "16 AWG", "20 AWG"),
                fire=self.pick("CM", "CMP", "CMP"),
                **outside(),
            )
        if self.wish.audio:
            self.add(
                "cable",
                "sound",
                6,
                30,
                medium="audio_pair",
                construction="sound",
                box=self.pick(*boxes),
                fit="audio",
                fire=self.pick("CM", "CMP", "CMP"),
                **outside(),
            )
        if self.wish.steer:
            self.add(
                "cable",
                "steer",
                6,
                30,
                medium="control_pair",
                construction="steer",
                box=self.pick(*boxes),
                fire=fire(),
                **outside(),
            )

    def parts(self) -> None:
        coax_fits = sorted(
            {str(r["fit"]) for r in self.rows if r.get("medium") in ("coax", "coax_power")}
            | ({"rg59", "rg6"} if set(COAX) & set(self.wish.families) else set())
        )
        if coax_fits:
            self.add(
                "connector",
                "bnc",
                type="bnc",
                fits=coax_fits,
                method="twist_on",
                **self.fitted(0.4, 1.5),
            )
            if self.chance(0.7):
                self.add(
                    "connector",
                    "bnc",
                    type="bnc",
                    fits=self.rng.sample(coax_fits, 1),
                    method=self.pick("crimp", "compression"),
                    tool=self.pick("press", "press", None),
                    **self.fitted(0.2, 1.0),
                )
                self.add("tool", "press", 4, 30, types=["press", "crimper"])
        if any(r.get("medium") == "category" for r in self.rows):
            self.add(
                "connector",
                "rj45",
                type="rj45",
                fits=["cat5e", "cat6"],
                method=self.pick("crimp", "plug"),
                tool=self.pick("crimper", None),
                **self.fitted(0.1, 0.9),
            )
            if self.chance(0.4):
                self.add(
                    "connector",
                    "rj45",
                    type="rj45",
                    fits=["cat5e", "cat6"],
                    method="plug",
                    **self.fitted(0.5, 1.5),
                )
            if any(r.get("tool") == "crimper" for r in self.rows) and "press" not in self.taken:
                self.add("tool", "press", 4, 30, types=["crimper"])
        if self.wish.audio:
            self.add(
                "connector",
                "rca",
                type="rca",
                fits=["audio"],
                method=self.pick("solder", "twist_on"),
                **self.fitted(0.3, 1.5),
            )
        self.add("pigtail", "tail-m", gender="male", **self.fitted(0.5, 2))
        self.add("pigtail", "tail-f", gender="female", **self.fitted(0.5, 2))
        if any("bracket" in r for r in self.rows):
            self.add("bracket", "arm", 3, 15, fits=["round", "square"])
            if self.chance(0.5):
                self.add("bracket", "arm", 2, 10, fits=["round"])

    def ready_leads(self) -> None:
        if not self.wish.leads:
            return
        joinable, coupler = self.chance(0.7), self.pick(None, "joint")
        if set(COAX) & set(self.wish.families):
            carries = ["video", "power"]
            if self.chance(0.8 if self.wish.audio else 0.3):
                carries.append("audio")
            gauge, rest = self.pick("18 AWG", "20 AWG", "22 AWG"), self.chance(0.5)
            reach = self.pick({}, {"hd_coax": "40 m"})
            for length in self.rng.sample(
                ["25 ft", "50 ft", "100 ft", "150 ft"], self.rng.randint(1, 3)
            ):
                self.add(
                    "lead",
                    "ready",
                    3,
                    30,
                    carries=carries,
                    length=length,
                    series="ready",
                    joinable=joinable,
                    coupler=coupler,
                    gauge=gauge,
                    fit="rg59",
                    reach=reach,
                    outdoor=rest,
                )
        if self.wish.audio and self.chance(0.6):
            self.add(
                "lead",
                "voice",
                3,
                20,
                carries=["power", "audio"],
                series="voice",
                gauge="20 AWG",
                length=self.pick("50 ft", "100 ft"),
                joinable=joinable,
                coupler=coupler,
            )
        if coupler is not None:
            self.add("coupler", "joint", type="joint", **self.packed(0.3, 2))

    def sound(self) -> None:
        if not self.wish.audio:
            return
        self.add(
            "microphone",
            "mic",
            6,
            40,
            watts=self.pick("0.3 W", "1 W", "2.4 W"),
            volts=self.pick("10.8 to 13.2 V", "9 to 16 V", "9.5 to 13.8 V"),
            outdoors=self.chance(0.6),
        )
        if self.chance(0.5):
            self.add("microphone", "mic", 3, 25, plug_in=True, outdoors=self.chance(0.7))
        if self.chance(0.9):
            self.add("splitter", "split", **self.packed(0.3, 2))

    def rest(self) -> None:
        if self.wish.balun:
            for _ in range(1 if self.wish.small else self.rng.randint(1, 2)):
                pairs = self.pick(0, 1, 2, 3)
                active = pairs > 0 and self.chance(0.5)
                self.add(
                    "balun",
                    "balun",
                    2,
                    12,
                    families=self.pick(["composite"], ["composite", "hd_coax"], ["hd_coax"]),
                    reach=self.pick("35 m", "60 m", "300 m"),
                    power_pairs=pairs,
                    active=active,
                    watts=self.pick("0.5 W", "3 W") if active else None,
                )
        if any("mains_lead" in r for r in self.rows):
            self.add("mains_lead", "cord", 1, 6, type="plug-a")
        if any(r.get("optical") in ("own_bay", "drive_bay") for r in self.rows) and self.chance(
            0.9
        ):
            self.add("optical_writer", "writer", 10, 40)
        self.add("extra", "sign", 2, 30)

    def breaks(self) -> None:
        """Price breaks that never fall below three quarters of the list price."""
        for row in self.rows:
            if self.chance(0.25 if self.wish.money else 0.05):
                cents = round(float(row["price"]) * 100)
                steps = []
                for start in sorted(self.rng.sample((2, 3, 4, 6), self.rng.randint(1, 2))):
                    cents = max(cents - self.rng.randint(1, max(1, cents // 8)), 1)
                    steps.append({"at_least": start, "price": f"{cents // 100}.{cents % 100:02d}"})
                row["breaks"] = steps

    def offers(self) -> list[Row]:
        """Up to two offers; the shares of all percent offers stay below one half together."""
        if not self.wish.money or self.chance(0.2):
            return []
        names = [r["id"] for r in self.rows if r["kind"] != "extra"]
        found: list[Row] = []
        for number in range(self.rng.randint(1, 2)):
            kinds = self.pick("camera", "recorder", "drive", "supply", "connector", "cable")
            near = [r["id"] for r in self.rows if r["kind"] == kinds] or names
            when = [
                {
                    "items": self.rng.sample(near, self.rng.randint(1, len(near))),
                    "at_least": self.pick(1, 2, 3),
                }
            ]
            if self.chance(0.4):
                when.append({"items": [self.rng.choice(names)], "at_least": 1})
            offer: Row = {"id": f"offer-{number + 1}", "name": f"offer {number + 1}", "when": when}
            if self.chance(0.4):
                offer["off"] = f"{self.rng.randint(2, 25)}.{self.rng.randint(0, 99):02d}"
            else:
                offer["percent"] = self.pick("10 %", "12.5 %", "24 %")
                offer["on"] = self.rng.sample(names, self.rng.randint(1, min(4, len(names))))
                offer["most"] = self.pick(None, 1, 2, 3)
            found.append({k: v for k, v in offer.items() if v is not None})
        return found


def draw_book(rng: random.Random, wish: Wish) -> Row:
    """The data of one price book, as a book file would hold it."""
    maker = Catalogue(rng, wish)
    for part in (
        maker.cameras,
        maker.recorders,
        maker.drives,
        maker.cables,
        maker.parts,
        maker.power,
        maker.network,
        maker.ready_leads,
        maker.sound,
        maker.rest,
        maker.breaks,
    ):
        part()
    return {
        "leastkit": "book/1",
        "name": "drawn for a test",
        "currency": "EUR",
        "items": maker.rows,
        "offers": maker.offers(),
    }
