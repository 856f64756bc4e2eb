"""What every item of a price book has, and the field types that only price books need."""

from __future__ import annotations

from decimal import Decimal
from typing import Annotated, Literal

from pydantic import AfterValidator, Field, model_validator

from optimizer.reading.fields import (
    Base,
    Ident,
    Light,
    Money,
    Prose,
    Title,
)
from optimizer.reading.readers import quantity, refuse

Feed = Literal["12 V DC", "24 V AC"]
Fire = Literal["CMX", "CM", "CMG", "CMR", "CMP"]
Array = Literal["mirror", "5", "6", "10"]


def _some_light(value: Decimal) -> Decimal:
    if value == 0:
        raise refuse(
            "no sensor sees without light: 0 lx on a data sheet means the infra-red lamp",
            "more than 0 lx",
            "give the lamp's reach as infrared, and here the figure without the lamp",
        )
    return value


SomeLight = Annotated[Light, AfterValidator(_some_light)]
SomeLength = Annotated[Decimal, quantity("length", "1 cm", "100 km")]
SomeVolts = Annotated[Decimal, quantity("voltage", "1 V", "500 V")]


class PriceBreak(Base):
    """Unit price of every piece when at least this many are bought."""

    at_least: int = Field(ge=2)
    price: Money


class Item(Base):
    """What all items have."""

    id: Ident
    name: Title = Field(min_length=1)
    price: Money
    breaks: tuple[PriceBreak, ...] = ()
    note: Prose = ""

    @model_validator(mode="after")
    def _breaks_rise(self) -> Item:
        starts = [b.at_least for b in self.breaks]
        if starts != sorted(set(starts)):
            raise refuse(
                "the price breaks do not rise",
                "each at_least once, from small to large",
                "put them in rising order of at_least",
                field="breaks",
            )
        return self
