"""solve with explanation, what-ifs and alternatives, and steps: what goes where."""

from __future__ import annotations

import json
import os
import pty
import subprocess
import sys
from decimal import Decimal
from pathlib import Path
from typing import Any

import jsonschema
import pytest
import yaml

from tests.unit.cli.running import BOOK, SITE, TOP, here, stand_in
from tests.unit.explaining import door
from tests.unit.reporting import handmade


@pytest.fixture(scope="module")
def files(tmp_path_factory: pytest.TempPathFactory) -> tuple[str, str]:
    """The door's site and price book as files."""
    folder = tmp_path_factory.mktemp("door")
    for name, data in (("site", door.SITE), ("book", door.BOOK)):
        (folder / f"{name}.yaml").write_text(yaml.safe_dump(data, sort_keys=False), "utf-8")
    return str(folder / "site.yaml"), str(folder / "book.yaml")


def asked(files: tuple[str, str], *more: str) -> tuple[int, str]:
    done = here("solve", files[0], "--book", files[1], "--quiet", *more)
    assert done.stderr == ""
    return done.exit_code, done.stdout


def data(files: tuple[str, str], *more: str) -> dict[str, Any]:
    code, text = asked(files, *more, "--json", "-")
    assert code == 0
    found: dict[str, Any] = json.loads(text)
    return found


def test_solve_explains_unless_told_otherwise(files: tuple[str, str]) -> None:
    code, text = asked(files)
    assert code == 0
    assert "What drives the price" in text
    assert "How far each demand goes at this price" in text
    assert "Why each line" in asked(files, "--full")[1]
    code, bare = asked(files, "--no-explain")
    assert code == 0
    assert "What drives the price" not in bare
    assert "231.00 EUR" in text
    assert "231.00 EUR" in bare


def test_the_answer_holds_the_explanation(files: tuple[str, str]) -> None:
    found = data(files)
    # The sign is 5.00 and its tax; the zone is the only one and cannot be dropped.
    [sign] = [b for b in found["binding"] if b["requirement"] == "policy/require.sign"]
    assert sign["dropped"]["difference"] == "-5.50"
    [kept] = [h for h in found["headroom"] if h["requirement"] == "recording/retention"]
    assert (kept["asked"], kept["reaches"]) == ("7 days", "70 days")
    assert kept["next"]["difference"] == "11.00"
    assert [w["item"] for w in found["why"]] == [line["item"] for line in found["bill"]]
    assert found["headline"]
    assert data(files, "--no-explain")["headline"] == ""


def test_full_prices_every_choice(files: tuple[str, str]) -> None:
    code, text = asked(files, "--full")
    assert code == 0
    flat = " ".join(text.split())
    # Composite for HD over coax; coax with power for the lead; 2 TB for 1 TB, 15.00 and tax, is
    # dearer than going composite with 2 TB by 10.00 less.
    assert "without it: +11.00, cam-comp, rec-comp in place of cam-hd, rec-hd" in flat
    assert "without it: +26.40" in flat
    assert "without it: +16.50, drive-2tb in place of drive-1tb" in flat
    # There is one supply in the book.
    assert "without it: cannot be met" in flat


def test_what_if_as_text(files: tuple[str, str]) -> None:
    code, text = asked(files, "--without", "cam-hd", "--set", "recording/retention=9")
    assert code == 0
    assert "recording/retention: 7 days -> 9 days" in text
    assert "policy/forbid.cam-hd: allowed -> forbidden" in text
    assert "231.00 -> 242.00 EUR: +11.00, proven" in text
    assert "Cameras  lens" not in text
    assert "Cameras  lens" in asked(files, "--without", "cam-hd", "--full")[1]


def test_what_if_as_json(files: tuple[str, str]) -> None:
    found = data(files, "--with", "sign=3", "--without", "lead-20")
    # Two signs more are 10.00, the cable 24.00, tax 3.40.
    assert found["total"] == "268.40"
    assert found["what_if"]["before"] == "231.00"
    assert found["what_if"]["difference"] == "37.40"
    bills = found["what_if"]["bills"]
    assert Decimal(bills["goods"]) + Decimal(bills["tax"]) == Decimal(bills["total"])
    assert {line["item"]: line["what"] for line in bills["lines"]}["sign"] == "changed"


def test_a_what_if_that_cannot_be_met(files: tuple[str, str]) -> None:
    code, text = asked(files, "--without", "sm-12")
    assert code == 3
    assert "no kit does this, proven" in text


def test_alternatives(files: tuple[str, str]) -> None:
    code, text = asked(files, "--alternatives", "2", "--no-explain")
    assert code == 0
    flat = " ".join(text.split())
    assert "2. 242.00 +11.00 cam-comp; rec-comp; ready-made leads" in flat
    found = data(files, "--alternatives", "3", "--no-explain")["alternatives"]
    assert [v["total"] for v in found["ranked"]] == ["231.00", "242.00", "257.40"]
    assert found["ranked"][1]["design"]["total"] == "242.00"


def test_answers_of_all_kinds_keep_the_published_schema(files: tuple[str, str]) -> None:
    schema = json.loads(here("schema", "answer").stdout)
    check = jsonschema.Draft202012Validator(schema)
    kinds = (("--full", "--alternatives", "2"), ("--without", "cam-hd"), ("--with", "sign=2"))
    for arguments in kinds:
        check.validate(data(files, *arguments))
    with pytest.raises(jsonschema.ValidationError):
        check.validate({**data(files, "--no-explain"), "binding": "none"})


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (("--with", "cam-hdd"), "cam-hd"),
        (("--without", "cam-hdd"), "cam-hd"),
        (("--with", "sign=0"), "ITEM=NUMBER"),
        (("--with", "sign=many"), "ITEM=NUMBER"),
        (("--set", "recording/retention"), "ID=VALUE"),
        (("--set", "a/b=1", "--set", "a/b=2"), "set twice"),
        (("--set", "recording/retentoin=4"), "recording/retention"),
        (("--set", "recording/retention=soon"), "recording/retention"),
        (("--alternatives", "0"), "--alternatives"),
        (("--alternatives", "2", "--with", "sign"), "one after the other"),
    ],
)
def test_slips_of_the_pen(files: tuple[str, str], arguments: tuple[str, ...], words: str) -> None:
    done = here("solve", files[0], "--book", files[1], *arguments)
    assert done.exit_code == 2
    assert done.stdout == ""
    assert words in done.stderr


def test_an_answer_without_a_kit_is_not_explained(monkeypatch: pytest.MonkeyPatch) -> None:
    stand_in(monkeypatch, handmade.without_kit("unmeetable"))
    done = here("solve", SITE, "--book", BOOK, "--alternatives", "2")
    assert done.exit_code == 3
    assert "Alternatives" not in done.stdout


SHOWN_FIRST = """
import sys
import optimizer.questions
from optimizer import solving
from tests.unit.reporting import handmade
solving.solve_site = lambda *_, **__: handmade.answer()
def explain(site, answer, *more, **options):
    print("EXPLAINING", flush=True)
    return answer.model_copy(update={"headline": "Price driven most by nothing"})
optimizer.questions.explain = explain
from optimizer.cli import main
sys.argv[1:] = ["solve", %r, "--book", %r, "--quiet"]
main()
"""


def test_on_a_terminal_the_kit_is_shown_before_it_is_explained() -> None:
    ours, theirs = pty.openpty()
    done = subprocess.run(
        [sys.executable, "-c", SHOWN_FIRST % (SITE, BOOK)],
        stdout=theirs,
        stderr=subprocess.PIPE,
        check=False,
        cwd=TOP,
        timeout=60,
    )
    os.close(theirs)
    text = b""
    while True:
        try:
            part = os.read(ours, 65536)
        except OSError:
            break
        if not part:
            break
        text += part
    os.close(ours)
    assert (done.returncode, done.stderr) == (0, b"")
    order = [text.index(w) for w in (b"829.58", b"EXPLAINING", b"Price driven most by nothing")]
    assert order == sorted(order)


# steps


def steps(files: tuple[str, str], *more: str) -> Any:
    return here("steps", files[0], "--book", files[1], "--of", "recording/retention", *more)


def test_steps_as_text_json_and_drawing(files: tuple[str, str], tmp_path: Path) -> None:
    plot = tmp_path / "steps.svg"
    done = steps(files, "--from", "68", "--to", "73 days", "--quiet", "--plot", str(plot))
    assert (done.exit_code, done.stderr) == (0, "")
    rows = [line.split() for line in done.stdout.splitlines()[4:]]
    # 1 TB is 70 days of HD over coax; from 71 on composite is cheaper than 2 TB.
    assert rows[0][:5] == ["68", "days", "70", "days", "231.00"]
    assert rows[1][:6] == ["71", "days", "73", "days", "242.00", "+11.00"]
    assert plot.read_bytes().startswith(b"<?xml")
    done = steps(files, "--from", "68", "--to", "73", "--json", "-", "--quiet")
    found = json.loads(done.stdout)
    assert found["schema"] == "leastkit/steps/1"
    assert [level["total"] for level in found["levels"]] == ["231.00", "242.00"]
    assert found["complete"]


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (("--from", "5"), "--to"),
        (("--from", "soon", "--to", "9"), "recording/retention"),
        (("--from", "5", "--to", "9", "--plot", "steps.pdf"), ".svg or .png"),
    ],
)
def test_steps_that_cannot_be_asked(
    files: tuple[str, str], arguments: tuple[str, ...], words: str
) -> None:
    done = steps(files, *arguments)
    assert done.exit_code == 2
    assert done.stdout == ""
    assert words in done.stderr


def test_an_unknown_requirement_is_refused(files: tuple[str, str]) -> None:
    done = here("steps", files[0], "--book", files[1], "--of", "recording/retentoin",
                "--from", "5", "--to", "9")  # fmt: skip
    assert done.exit_code == 2
    assert 'did you mean "recording/retention"?' in done.stderr
