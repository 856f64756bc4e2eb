"""A portfolio on the terminal: verdicts, orders that save or cost, long lists cut, widths kept."""

from __future__ import annotations

import io
from typing import Any

import pytest
from rich.console import Console

from optimizer.reporting.many import purchase_csv, render_many
from optimizer.scenarios.portfolio import Portfolio


def one(name: str, status: str = "optimal", total: str | None = "120.00", **more: Any) -> Any:
    met = {"cameras": 1, "net": "100.00", "total": total, "lower_bound": total, "gap": 0.0}
    base = {"site": name, "name": f"Site {name}", "file": f"{name}.yaml", "status": status}
    return {**base, **(met if total is not None else {}), **more}


def bought(net: str, apart: str, saving: str, **more: Any) -> dict[str, Any]:
    line = {
        "item": "cam", "name": "camera", "quantity": 2, "unit_price": "50.00",
        "line_total": "100.00", "pieces": 2, "over": 0, "apart": 2, "sites": {"a": 1, "b": 1},
    }  # fmt: skip
    base = {"book": "by hand", "sites": ["a", "b", "c"], "lines": [line], "goods": "100.00"}
    return {**base, "net": net, "apart": apart, "saving": saving, **more}


def portfolio(*sites: Any, purchase: Any = None, **more: Any) -> Portfolio:
    counts: dict[str, int] = {}
    for site in sites:
        counts[site["status"]] = counts.get(site["status"], 0) + 1
    column = {"id": "base", "name": "", "sites": sites, "counts": counts, "purchase": purchase}
    return Portfolio.model_validate({"currency": "EUR", "scenarios": [{**column, **more}]})


def shown(found: Portfolio, width: int = 80) -> str:
    out = io.StringIO()
    render_many(found, "kits", Console(file=out, width=width, highlight=False))
    lines = out.getvalue().splitlines()
    assert all(len(line) <= width for line in lines)
    return " ".join(" ".join(line.split()) for line in lines)


ALL = [one("a"), one("b"), one("c")]


@pytest.mark.parametrize(
    ("purchase", "told"),
    [
        (bought("90.00", "100.00", "10.00"), "one order saves 10.00"),
        (
            bought("90.00", "100.00", "10.00", tax="20 %", saving_with_tax="12.00"),
            "one order saves 10.00, 12.00 with 20 % tax",
        ),
        (
            bought("104.00", "100.00", "-4.00", tax="20 %", saving_with_tax="-4.80"),
            "one order costs 4.00 more, 4.80 with 20 % tax: an offer applies once for each order",
        ),
        (bought("100.00", "100.00", "0.00"), "one order costs what the sites pay apart"),
        (
            bought("100.00", "100.00", "0.00", sites=["b"]),
            "only b has a kit: there is nothing to buy together",
        ),
        (
            bought("104.00", "100.00", "-4.00",
                   split={"net": "97.00", "saving": "3.00", "alone": ["c"], "proven": True}),
            "cheaper: one order without c, which buy for themselves, saves 3.00 against buying",
        ),
        (
            bought("104.00", "100.00", "-4.00",
                   split={"net": "100.00", "saving": "0.00", "alone": ["a", "c"], "proven": True}),
            "cheapest: each site for itself",
        ),
        (
            bought("104.00", "100.00", "-4.00",
                   split={"net": "97.00", "saving": "3.00", "alone": ["c"], "proven": False}),
            "cheaper, the best found: one order without c",
        ),
    ],
)  # fmt: skip
def test_what_is_said_of_an_order(purchase: dict[str, Any], told: str) -> None:
    assert told in shown(portfolio(*ALL, purchase=purchase))


def test_verdicts_and_why() -> None:
    found = portfolio(
        one("a"),
        one("b", "feasible", "130.00", lower_bound="125.50"),
        one("c", "unmeetable", None, because="no kit meets zones.x/detail (identify)"),
        one("d", "undecided", None, because="neither a kit nor a proof"),
        one("e", "fault", None, because="Defect: two proofs differ"),
    )
    text = shown(found, 100)
    assert "1 proven, 1 best found, 1 cannot be met, 1 undecided, 1 fault of the program" in text
    assert "best found, at least 125.50" in text
    assert "c: no kit meets zones.x/detail (identify)" in text
    assert "e: Defect: two proofs differ" in text
    assert "2 with a kit" in text
    assert "Cautions that go with the work stand in each answer" in text


def test_long_lists_are_cut_with_the_rest_summed() -> None:
    text = shown(portfolio(*(one(f"s{n}") for n in range(45)), total="5400.00", net="4500.00"))
    assert "45 sites all met, each the cheapest, proven" in text
    assert "s39 " in text
    assert "s40 " not in text
    assert "5 more, in summary.csv 600.00" in text


def test_rows_of_the_orders_are_equally_long() -> None:
    offer = {"offer": "o", "amount": "5.00", "because": "off"}
    found = portfolio(*ALL, purchase=bought("95.00", "100.00", "5.00", reductions=[offer]))
    rows = purchase_csv(found).splitlines()
    assert {row.count(",") for row in rows} == {12}
    assert rows[2].startswith("base,offer,o,off,,,-5.00,")
