"""Items that carry signal and power, and the parts that go with them."""

from __future__ import annotations

from decimal import Decimal
from typing import Literal

from pydantic import Field, model_validator

from optimizer import units
from optimizer.pricebook.item import (
    Fire,
    Item,
    SomeLength,
)
from optimizer.reading.fields import (
    Gauge,
    Ident,
    Length,
    Minutes,
    Power,
    Title,
)
from optimizer.reading.readers import refuse
from optimizer.reading.terms import ConnectorType, Family, Fit, Medium, Method


class Laid(Item):
    """Anything that lies along a run."""

    fire: Fire = "CM"
    outdoor: bool = False
    burial: bool = False
    gauge: Gauge | None = Field(default=None, description="of power conductors or category pairs")
    fit: Fit | None = None


class Lead(Laid):
    """A ready-made lead, connectors fitted at the factory; never cut."""

    kind: Literal["lead"]
    carries: tuple[Literal["video", "power", "audio", "data"], ...] = Field(min_length=1)
    length: SomeLength
    series: Ident = Field(description="leads of one series differ in length only and join up")
    joinable: bool = False
    coupler: Ident | None = Field(default=None, description="type of coupler each joint needs")
    reach: dict[Family, Length] = Field(default_factory=dict)

    @model_validator(mode="after")
    def _whole(self) -> Lead:
        carried = tuple(sorted(self.carries))
        if carried not in {
            ("power", "video"),
            ("audio", "power", "video"),
            ("audio", "power"),
            ("data",),
        }:
            raise refuse(
                "no lead is known that carries these together",
                "[video, power], [video, power, audio], [power, audio] or [data]",
                "use one of these four",
                field="carries",
            )
        if "power" in carried and self.gauge is None:
            raise refuse(
                "a lead that carries power needs its gauge",
                units.accepts("gauge"),
                "it decides the voltage at the camera; it is printed on the jacket",
                field="gauge",
            )
        if "video" in carried and self.fit not in ("rg59", "rg6", "rg11"):
            raise refuse(
                "a lead that carries video needs the fit of its coax",
                "rg59, rg6, rg11",
                "add a line 'fit: rg59'",
                field="fit",
            )
        return self


class Cable(Laid):
    """A box of cable, cut to length."""

    kind: Literal["cable"]
    medium: Medium
    construction: Ident = Field(description="boxes of one construction differ in length only")
    box: SomeLength
    reach: dict[Family, Length] = Field(default_factory=dict)

    @model_validator(mode="after")
    def _whole(self) -> Cable:
        if self.medium in ("coax_power", "power_pair", "category") and self.gauge is None:
            raise refuse(
                f"a {self.medium} cable needs its gauge",
                units.accepts("gauge"),
                "it decides the voltage at the camera; it is printed on the jacket",
                field="gauge",
            )
        fits = {
            "coax_power": ("rg59", "rg6", "rg11"),
            "coax": ("rg59", "rg6", "rg11"),
            "category": ("cat5e", "cat6"),
            "audio_pair": ("audio",),
        }.get(self.medium)
        if fits is not None and self.fit not in fits:
            raise refuse(
                f"a {self.medium} cable needs its fit",
                ", ".join(fits),
                f"add a line 'fit: {fits[0]}'",
                field="fit",
            )
        return self


class Packed(Item):
    """Small parts, sold in packs."""

    pack: int = Field(default=1, ge=1, description="pieces for one price")


class Fitted(Packed):
    """Small parts whose fitting takes time that counts."""

    minutes: Minutes = Decimal(0)


class Connector(Fitted):
    kind: Literal["connector"]
    type: ConnectorType
    fits: tuple[Fit, ...] = Field(min_length=1)
    method: Method
    tool: Ident | None = Field(default=None, description="type of tool that fits it")

    @model_validator(mode="after")
    def _matches(self) -> Connector:
        able = {"bnc": ("rg59", "rg6", "rg11"), "rj45": ("cat5e", "cat6"), "rca": ("audio",)}
        if not set(self.fits) <= set(able[self.type]):
            fits = ", ".join(able[self.type])
            raise refuse(
                f"a connector of type {self.type} does not fit these",
                fits,
                "put type or fits right",
                field="fits",
            )
        return self


class Pigtail(Fitted):
    kind: Literal["pigtail"]
    gender: Literal["male", "female"]


class Coupler(Packed):
    kind: Literal["coupler"]
    type: Ident


class Splitter(Packed):
    """Feeds a camera and a microphone from one barrel plug."""

    kind: Literal["splitter"]


class Tool(Item):
    kind: Literal["tool"]
    types: tuple[Ident, ...] = Field(min_length=1)


class Balun(Item):
    """One end of a video run over category cable; a run takes two of the same item."""

    kind: Literal["balun"]
    families: tuple[Literal["composite", "hd_coax"], ...] = Field(min_length=1)
    reach: Length
    power_pairs: int = Field(default=0, ge=0, le=3, description="pairs that carry power")
    active: bool = False
    watts: Power = Field(default=Decimal(0), description="drawn at the camera end")

    @model_validator(mode="after")
    def _fed(self) -> Balun:
        if self.watts and not self.power_pairs:
            raise refuse(
                "a balun that draws power at the camera end must carry it there",
                "power_pairs from 1 to 3 beside watts",
                "add a line 'power_pairs: 1', or leave watts out",
                field="power_pairs",
            )
        return self


class Bracket(Item):
    kind: Literal["bracket"]
    fits: tuple[Ident, ...] = Field(min_length=1, description="hole patterns")


class MainsLead(Item):
    kind: Literal["mains_lead"]
    type: Title
