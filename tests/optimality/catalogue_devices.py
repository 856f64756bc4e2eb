"""Invented cameras, recorders, drives, supplies and switches for the random cases."""

from __future__ import annotations

from tests.optimality.drawing import Drawing, Row


class Devices(Drawing):
    """Draws what sees, records and feeds."""

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
            audio=self.pick("none", "input", "built_in")
            if network
            else self.pick("none", "none", "built_in"),
            control=control,
            unit_load=str(self.pick(1, 0.5, 0.125, 0.3)),
            codecs=self.pick(["H.264"], ["H.264", "H.265"], ["H.264", "MJPEG"])
            if network
            else None,
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
            encode = (
                self.pick("8 Mpx/s", "14 Mpx/s", "25 Mpx/s")
                if "hd_coax" not in coax
                else self.pick("40 Mpx/s", "60 Mpx/s", "125 Mpx/s")
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
            audio_inputs=self.pick(1, 1, 2, 4)
            if self.wish.audio and self.chance(0.85)
            else self.pick(0, 1),
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

    def power(self) -> None:
        self.add(
            "supply",
            "box",
            14,
            70,
            form="distribution",
            feed="12 V DC",
            volts=self.pick("12 V", "13 V", "12.6 V", "13 V"),
            outputs=self.pick(2, 4, 4),
            output_amps=self.pick("0.75 A", "1 A", "1.25 A", "2 A"),
            total_amps=self.pick("1.5 A", "2 A", "4 A"),
            ends="screw",
            mains_lead=self.pick(None, "plug-a"),
        )
        if self.chance(0.6):
            self.add(
                "supply",
                "tails",
                8,
                50,
                form="multiway",
                feed="12 V DC",
                volts=self.pick("12 V", "13 V"),
                outputs=self.pick(2, 4),
                output_amps=self.pick("0.7 A", "1 A", "1.25 A"),
                total_amps=self.pick("1.4 A", "2 A", "3 A"),
                ends="barrel",
            )
        if self.chance(0.8):
            amps = self.pick("0.5 A", "1 A", "1.5 A")
            self.add(
                "supply",
                "brick",
                4,
                22,
                form="adapter",
                feed="12 V DC",
                volts=self.pick("12 V", "12.5 V", "13.5 V"),
                outputs=1,
                output_amps=amps,
                total_amps=amps,
                ends="barrel",
                mains_lead=self.pick(None, None, "plug-a"),
            )
        if self.wish.ac:
            self.add(
                "supply",
                "ac",
                14,
                60,
                form="distribution",
                feed="24 V AC",
                volts="24 V",
                outputs=self.pick(2, 4),
                output_amps=self.pick("0.5 A", "1 A"),
                total_amps=self.pick("1 A", "2 A"),
                ends="screw",
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
            self.add(
                "switch",
                "switch",
                12,
                90,
                ports=ports,
                poe=poe,
                mains_lead=self.pick(None, "plug-a"),
            )
        if self.chance(0.6):
            self.add(
                "injector",
                "inject",
                6,
                30,
                poe_class=self.pick(0, 3, 4),
                mains_lead=self.pick(None, None, "plug-a"),
            )
        self.add(
            "lead",
            "patch",
            1,
            6,
            carries=["data"],
            series="patch",
            length=self.pick("1 m", "2 m", "0.5 m", "20 m"),
            joinable=False,
        )
        if self.chance(0.5):
            self.add(
                "lead",
                "patch",
                1,
                9,
                carries=["data"],
                series="patch",
                length="10 m",
                joinable=True,
            )
