"""What can be bought: the schema of a price book, one model for each kind of item.

All quantities are exact decimals in base units, prices in hundredths of the currency unit. The
rules that say how items work together are in ``optimizer/RULES.md``.
"""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field, model_validator

from optimizer.pricebook.devices import (
    Camera,
    CameraFeed,
    Drive,
    Extra,
    Injector,
    Inputs,
    Microphone,
    OpticalWriter,
    PoePorts,
    Recorder,
    Supply,
    Switch,
)
from optimizer.pricebook.item import Array, Feed, Fire, Item, PriceBreak
from optimizer.pricebook.parts import (
    Balun,
    Bracket,
    Cable,
    Connector,
    Coupler,
    Fitted,
    Laid,
    Lead,
    MainsLead,
    Packed,
    Pigtail,
    Splitter,
    Tool,
)
from optimizer.reading.fields import (
    Base,
    Currency,
    Ident,
    Money,
    Prose,
    Share,
    Title,
)
from optimizer.reading.readers import refuse

AnyItem = Annotated[
    Camera
    | Recorder
    | Drive
    | OpticalWriter
    | Microphone
    | Lead
    | Cable
    | Connector
    | Pigtail
    | Coupler
    | Splitter
    | Tool
    | Balun
    | Supply
    | Switch
    | Injector
    | Bracket
    | MainsLead
    | Extra,
    Field(discriminator="kind"),
]


class Condition(Base):
    """At least this many pieces bought, of these items together."""

    items: tuple[Ident, ...] = Field(min_length=1)
    at_least: int = Field(ge=1)


class Offer(Base):
    """A reduction that applies, once, exactly when all its conditions hold."""

    id: Ident
    name: Title = Field(min_length=1)
    when: tuple[Condition, ...] = Field(min_length=1)
    off: Money | None = Field(default=None, description="a sum")
    percent: Share | None = Field(default=None, description="of the list price of each piece in on")
    on: tuple[Ident, ...] = ()
    most: int | None = Field(default=None, ge=1, description="most pieces of `on` reduced")

    @model_validator(mode="after")
    def _one_kind(self) -> Offer:
        if (self.off is None) == (self.percent is None):
            raise refuse(
                "an offer gives one of off and percent",
                "off: a sum; or percent beside on",
                "keep one of the two" if self.percent is not None else "add a line 'off: 10.00'",
                field="off",
            )
        if (self.percent is None) != (not self.on):
            raise refuse(
                "percent and on go together",
                "on: ids of the items that are reduced, beside percent",
                "add the one that is missing, or remove the other",
                field="on",
            )
        if self.most is not None and self.percent is None:
            raise refuse(
                "most goes with percent only",
                "percent beside most",
                "remove most: a sum comes off once",
                field="most",
            )
        return self


class Book(Base):
    """A price book file."""

    leastkit: Literal["book/1"]
    name: Title
    currency: Currency
    note: Prose = ""
    extends: Literal["builtin"] | None = None
    remove: tuple[Ident, ...] = Field(
        default=(), description="ids of items and offers of the built-in book"
    )
    items: tuple[AnyItem, ...] = ()
    offers: tuple[Offer, ...] = ()


__all__ = [
    "AnyItem",
    "Array",
    "Balun",
    "Book",
    "Bracket",
    "Cable",
    "Camera",
    "CameraFeed",
    "Condition",
    "Connector",
    "Coupler",
    "Drive",
    "Extra",
    "Feed",
    "Fire",
    "Fitted",
    "Injector",
    "Inputs",
    "Item",
    "Laid",
    "Lead",
    "MainsLead",
    "Microphone",
    "Offer",
    "OpticalWriter",
    "Packed",
    "Pigtail",
    "PoePorts",
    "PriceBreak",
    "Recorder",
    "Splitter",
    "Supply",
    "Switch",
    "Tool",
]
