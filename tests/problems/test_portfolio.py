"""The worked portfolio: its totals by sums on paper, by the second formulation, by trying.

Each kit has a recorder 140, a drive 45, a box of cable 38, a supply 26, a pack of connectors 12 and
a sign 4: 265.00; a pigtail 1.50 and a dome 60 (or an eye 80) for each camera. kiosk 265 + 61.50;
pharmacy 265 + 3 x 61.50 - 10 of the offer; bookshop 265 + 61.50 + 81.50. A month: 31 days of
13.436928 GB (plain_kit.py says how) with 5 % kept free are 438.5 GB a camera, three of them 1,315:
a second drive. Together: five domes at 54 save 30, twelve connectors take two packs, not three.
"""

from __future__ import annotations

from decimal import Decimal
from pathlib import Path

import pytest
import yaml

import optimizer
from optimizer.questions import prepare
from optimizer.scenarios import Portfolio, load_scenarios
from optimizer.scenarios.applying import cases
from optimizer.units import money, money_text
from tests.optimality.orders import cheapest
from tests.optimality.readings import total_of
from tests.optimality.second import second_opinion
from tests.problems.asking import FOLDER

HERE = FOLDER / "three-branches"
BOOK = HERE / "book.yaml"
EXPECTED = yaml.safe_load((HERE / "expected.yaml").read_text(encoding="utf-8"))
KITS = {"bookshop": ("dome", "eye"), "kiosk": ("dome",), "pharmacy": ("dome",) * 3}
PRICES = {"dome": Decimal(60), "eye": Decimal(80)}


@pytest.fixture(scope="module")
def found(tmp_path_factory: pytest.TempPathFactory) -> Portfolio:
    out = tmp_path_factory.mktemp("portfolio") / "kits"
    return optimizer.many([HERE], out, BOOK, HERE / "scenarios.yaml", processes=1)


def on_paper(cameras: tuple[str, ...], scenario: str) -> Decimal:
    """Net of a kit, by the sums above."""
    net = Decimal(265) + sum(PRICES[c] + Decimal("1.50") for c in cameras)
    net -= 10 if cameras.count("dome") >= 3 else 0
    net += 45 if scenario == "month" and len(cameras) == 3 else 0
    return net + (14 if scenario == "dear-recorders" else 0)


@pytest.mark.parametrize("scenario", EXPECTED["totals"])
def test_totals(found: Portfolio, scenario: str) -> None:
    column = next(c for c in found.scenarios if c.id == scenario)
    assert {one.site: one.total for one in column.sites} == EXPECTED["totals"][scenario]
    assert column.counts == {"optimal": 3}
    for name, total in EXPECTED["totals"][scenario].items():
        assert Decimal(total) == on_paper(KITS[name], scenario) * Decimal("1.2")


@pytest.mark.parametrize("name", KITS)
def test_totals_by_the_second_formulation(name: str) -> None:
    asked, prices = prepare(HERE / f"{name}.yaml", BOOK)
    for case in cases(asked, prices, load_scenarios(HERE / "scenarios.yaml")):
        net = second_opinion(case.asked.site, case.book.book)
        assert net is not None
        total = money_text(total_of(case.asked.site, net))
        assert total == EXPECTED["totals"][case.id][name]


@pytest.mark.parametrize("scenario", EXPECTED["orders"])
def test_the_order(found: Portfolio, scenario: str) -> None:
    column = next(c for c in found.scenarios if c.id == scenario)
    assert column.purchase is not None
    assert column.purchase.apart == EXPECTED["orders"][scenario]["apart"]
    assert column.purchase.net == EXPECTED["orders"][scenario]["net"]
    assert column.purchase.saving_with_tax == EXPECTED["saved with tax"] == "50.40"
    assert Decimal(column.purchase.apart) == sum(on_paper(k, scenario) for k in KITS.values())
    assert Decimal(column.purchase.saving) == 30 + 12


def test_no_number_of_packs_is_cheaper() -> None:
    prices = prepare(HERE / "kiosk.yaml", BOOK)[1]
    # Recorders and domes alone have an offer or a break; the rest is bought as needed.
    few = prices.book.model_copy(
        update={"items": tuple(prices.items[i] for i in ("dome", "rec-4", "bnc-10"))}
    )
    best = cheapest(few, {"dome": 5, "rec-4": 3, "bnc-10": 12}, 12)
    rest = 80_00 + 3 * (45_00 + 38_00 + 26_00 + 4_00) + 6 * 1_50
    assert best + rest == money(EXPECTED["orders"]["base"]["net"])


def test_folder_is_complete() -> None:
    heading, *lines = (HERE / "README.md").read_text(encoding="utf-8").strip().splitlines()
    assert "invented" in heading
    assert len(lines) <= 5
    text = " ".join(lines)
    apart = sum(map(Decimal, EXPECTED["totals"]["base"].values()))
    assert f"{apart:,} EUR apart" in text
    assert f"{apart - Decimal(EXPECTED['saved with tax']):,} EUR in one order" in text
    for file in Path(HERE).glob("*.yaml"):
        if file.name != "expected.yaml":
            assert "Invented" in file.read_text(encoding="utf-8")
