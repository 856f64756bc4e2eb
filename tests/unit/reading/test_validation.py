"""Validation on schemas of its own: what the site's schema does not show."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal
from pathlib import Path
from typing import Annotated, Literal

import pytest
from pydantic import Field, model_validator

from optimizer.errors import InputError, Trouble
from optimizer.reading import Source, read_source, validate
from optimizer.reading.fields import Base, Length


class Lamp(Base):
    kind: Literal["lamp"]
    bulb: int = Field(ge=1)
    load: Decimal = Field(default=Decimal(1), gt=0, le=1)


class Bulb(Base):
    kind: Literal["bulb"]
    name: str = Field(default="", min_length=1)
    reach: Length | None = None

    @model_validator(mode="after")
    def _named(self) -> Bulb:
        if self.name == "bad":
            raise ValueError("a bulb cannot be bad")
        return self


class Shelf(Base):
    leastkit: Literal["shelf/1"] = "shelf/1"
    things: tuple[Annotated[Lamp | Bulb, Field(discriminator="kind")], ...] = Field(
        default=(), max_length=3
    )
    counts: dict[Literal["a", "b"], int] = Field(default_factory=dict)
    least: int = Field(default=0, ge=0)
    most: int = Field(default=0, lt=9)


def _source(folder: Path, text: str) -> Source:
    path = folder / "shelf.yaml"
    path.write_text(text)
    return read_source(path, "shelf")


def _told(folder: Path, text: str) -> list[tuple[int | None, str, str, str | None, str, str]]:
    with pytest.raises(InputError) as caught:
        validate(Shelf, _source(folder, text))
    return [(t.line, t.field, t.what, t.value, t.accepted, t.hint) for t in caught.value.troubles]


def test_right_data(tmp_path: Path) -> None:
    shelf = validate(Shelf, _source(tmp_path, "things: [{kind: lamp, bulb: 2, load: '0.5'}]\n"))
    assert shelf.things == (Lamp(kind="lamp", bulb=2, load=Decimal("0.5")),)


@pytest.mark.parametrize(
    ("text", "told"),
    [
        # "bulb" is a field of one member of the union and the name of the other.
        (
            "things:\n- kind: lamp\n  bulb: no\n",
            (
                3,
                "things[0].bulb",
                "this is not a whole number",
                "no",
                "a whole number, at least 1",
                "write digits only, such as 4",
            ),
        ),
        (
            "things:\n- kind: bulb\n  bulb: 1\n",
            (
                3,
                "things[0].bulb",
                '"bulb" is not a field here',
                None,
                "kind, name, reach",
                "it is a field of an entry of things of kind lamp: check the indentation",
            ),
        ),
        (
            "things:\n- kind: lump\n  bulb: 1\n",
            (
                2,
                "things[0].kind",
                "this is not one of the choices",
                "lump",
                "lamp, bulb",
                'did you mean "lamp"?',
            ),
        ),
        (
            "things:\n- bulb: 1\n",
            (
                2,
                "things[0].kind",
                '"kind" is missing',
                None,
                "lamp, bulb",
                "add a line 'kind: lamp' (or another kind)",
            ),
        ),
        (
            "things:\n- kind: [lamp]\n",
            (
                2,
                "things[0].kind",
                "a list stands where one value is expected",
                "a list of 1 entry",
                "lamp, bulb",
                "write lamp without the brackets or dash",
            ),
        ),
        (
            "things:\n- lamp\n",
            (
                2,
                "things[0]",
                "a single value stands where a mapping is expected",
                "lamp",
                "a mapping with a kind: lamp, bulb",
                "write the fields below it, one 'name: value' a line, indented",
            ),
        ),
        (
            "things:\n- kind: lamp\n  bulb: 1\n  load: 0\n",
            (
                4,
                "things[0].load",
                "this number is too small",
                "0",
                "a number, more than 0 and at most 1",
                "check the number",
            ),
        ),
        (
            "things:\n- kind: lamp\n  bulb: 1\n  load: nan\n",
            (
                4,
                "things[0].load",
                "this is not a number",
                "nan",
                "a number, more than 0 and at most 1",
                "write digits, with a decimal point if needed",
            ),
        ),
        (
            "things:\n- kind: bulb\n  name: ''\n",
            (
                3,
                "things[0].name",
                "this text is empty",
                "",
                "text that is not empty",
                "write at least a word",
            ),
        ),
        (
            "things:\n- kind: bulb\n  name: bad\n",
            (
                2,
                "things[0]",
                "a bulb cannot be bad",
                None,
                "a mapping with the fields kind, name, reach",
                "see `leastkit schema` for what each field takes",
            ),
        ),
        (
            "things: [{kind: bulb}, {kind: bulb}, {kind: bulb}, {kind: bulb}]\n",
            (
                1,
                "things",
                "there are 4 entries",
                "a list of 4 entries",
                "at most 3 entries",
                "split the file",
            ),
        ),
        (
            "counts: {c: 1}\n",
            (
                1,
                "counts.c",
                "this is not one of the choices",
                "c",
                "a, b",
                "choose one of these",
            ),
        ),
        (
            "least: -1\n",
            (
                1,
                "least",
                "this number is too small",
                "-1",
                "a whole number, at least 0",
                "check the number",
            ),
        ),
        (
            "most: 9\n",
            (
                1,
                "most",
                "this number is too large",
                "9",
                "a whole number, less than 9",
                "check the number",
            ),
        ),
        (
            f"most: {'9' * 5000}\n",
            (
                1,
                "most",
                "this is not a whole number",
                "9" * 120 + "... (5000 characters)",
                "a whole number, less than 9",
                "write digits only, such as 4",
            ),
        ),
    ],
)
def test_told(tmp_path: Path, text: str, told: tuple[int, str, str, str | None, str, str]) -> None:
    assert _told(tmp_path, text) == [told]


def test_part_of_a_source(tmp_path: Path) -> None:
    text = "list:\n- {}\n- shelf:\n    most: 1\n- shelf:\n    most: x\n"
    source = _source(tmp_path, text)
    assert validate(Shelf, source, ("list", 1, "shelf")).most == 1
    with pytest.raises(InputError) as caught:
        validate(Shelf, source, ("list", 2, "shelf"))
    assert [(t.line, t.field) for t in caught.value.troubles] == [(6, "list[2].shelf.most")]


def test_other_checks_are_told_with_the_rest(tmp_path: Path) -> None:
    def also(source: Source) -> Iterator[Trouble]:
        yield Trouble("second", source.name, 2)

    source = _source(tmp_path, "least: 1\nmost: 2\nmost: 3\n")
    with pytest.raises(InputError) as caught:
        validate(Shelf, source, also=also)
    assert [t.line for t in caught.value.troubles] == [2, 3]


def test_a_thousand_are_enough(tmp_path: Path) -> None:
    text = "".join(f"x{i}: 1\n" for i in range(1500))
    assert len(_told(tmp_path, text)) == 1000
