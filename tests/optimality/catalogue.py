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


class Catalogue:
    """Draws the items of one book."""

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

    def cameras(self) -> None:
        for family in self.wish.families:
            most = 1 if self.wish.small else (2 if len(self.wish.families) > 1 else 4)
            for _ in range(self.rng.randint(1, most)):
                self.camera(family)
        if self.wish.steer:
            self.camera(self.pick(*self.wish.families), steerable=True)

    def camera(self, family: str, steerable: bool = False) -> Row:
        network = family == "network"
        picture = {
            "composite": ("704x576", "960x576"),
            "hd_coax": ("1280x720", "1920x1080", "2560x1440"),
            "network": ("1280x720", "1920x1080", "2688x1520", "3840x2160"),
        }[family]
        watts = self.rng.choice((2, 3, 4.5, 6, 6, 9))
        feeds = [
            {
                "feed": "12 V DC",
                "watts": f"{watts} W",
                "volts": self.pick("10.8 to 13.2 V", "11 to 13.5 V", "9 to 15 V", "9.6 to 14 V"),
            }
        ]
        if self.wish.ac and self.chance(0.6):
            ac = {"feed": "24 V AC", "watts": f"{watts + 1} W", "volts": "21.6 to 26.4 V"}
            feeds = [ac] if self.chance(0.3) else [*feeds, ac]
        poe = None
        if network and self.chance(0.85):
            poe = self.pick(0, 1, 2, 2, 3, 4)
            if self.chance(0.4):
                feeds = []
        control = "none"
        if steerable or self.chance(0.08):
            steerable = True
            ways = ("network", "network", "rs485") if network else ("rs485", "coax", "rs485")
            control = self.pick(*ways) if self.chance(0.92) else "none"
        return self.add(
            "camera",
            {"composite": "cvbs", "hd_coax": "hd", "network": "net"}[family],
            35,
            240 if not steerable else 420,
            family=family,
            picture=self.pick(*picture),
            frame_rate=self.pick("25 fps", "30 fps", "15 fps", "12.5 fps"),
            sensor_width=self.pick("4.8 mm", "5.37 mm", "3.2 mm", "6.4 mm"),
            sensor_height="3.6 mm",
            focal=self.pick("2.8 mm", "4 mm", "6 mm", "2.8 to 12 mm", "5 to 50 mm", "3.6 mm"),
            steerable=steerable,
            discreet=self.chance(0.3),
            outdoors=self.chance(0.8),
            ingress=self.pick("IP66", "IP67", "IP54", None),
            impact=self.pick("IK10", "IK08", None),
            temperature=self.pick("-30 to 50 C", "-10 to 45 C", "-30 to 60 C"),
            infrared=self.pick(None, "15 m", "30 m", "50 m"),
            lux_colour=self.pick("0.05 lx", "0.5 lx", "2 lx"),
            lux_mono=self.pick(None, "0.01 lx", "0.3 lx"),
            feeds=feeds,
            poe_class=poe,
            power_plug=self.pick("barrel", "barrel", "terminals"),
            audio=self.pick("none", "input", "built_in") if network else self.pick("none", "none", "built_in"),
            control=control,
            unit_load=str(self.pick(1, 0.5, 0.125, 0.3)),
            codecs=self.pick(["H.264"], ["H.264", "H.265"], ["H.264", "MJPEG"]) if network else None,
            bracket=self.pick("round", "square") if self.chance(0.2) else None,
        )

    def recorders(self) -> None:
        families = self.wish.families
        coax = [f for f in families if f != "network"]
        plans: list[list[str]] = [coax] if coax else []
        if "network" in families:
            plans.append(["network"])
        if coax and "network" in families:
            plans = [[*coax, "network"], self.pick(*plans)]
        elif not self.wish.small and self.chance(0.7):
            plans.append(plans[0])
        if len(coax) == 2 and self.chance(0.5):
            plans.append([self.pick(*coax)])
        for plan in plans:
            self.recorder(plan)

    def recorder(self, plan: list[str]) -> Row:
        coax = [f for f in plan if f != "network"]
        inputs = []
        small = self.wish.picture
        if coax:
            inputs.append(
                {
                    "families": coax,
                    "count": self.pick(2, 3, 4, 8),
                    "picture": self.pick("704x576", "960x576", "1280x720")
                    if small or "hd_coax" not in coax
                    else self.pick("1920x1080", "2560x1440", "1280x1440"),
                }
            )
        if "network" in plan:
            inputs.append(
                {
                    "families": ["network"],
                    "count": self.pick(2, 3, 4, 8),
                    "picture": self.pick("1280x720", "1920x1080")
                    if small
                    else self.pick("1920x1080", "3840x2160", "3840x2160"),
                }
            )
        total = sum(group["count"] for group in inputs)
        encode = None
        if coax:
            encode = self.pick("8 Mpx/s", "14 Mpx/s", "25 Mpx/s") if "hd_coax" not in coax else self.pick(
                "40 Mpx/s", "60 Mpx/s", "125 Mpx/s"
            )
        poe = None
        if "network" in plan and self.chance(0.35):
            poe = {
                "ports": self.pick(1, 2, 4),
                "poe_class": self.pick(2, 3, 4),
                "budget": self.pick("15.4 W", "25 W", "40 W", "62 W"),
            }
        arrays = []
        if self.wish.arrays:
            arrays = self.rng.sample(["mirror", "5", "6", "10"], self.rng.randint(1, 4))
        return self.add(
            "recorder",
            "rec",
            90,
            380,
            inputs=inputs,
            channels=self.pick(None, max(2, total - 2)) if self.chance(0.6) else None,
            encode_rate=encode,
            ingest=self.pick("8 Mbit/s", "12 Mbit/s", "24 Mbit/s", "80 Mbit/s")
            if "network" in plan
            else None,
            codecs=self.pick(["H.264"], ["H.264", "H.265"], ["H.264", "MJPEG", "H.265"]),
            audio_inputs=self.pick(1, 1, 2, 4) if self.wish.audio and self.chance(0.85) else self.pick(0, 1),
            bays=self.pick(4, 6) if arrays else self.pick(1, 1, 2, 3),
            largest_drive=self.pick("1 TB", "2 TB", "4 TB", "4 TB"),
            arrays=arrays,
            control=self.pick(["rs485", "coax"], ["rs485", "coax"], ["rs485"], ["coax"], []),
            unit_loads=self.pick(0, 1, 2, 32),
            displays=self.pick({"hdmi": 1}, {"hdmi": 1, "vga": 1}, {"vga": 1, "composite": 1}, {}),
            export=self.pick(["usb"], ["usb", "network"], ["network"]),
            optical=self.pick("none", "built_in", "own_bay", "drive_bay"),
            poe=poe,
            mains_lead=self.pick("plug-a", None, None),
        )

    def drives(self) -> None:
        sizes = self.rng.sample(["250 GB", "465 GiB", "500 GB", "1 TB", "2 TB", "4 TB"], 3)
        sizes[0] = self.pick("1 TB", "1.82 TiB", "1 TB")
        for size in dict.fromkeys(sizes[: 2 if self.wish.small or self.chance(0.6) else 3]):
            self.add("drive", "disk", 18, 130, capacity=size)

    def cables(self) -> None:
        boxes = ("100 m", "152.4 m", "305 m", "60 m", "500 ft")
        fire = lambda: self.pick("CM", "CMR", "CMP")  # noqa: E731 - drawn anew each time
        outside = lambda: {"outdoor": self.chance(0.75), "burial": self.chance(0.4)}  # noqa: E731
        if set(COAX) & set(self.wish.families):
            gauge, rating, out = self.pick("18 AWG", "20 AWG", "16 AWG"), fire(), outside()
            reach = self.pick({}, {}, {"hd_coax": "60 m"}, {"composite": "45 m"})
            for box in self.rng.sample(boxes, self.rng.randint(1, 2)):
                self.add(
                    "cable", "siamese", 22, 95, medium="coax_power", construction="siamese",
                    box=box, gauge=gauge, fit="rg59", fire=rating, reach=reach, **out,
                )
            if self.wish.coax:
                self.add(
                    "cable", "coax", 15, 60, medium="coax", construction="coax",
                    box=self.pick(*boxes), fit=self.pick("rg59", "rg6"), fire=fire(),
                    reach=self.pick({}, {}, {"hd_coax": "50 m", "composite": "80 m"}), **outside(),
                )
        if "network" in self.wish.families or self.wish.balun:
            gauge, rating, out = self.pick("24 AWG", "23 AWG"), fire(), outside()
            fit = self.pick("cat5e", "cat6")
            for box in self.rng.sample(boxes, self.rng.randint(1, 1 if self.wish.small else 2)):
                self.add(
                    "cable", "utp", 18, 80, medium="category", construction="utp", box=box,
                    gauge=gauge, fit=fit, fire=rating, **out,
                )
        if self.wish.audio or self.chance(0.85):
            self.add(
                "cable", "pair", 8, 45, medium="power_pair", construction="pair",
                box=self.pick(*boxes), gauge=self.pick("18 AWG", "16 AWG", "20 AWG"), fire=self.pick("CM", "CMP", "CMP"),
                **outside(),
            )
        if self.wish.audio:
            self.add(
                "cable", "sound", 6, 30, medium="audio_pair", construction="sound",
                box=self.pick(*boxes), fit="audio", fire=self.pick("CM", "CMP", "CMP"), **outside(),
            )
        if self.wish.steer:
            self.add(
                "cable", "steer", 6, 30, medium="control_pair", construction="steer",
                box=self.pick(*boxes), fire=fire(), **outside(),
            )

    def packed(self, low: float, high: float) -> Row:
        """Pack size; a pack costs its pieces."""
        pack = self.pick(1, 1, 2, 5, 10) if self.wish.money else self.pick(1, 1, 4)
        return {"low": low * pack, "high": high * pack, "pack": pack}

    def fitted(self, low: float, high: float) -> Row:
        """Pack size and fitting time."""
        return {**self.packed(low, high), "minutes": self.pick("0 min", "3 min", "90 s", "7 min")}

    def parts(self) -> None:
        coax_fits = sorted(
            {str(r["fit"]) for r in self.rows if r.get("medium") in ("coax", "coax_power")}
            | ({"rg59", "rg6"} if set(COAX) & set(self.wish.families) else set())
        )
        if coax_fits:
            self.add("connector", "bnc", type="bnc", fits=coax_fits, method="twist_on", **self.fitted(0.4, 1.5))
            if self.chance(0.7):
                self.add(
                    "connector", "bnc", type="bnc", fits=self.rng.sample(coax_fits, 1),
                    method=self.pick("crimp", "compression"), tool=self.pick("press", "press", None),
                    **self.fitted(0.2, 1.0),
                )
                self.add("tool", "press", 4, 30, types=["press", "crimper"])
        if any(r.get("medium") == "category" for r in self.rows):
            self.add(
                "connector", "rj45", type="rj45", fits=["cat5e", "cat6"],
                method=self.pick("crimp", "plug"), tool=self.pick("crimper", None),
                **self.fitted(0.1, 0.9),
            )
            if self.chance(0.4):
                self.add("connector", "rj45", type="rj45", fits=["cat5e", "cat6"], method="plug", **self.fitted(0.5, 1.5))
            if any(r.get("tool") == "crimper" for r in self.rows) and "press" not in self.taken:
                self.add("tool", "press", 4, 30, types=["crimper"])
        if self.wish.audio:
            self.add("connector", "rca", type="rca", fits=["audio"], method=self.pick("solder", "twist_on"), **self.fitted(0.3, 1.5))
        self.add("pigtail", "tail-m", gender="male", **self.fitted(0.5, 2))
        self.add("pigtail", "tail-f", gender="female", **self.fitted(0.5, 2))
        if any("bracket" in r for r in self.rows):
            self.add("bracket", "arm", 3, 15, fits=["round", "square"])
            if self.chance(0.5):
                self.add("bracket", "arm", 2, 10, fits=["round"])

    def power(self) -> None:
        self.add(
            "supply", "box", 14, 70, form="distribution", feed="12 V DC",
            volts=self.pick("12 V", "13 V", "12.6 V", "13 V"), outputs=self.pick(2, 4, 4),
            output_amps=self.pick("0.75 A", "1 A", "1.25 A", "2 A"),
            total_amps=self.pick("1.5 A", "2 A", "4 A"), ends="screw",
            mains_lead=self.pick(None, "plug-a"),
        )
        if self.chance(0.6):
            self.add(
                "supply", "tails", 8, 50, form="multiway", feed="12 V DC",
                volts=self.pick("12 V", "13 V"), outputs=self.pick(2, 4),
                output_amps=self.pick("0.7 A", "1 A", "1.25 A"),
                total_amps=self.pick("1.4 A", "2 A", "3 A"), ends="barrel",
            )
        if self.chance(0.8):
            amps = self.pick("0.5 A", "1 A", "1.5 A")
            self.add(
                "supply", "brick", 4, 22, form="adapter", feed="12 V DC",
                volts=self.pick("12 V", "12.5 V", "13.5 V"), outputs=1, output_amps=amps,
                total_amps=amps, ends="barrel", mains_lead=self.pick(None, None, "plug-a"),
            )
        if self.wish.ac:
            self.add(
                "supply", "ac", 14, 60, form="distribution", feed="24 V AC", volts="24 V",
                outputs=self.pick(2, 4), output_amps=self.pick("0.5 A", "1 A"),
                total_amps=self.pick("1 A", "2 A"), ends="screw",
            )

    def network(self) -> None:
        if "network" not in self.wish.families:
            return
        for _ in range(self.rng.randint(1, 1 if self.wish.small else 2)):
            ports = self.pick(2, 4, 5)
            poe = None
            if self.chance(0.75):
                poe = {
                    "ports": self.rng.randint(1, ports),
                    "poe_class": self.pick(2, 3, 4, 4, 4),
                    "budget": self.pick("15.4 W", "30.8 W", "46 W", "60 W", "61.59 W"),
                }
            self.add("switch", "switch", 12, 90, ports=ports, poe=poe, mains_lead=self.pick(None, "plug-a"))
        if self.chance(0.6):
            self.add(
                "injector", "inject", 6, 30, poe_class=self.pick(0, 3, 4),
                mains_lead=self.pick(None, None, "plug-a"),
            )
        self.add(
            "lead", "patch", 1, 6, carries=["data"], series="patch",
            length=self.pick("1 m", "2 m", "0.5 m", "20 m"), joinable=False,
        )
        if self.chance(0.5):
            self.add("lead", "patch", 1, 9, carries=["data"], series="patch", length="10 m", joinable=True)

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
            for length in self.rng.sample(["25 ft", "50 ft", "100 ft", "150 ft"], self.rng.randint(1, 3)):
                self.add(
                    "lead", "ready", 3, 30, carries=carries, length=length, series="ready",
                    joinable=joinable, coupler=coupler, gauge=gauge, fit="rg59", reach=reach,
                    outdoor=rest,
                )
        if self.wish.audio and self.chance(0.6):
            self.add(
                "lead", "voice", 3, 20, carries=["power", "audio"], series="voice", gauge="20 AWG",
                length=self.pick("50 ft", "100 ft"), joinable=joinable, coupler=coupler,
            )
        if coupler is not None:
            self.add("coupler", "joint", type="joint", **self.packed(0.3, 2))

    def sound(self) -> None:
        if not self.wish.audio:
            return
        self.add(
            "microphone", "mic", 6, 40, watts=self.pick("0.3 W", "1 W", "2.4 W"),
            volts=self.pick("10.8 to 13.2 V", "9 to 16 V", "9.5 to 13.8 V"), outdoors=self.chance(0.6),
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
                    "balun", "balun", 2, 12,
                    families=self.pick(["composite"], ["composite", "hd_coax"], ["hd_coax"]),
                    reach=self.pick("35 m", "60 m", "300 m"), power_pairs=pairs, active=active,
                    watts=self.pick("0.5 W", "3 W") if active else None,
                )
        if any("mains_lead" in r for r in self.rows):
            self.add("mains_lead", "cord", 1, 6, type="plug-a")
        if any(r.get("optical") in ("own_bay", "drive_bay") for r in self.rows) and self.chance(0.9):
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
            when = [{"items": self.rng.sample(near, self.rng.randint(1, len(near))), "at_least": self.pick(1, 2, 3)}]
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
        maker.cameras, maker.recorders, maker.drives, maker.cables, maker.parts, maker.power,
        maker.network, maker.ready_leads, maker.sound, maker.rest, maker.breaks,
    ):
        part()
    return {
        "leastkit": "book/1",
        "name": "drawn for a test",
        "currency": "EUR",
        "items": maker.rows,
        "offers": maker.offers(),
    }
