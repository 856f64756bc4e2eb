"""Random small sites with price books of their own, for comparing two ways to the optimum.

Every quantity is written as a unit string, as in a site file, and passes through the schemas. A
zone is drawn around a camera of the book, so that most cases can be met, and then pushed to an
edge: detail exactly at what that camera gives, cut lengths that fill a box to the centimetre.
"""

from __future__ import annotations

import random
from fractions import Fraction
from typing import Any

from optimizer import units
from optimizer.pricebook.schema import Book
from optimizer.site.schema import Site
from tests.optimality.catalogue import draw_book
from tests.optimality.drawing import COAX, Row, Wish
from tests.optimality.second import second_opinion

PROFILES = (
    ("composite",),
    ("hd_coax",),
    ("network",),
    ("network",),
    ("composite", "hd_coax"),
    ("hd_coax", "network"),
    ("composite", "hd_coax", "network"),
)


def random_case(seed: int) -> tuple[Site, Book]:
    """A site of one to four zones and a book of about 15 to 40 items, always the same for a seed.

    Of the cases drawn freely more than a third cannot be met. So for seven seeds in ten the first
    of four draws that can be met is taken, in the second opinion's judgement: about 85 in 100
    cases can then be met. The other seeds keep their first draw, met or not, so that a second
    opinion that is wrong about "unmeetable" still shows.
    """
    cases = [free_case(4 * seed + turn) for turn in range(4 if seed % 10 < 7 else 1)]
    for site, book in cases[:-1]:
        if second_opinion(site, book) is not None:
            return site, book
    return cases[-1]


def free_case(seed: int) -> tuple[Site, Book]:
    """One draw, met or not."""
    rng = random.Random(seed)
    draw = rng.random
    audio, steer = draw() < 0.5, draw() < 0.3
    wish = Wish(
        families=rng.choice(PROFILES),
        audio=audio,
        steer=steer,
        leads=draw() < (0.55 if audio else 0.35),
        balun=draw() < (0.6 if steer else 0.35),
        coax=draw() < 0.4,
        ac=draw() < 0.25,
        arrays=draw() < 0.4,
        money=draw() < 0.5,
        picture=draw() < 0.2,
    )
    book = draw_book(rng, wish)
    site = _SiteMaker(rng, wish, book).site(rng.choice((1, 2, 2, 3, 3, 4)), slots=7)
    return Site.model_validate(site), Book.model_validate(book)


def tiny_case(seed: int) -> tuple[Site, Book]:
    """A site of one or two zones and at most three cameras, small enough to try everything."""
    rng = random.Random(10_000_000 + seed)
    draw = rng.random
    families = rng.choice((*PROFILES[:4], PROFILES[5]))
    wish = Wish(
        families=families,
        audio=draw() < 0.4,
        steer=draw() < 0.25,
        leads=draw() < 0.3,
        balun=draw() < 0.6,
        arrays=draw() < 0.35,
        money=draw() < 0.5,
        small=True,
    )
    book = draw_book(rng, wish)
    site = _SiteMaker(rng, wish, book).site(rng.choice((1, 1, 2)), slots=3)
    return Site.model_validate(site), Book.model_validate(book)


def _metres(cm: int) -> str:
    return f"{cm / 100:.2f} m"


def _shared(lists: list[list[str]]) -> list[str]:
    """What stands in every list, sorted."""
    return sorted(set(lists[0]).intersection(*lists[1:]))


class _SiteMaker:
    """Draws one site around the items of a book."""

    def __init__(self, rng: random.Random, wish: Wish, book: Row) -> None:
        self.rng = rng
        self.wish = wish
        self.rows: list[Row] = book["items"]
        self.spare = rng.choice((0, 50, 100, 150))
        self.cameras = [r for r in self.rows if r["kind"] == "camera"]
        self.meant: set[str] = set()
        self.keepers: dict[str, tuple[Row, Row]] = {}

    def chance(self, share: float) -> bool:
        return self.rng.random() < share

    def pick(self, *choices: Any) -> Any:
        return self.rng.choice(choices)

    def of(self, kind: str) -> list[Row]:
        return [r for r in self.rows if r["kind"] == kind]

    def site(self, zones: int, slots: int) -> Row:
        runs = self.runs(zones)
        drawn = []
        for index in range(zones):
            left = slots - (zones - index - 1)
            zone = self.zone(f"z{index + 1}", runs[index], min(left, 3))
            slots -= zone["most_cameras"]
            drawn.append(zone)
        return {
            "leastkit": "site/1",
            "name": "drawn for a test",
            "standard": self.pick("IEC 62676-4:2014", "IEC 62676-4:2025"),
            "money": self.money(),
            "zones": drawn,
            "recording": self.recording(),
            "audio": self.audio(drawn),
            "spare": {
                "channels": self.pick(0, 0, 0, 0, 1, 2),
                "storage": self.pick("0 %", "0 %", "20 %"),
                "supply": self.pick("20 %", "20 %", "0 %", "12.5 %"),
            },
            **self.stock(),
            "policy": self.policy(),
            "assumptions": {
                "end_allowance": _metres(self.spare),
                "conductor_temperature": self.pick("40 C", "20 C", "60 C"),
            },
        }

    def runs(self, zones: int) -> list[int]:
        """Runs in cm; often two of them fill a box to the centimetre, or miss it by one."""
        runs = [self.rng.randint(600, self.pick(2500, 4000, 6000, 9500)) for _ in range(zones)]
        longest: dict[str, int] = {"coax_power": 0, "category": 0}
        for row in self.of("cable"):
            if row["medium"] in longest:
                box = int(units.parse(str(row["box"]), "length") * 100)
                longest[row["medium"]] = max(longest[row["medium"]], box)
        most = min([9500, *(box - 2 * self.spare for box in longest.values() if box)])
        runs = [
            run if run <= most or self.chance(0.03) else most - self.rng.randint(0, 500)
            for run in runs
        ]
        boxes = [units.parse(str(r["box"]), "length") * 100 for r in self.of("cable")]
        if boxes and self.chance(0.4):
            box = int(self.rng.choice(boxes))
            if zones >= 2:
                second = box - runs[0] - 4 * self.spare + self.pick(0, 1, 1, -1)
                runs[1] = second if 300 <= second <= 16000 else runs[1]
            else:
                half = box // 2 - 2 * self.spare + self.pick(0, 1, 1)
                runs[0] = half if half <= 10000 else runs[0]
        return runs

    def zone(self, name: str, run: int, most: int) -> Row:
        rng = self.rng
        meant = rng.choice(self.cameras)
        picture = self.keeper(meant)
        most = rng.choice([n for n in (1, 1, 2, 3) if n <= most])
        views = rng.randint(1, most)
        sensor = Fraction(str(meant["sensor_width"]).split()[0])
        focal = [Fraction(f) for f in str(meant["focal"]).removesuffix(" mm").split(" to ")]
        distance = rng.randint(300, 2500)
        widest = int(sensor * distance / focal[0])
        width = max(
            50, min(rng.randint(200, 1200) * views, widest * views * rng.randint(40, 100) // 100)
        )
        setting = min(focal[-1], sensor * distance * views / width)
        across = min(int(str(meant["picture"]).split("x")[0]), int(picture.split("x")[0]))
        shown = across * setting / (sensor * distance) * 100
        share = self.pick(Fraction(1), Fraction(1), Fraction(9, 10), Fraction(1, 2), Fraction(1, 4))
        wanted = max(Fraction(1), shown * share)
        detail = f"{int(wanted * 1000) / 1000:.3f} px/m"
        if self.chance(0.015):
            detail = f"{int(shown * 1200) / 1000:.3f} px/m"
        outdoors = bool(meant["outdoors"]) and self.chance(0.4)
        zone: Row = {
            "id": name,
            "distance": _metres(distance),
            "width": _metres(width),
            "detail": detail,
            "frame_rate": self.rate(meant),
            "place": "outdoors" if outdoors else "indoors",
            "run": _metres(run),
            "mains": self.chance(0.35),
            "route": self.route("category" if meant["family"] == "network" else "coax_power"),
            "most_cameras": most,
            "steerable": meant["control"] != "none" and self.chance(0.8),
            "discreet": bool(meant["discreet"]) and self.chance(0.3),
            "night": "lit",
            "night_colour": self.chance(0.1),
        }
        least = (
            meant["lux_colour"]
            if zone["night_colour"]
            else meant.get("lux_mono", meant["lux_colour"])
        )
        if self.chance(0.3):
            zone["night"] = self.pick(least, least, least, "1 lx")
        lamp = units.parse(meant.get("infrared", "0 m"), "length") * 100
        if lamp >= distance * (not self.chance(0.1)) and self.chance(0.4):
            zone["night"], zone["night_colour"] = "dark", False
        if meant.get("ingress") and self.chance(0.3):
            zone["ingress"] = self.pick(meant["ingress"], "IP54", "IP44")
        if meant.get("impact") and self.chance(0.25):
            zone["impact"] = self.pick(meant["impact"], "IK07")
        if self.chance(0.25):
            zone["temperature"] = self.pick(
                meant["temperature"], meant["temperature"], "14 to 104 F"
            )
        if self.chance(0.25):
            zone["recorded"] = self.pick("12 h", "40 %", "6 h")
        if self.chance(0.2):
            zone["retention"] = self.pick("3 days", "60 days", "72 h")
        if self.chance(0.15):
            zone["bit_rate"] = self.pick("1.2345 Mbit/s", "3 Mbit/s")
        if self.chance(0.35):
            zone["existing"] = self.existing(run, views, "zone")
        return zone

    def keeper(self, camera: Row) -> str:
        """Largest picture kept by a recorder that takes the camera; remembers both as meant."""
        family = camera["family"]
        if family not in self.keepers:
            fits = [
                (r, g) for r in self.of("recorder") for g in r["inputs"] if family in g["families"]
            ]
            known = {r["id"] for r, _ in self.keepers.values()}
            again = [(r, g) for r, g in fits if r["id"] in known]
            self.keepers[family] = self.rng.choice(again or fits)
        recorder, group = self.keepers[family]
        self.meant |= {camera["id"], recorder["id"]}
        return str(group["picture"])

    def rate(self, camera: Row) -> str:
        most = float(str(camera["frame_rate"]).split()[0])
        rates = [r for r in ("5", "6.25", "12", "12.5", "15", "25") if float(r) <= most]
        return f"{self.rng.choice(rates if self.chance(0.3) else rates[:3])} fps"

    def route(self, medium: str) -> str:
        """Mostly one that the usual cable suits."""
        cable = next((r for r in self.of("cable") if r["medium"] == medium), None)
        if cable is None or self.chance(0.7):
            return "indoor"
        suits = ["indoor"]
        suits += ["riser"] * (cable["fire"] in ("CMR", "CMP")) + ["plenum"] * (
            cable["fire"] == "CMP"
        )
        suits += ["outdoor"] * bool(cable["outdoor"]) + ["buried"] * bool(cable["burial"])
        return str(self.rng.choice(suits))

    def existing(self, run: int, views: int, place: str) -> list[Row]:
        media = ["power_pair", "audio_pair"] if place == "point" else ["power_pair"]
        if place == "zone":
            media += ["coax_power", "coax", "coax"] * bool(set(COAX) & set(self.wish.families))
            media += ["category"] * ("network" in self.wish.families or self.wish.balun)
            media += ["control_pair"] * self.wish.steer
        found = []
        for medium in self.rng.sample(media, min(len(media), self.pick(1, 1, 2))):
            fit = {
                "coax_power": "rg59",
                "coax": self.pick("rg59", "rg6"),
                "category": "cat5e",
                "audio_pair": "audio",
            }
            cable: Row = {
                "medium": medium,
                "length": _metres(run + self.pick(0, 100, 500)),
                "terminated": self.chance(0.4),
                "count": views if self.chance(0.5) else 1,
            }
            if medium in ("coax_power", "power_pair", "category"):
                cable["gauge"] = "24 AWG" if medium == "category" else self.pick("18 AWG", "20 AWG")
            if medium in fit:
                cable["fit"] = fit[medium]
            found.append(cable)
        return found

    def audio(self, zones: list[Row]) -> Row:
        if not self.wish.audio:
            return {}
        points = []
        homes = self.rng.sample(zones, min(len(zones), 1 if self.wish.small else self.pick(1, 2)))
        for number, home in enumerate(homes):
            tied = self.chance(0.8)
            cm = round(float(home["run"].split()[0]) * 100) if tied else self.rng.randint(500, 5000)
            point: Row = {
                "id": f"p{number + 1}",
                "run": _metres(cm),
                "route": home["route"] if self.chance(0.3) else "indoor",
                "place": self.pick("indoors", "indoors", "indoors", "outdoors"),
                "mains": self.chance(0.4),
                "power": "any",
            }
            if self.chance(0.2):
                ways = ["room"] + ["camera"] * tied + ["local"] * bool(point["mains"])
                point["power"] = self.rng.choice(ways)
            if tied:
                point["zone"] = home["id"]
            if self.chance(0.3):
                point["existing"] = self.existing(cm, 1, "point")
            points.append(point)
        return {"points": points, "bit_rate": self.pick("64 kbit/s", "128 kbit/s", "100.5 kbit/s")}

    def recording(self) -> Row:
        keepers = [recorder for recorder, _ in self.keepers.values()]
        failures = 0
        if all(keeper["arrays"] for keeper in keepers):
            failures = self.pick(0, 1, 1, 2 if all("6" in k["arrays"] for k in keepers) else 1)
        cameras = self.rng.sample(self.cameras, min(len(self.cameras), self.pick(0, 1, 1)))
        shown = _shared([list(k["displays"]) for k in keepers]) if self.chance(0.25) else []
        ways = _shared([k["export"] + ["optical"] * (k["optical"] != "none") for k in keepers])
        codec = "H.264"
        if self.chance(0.3):
            viewed = [c["codecs"] for c in self.cameras if c["id"] in self.meant and "codecs" in c]
            codec = self.rng.choice(_shared([k["codecs"] for k in keepers] + viewed))
        elif self.chance(0.1):
            codec = self.rng.choice(self.rng.choice(keepers)["codecs"])
        return {
            "retention": self.pick("7 days", "14 days", "31 days", "72 h", "5 days"),
            "drive_failures": failures,
            "codec": codec,
            "activity": self.pick("low", "medium", "medium", "high"),
            "measured": {c["id"]: self.pick("900 kbit/s", "2.5 Mbit/s") for c in cameras},
            "reserve": self.pick("5 %", "0 %", "10 %"),
            "export": [self.rng.choice(ways)] if ways and self.chance(0.4) else [],
            "displays": dict.fromkeys(shown, 1),
        }

    def stock(self) -> Row:
        owned: list[Row] = []
        if self.chance(0.4):
            items = self.rng.sample(self.rows, min(len(self.rows), self.rng.randint(1, 4)))
            owned = [
                {
                    "item": r["id"],
                    "quantity": self.rng.randint(1, 3),
                    "pinned": self.chance(0.3 if r["id"] in self.meant else 0.02),
                }
                for r in items
            ]
        return {"owned": owned}

    def policy(self) -> Row:
        policy: Row = {"most_joints": self.pick(0, 1, 1, 2)}
        if len(self.wish.families) > 1 and self.chance(0.2):
            used = {r["family"] for r in self.cameras if r["id"] in self.meant}
            idle = [f for f in self.wish.families if f not in used]
            if idle or self.chance(0.4):
                dropped = self.rng.choice(idle or self.wish.families)
                policy["families"] = [f for f in self.wish.families if f != dropped]
        if self.chance(0.2):
            kinds = (
                ("extra", "drive")
                if self.chance(0.9)
                else ("camera", "switch", "supply", "cable", "tool")
            )
            usual = [r["id"] for r in self.rows if r["kind"] in kinds]
            usual += sorted(self.meant)
            policy["require"] = [
                {"item": self.rng.choice(usual), "quantity": self.pick(1, 1, 1, 2)}
            ]
        if self.chance(0.25):
            needed = {r["item"] for r in policy.get("require", [])}
            spared = needed | (self.meant if self.chance(0.8) else set())
            policy["forbid"] = [i for i in {self.rng.choice(self.rows)["id"]} if i not in spared]
        if self.chance(0.2):
            meant = len({r["id"] for r in self.cameras} & self.meant)
            policy["most_camera_models"] = meant if self.chance(0.8) else max(1, meant - 1)
        if self.chance(0.25):
            policy["connectors"] = {
                "bnc": self.pick(
                    ["twist_on"], ["crimp", "compression"], ["compression", "twist_on"]
                )
            }
        if self.chance(0.45):
            policy["labour"] = {
                "rate": self.pick("30.00", "47.50", "61.37"),
                "pulling": self.pick("0 min/m", "0.5 min/m", "0.33 min/m"),
            }
        return policy

    def money(self) -> Row:
        money: Row = {"currency": "EUR", "tax": self.pick("0 %", "19 %", "7.7 %", "21 %")}
        if self.chance(0.15):
            money["budget"] = f"{self.rng.randint(400, 2500)}.00"
            money["budget_includes_tax"] = self.chance(0.6)
        return money


__all__ = ["free_case", "random_case", "tiny_case"]
