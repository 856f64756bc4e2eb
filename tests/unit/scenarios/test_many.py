"""Many sites: which files are sites, what is kept and used again, sums and orders on paper."""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Any

import pytest
import yaml

import optimizer
from optimizer.errors import Defect, InputError
from optimizer.reporting.many import portfolio_csv, purchase_csv
from optimizer.scenarios import Portfolio
from optimizer.scenarios import many as portfolios
from optimizer.scenarios.crew import Task
from optimizer.scenarios.gathering import gather
from optimizer.scenarios.keeping import LOCK, Folder
from optimizer.scenarios.many import FAULT
from optimizer.solving.answer import Answer
from optimizer.writing import PART
from tests.optimality.plain_kit import book, site, zone

OFFER = {
    "id": "o", "name": "off a recorder", "when": [{"items": ["rec"], "at_least": 1}],
    "off": "20.00",
}  # fmt: skip
PRICES = book(
    [OFFER], bnc={"pack": 10, "price": "8.00"},
    cam={"breaks": [{"at_least": 4, "price": "90.00"}]},
)  # fmt: skip
SITES = {"ash": site(), "elm": site(zone("a"), zone("b")), "oak": site(zone("only"))}


def written(path: Path, model: Any) -> Path:
    data = model.model_dump(mode="json", exclude_none=True)
    path.write_text(yaml.safe_dump(data), encoding="utf-8")
    return path


@pytest.fixture(autouse=True)
def _files(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    Path("sites").mkdir()
    for name, asked in SITES.items():
        written(Path(f"sites/{name}.yaml"), asked)
    written(Path("book.yaml"), PRICES)


@pytest.fixture
def solved(monkeypatch: pytest.MonkeyPatch) -> list[int]:
    """Zones of each site that is solved, in the order of solving."""
    done: list[int] = []
    before = Task.done

    def counted(task: Task) -> Answer:
        done.append(len(task.asked.site.zones))
        return before(task)

    monkeypatch.setattr(Task, "done", counted)
    return done


def many(*sites: str, **more: Any) -> Portfolio:
    asked = {"book": "book.yaml", "processes": 1, **more}
    return optimizer.many(sites or ["sites"], "out", **asked)


def totals(found: Portfolio) -> dict[str, dict[str, str | None]]:
    return {c.id: {one.site: one.total for one in c.sites} for c in found.scenarios}


def files() -> dict[str, bytes]:
    return {str(p): p.read_bytes() for p in sorted(Path("out").rglob("*.*")) if p.is_file()}


def test_sums_and_the_order_on_paper() -> None:
    found = many()
    # The plain kit is 424 with two connectors at 1; a pack of ten is 8, the offer takes 20 off:
    # 424 + 6 - 20. Two cameras: 528 - 4 + 8 - 20.
    assert totals(found) == {"base": {"ash": "410.00", "elm": "512.00", "oak": "410.00"}}
    (column,) = found.scenarios
    assert (column.total, column.lower_bound) == ("1332.00", "1332.00")
    assert column.counts == {"optimal": 3}
    bought = column.purchase
    assert bought is not None
    # One pack in place of three: 16 less; four cameras at 90: 40 less; one offer for three: 40.
    assert (bought.apart, bought.net, bought.saving) == ("1332.00", "1316.00", "16.00")
    assert (bought.tax, bought.saving_with_tax) == ("0 %", "16.00")
    lines = {line.item: line for line in bought.lines}
    assert (lines["bnc"].quantity, lines["bnc"].pieces, lines["bnc"].over) == (1, 8, 2)
    assert lines["bnc"].apart == 3
    assert lines["bnc"].sites == {"ash": 2, "elm": 4, "oak": 2}
    assert (lines["cam"].unit_price, lines["cam"].line_total) == ("90.00", "360.00")
    assert [(r.offer, r.amount) for r in bought.reductions] == [("o", "20.00")]
    assert bought.split is None


def test_stock_stays_at_its_site_and_tax_may_differ() -> None:
    # oak has its drive and one pigtail too many; ash pays 10 % tax.
    owned = [{"item": "disk", "quantity": 1}, {"item": "male", "quantity": 3}]
    written(Path("sites/oak.yaml"), site(owned=owned))
    written(Path("sites/ash.yaml"), site(money={"tax": "10 %"}))
    found = many()
    assert totals(found)["base"] == {"ash": "451.00", "elm": "512.00", "oak": "358.00"}
    bought = found.scenarios[0].purchase
    assert bought is not None
    lines = {line.item: line for line in bought.lines}
    assert lines["disk"].sites == {"ash": 1, "elm": 1}
    assert lines["male"].quantity == 3
    assert (bought.apart, bought.saving) == ("1280.00", "16.00")
    assert (bought.tax, bought.saving_with_tax) == (None, None)


def test_labour_and_tax_are_not_saved_twice() -> None:
    # 20 m at 0.5 min/m and 60 an hour: 10.00 labour at each run. With 20 % tax on all bills.
    for name in SITES:
        zones = [zone("a"), zone("b")] if name == "elm" else [zone()]
        labour = {"labour": {"rate": "60.00", "pulling": "0.5 min/m"}}
        written(Path(f"sites/{name}.yaml"), site(*zones, money={"tax": "20 %"}, policy=labour))
    found = many()
    assert totals(found)["base"] == {"ash": "504.00", "elm": "638.40", "oak": "504.00"}
    bought = found.scenarios[0].purchase
    assert bought is not None
    assert (bought.apart, bought.net) == ("1332.00", "1316.00")
    assert (bought.tax, bought.saving_with_tax) == ("20 %", "19.20")


def test_scenarios_of_all_sites() -> None:
    Path("more.yaml").write_text(
        "leastkit: scenarios/1\nscenarios:\n- {id: longer, set: {recording/retention: 75 days}}\n"
        "- {id: cheap, prices: {rec: 180.00}}\n"
        "- {id: wide, set: {recording/retention: 300 days}}\n",
        encoding="utf-8",
    )
    found = many(scenarios="more.yaml")
    # 75 days take two drives at one zone and three at two zones; 300 days no kit keeps at two.
    assert totals(found)["longer"] == {"ash": "460.00", "elm": "612.00", "oak": "460.00"}
    assert totals(found)["cheap"] == {"ash": "390.00", "elm": "492.00", "oak": "390.00"}
    wide = found.scenarios[3]
    assert totals(found)["wide"] == dict.fromkeys(SITES)
    assert wide.counts == {"unmeetable": 3}
    assert (wide.total, wide.purchase) == (None, None)
    assert all("recording/retention (300 days)" in one.because for one in wide.sites)
    table = list(csv.DictReader(io.StringIO(portfolio_csv(found))))
    assert [row["total"] for row in table if row["scenario"] == "longer"] == [
        "460.00", "612.00", "460.00", "1532.00",
    ]  # fmt: skip
    orders = list(csv.DictReader(io.StringIO(purchase_csv(found))))
    cams = [row for row in orders if row["id"] == "cam" and row["scenario"] == "longer"]
    assert [(r["quantity"], r["amount"], r["for elm"]) for r in cams] == [("4", "360.00", "2")]
    assert {row["scenario"] for row in orders} == {"base", "longer", "cheap"}


def test_a_refused_scenario_names_the_site_and_solves_nothing(solved: list[int]) -> None:
    Path("more.yaml").write_text(
        "leastkit: scenarios/1\nscenarios:\n- {id: a, set: {zones.b/width: 4 m}}\n",
        encoding="utf-8",
    )
    with pytest.raises(InputError) as caught:
        many(scenarios="more.yaml")
    told = [t.what for t in caught.value.troubles]
    assert len(told) == 2
    assert "for site ash" in told[0]
    assert "for site oak" in told[1]
    assert solved == []


def test_finished_answers_are_kept_until_an_input_changes(solved: list[int]) -> None:
    first = many()
    # ash and oak differ in the name of the zone alone, which is what they are asked as.
    assert solved == [2, 1, 1]
    before = files()
    assert many() == first
    assert solved == [2, 1, 1]
    assert files() == before
    written(Path("sites/oak.yaml"), site(zone("only", run="30 m")))
    many()
    assert solved == [2, 1, 1, 1]
    written(Path("book.yaml"), book())
    assert totals(many())["base"] == {"ash": "424.00", "elm": "528.00", "oak": "424.00"}
    assert len(solved) == 7


def test_sites_that_are_alike_are_solved_once(solved: list[int]) -> None:
    text = "# the same, in another file\n" + Path("sites/ash.yaml").read_text("utf-8")
    Path("sites/fir.yaml").write_text(text, encoding="utf-8")
    found = many("sites/ash.yaml", "sites/fir.yaml")
    assert solved == [1]
    assert totals(found)["base"] == {"ash": "410.00", "fir": "410.00"}
    answers = [json.loads(Path(f"out/answers/base/{n}.json").read_text()) for n in ("ash", "fir")]
    digests = {answer["provenance"]["site_sha256"] for answer in answers}
    assert len(digests) == 2
    # Each is found again under the checksum of its own file.
    many("sites/ash.yaml", "sites/fir.yaml")
    assert solved == [1]


@pytest.mark.parametrize(
    ("spoil", "told"),
    [
        (lambda text: text[:-40], "cannot be read back"),
        (lambda text: text.replace('"total": "410.00"', '"total": "10.00"'), "audit"),
        (lambda text: text.replace('"optimal"', '"feasible"'), "not proven, as its name says"),
    ],
)
def test_a_kept_answer_that_was_spoilt_is_solved_again(
    solved: list[int], spoil: Any, told: str
) -> None:
    many("sites/ash.yaml")
    kept = Path("out/answers/base/ash.json")
    whole = kept.read_text("utf-8")
    spoilt = spoil(whole)
    assert spoilt != whole
    kept.write_text(spoilt, encoding="utf-8")
    notes: list[str] = []
    many("sites/ash.yaml", note=notes.append)
    assert len(notes) == 1
    assert told in notes[0]
    assert solved == [1, 1]
    assert kept.read_text("utf-8") == whole


def test_what_was_not_proven_is_kept_for_the_time_it_had(monkeypatch: pytest.MonkeyPatch) -> None:
    given: list[float] = []
    before = Task.done

    def cut_short(task: Task) -> Answer:
        given.append(task.seconds)
        found = before(task)
        if task.seconds >= 50:
            return found
        return found.model_copy(update={"status": "feasible", "lower_bound": "400.00", "gap": 0.02})

    monkeypatch.setattr(Task, "done", cut_short)
    found = many("sites/ash.yaml", seconds=20)
    assert found.scenarios[0].sites[0].answer == "answers/base/ash@20s.json"
    assert found.scenarios[0].sites[0].status == "feasible"
    assert (found.scenarios[0].total, found.scenarios[0].lower_bound) == ("410.00", "400.00")
    many("sites/ash.yaml", seconds=10)
    assert given == [20]
    many("sites/ash.yaml", seconds=30)
    assert given == [20, 30]
    assert sorted(p.name for p in Path("out/answers/base").iterdir()) == ["ash@30s.json"]
    found = many("sites/ash.yaml", seconds=60)
    assert found.scenarios[0].sites[0].answer == "answers/base/ash.json"
    assert sorted(p.name for p in Path("out/answers/base").iterdir()) == ["ash.json"]
    many("sites/ash.yaml", seconds=30)
    assert given == [20, 30, 60]


@pytest.mark.parametrize("there", [True, False])
def test_stopped_beside_a_file_the_count_is_of_what_is_in_the_folder(
    there: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The second answer is stopped just after, or just before, its file is put in place."""
    before, puts, told = Folder.put, [], []

    def put(folder: Folder, path: Path, text: str) -> None:
        puts.append(path)
        if len(puts) < 2 or there:
            before(folder, path, text)
        if len(puts) == 2:
            raise KeyboardInterrupt

    monkeypatch.setattr(Folder, "put", put)
    with pytest.raises(KeyboardInterrupt):
        many(progress=lambda done, of: told.append((done, of)))
    assert len(list(Path("out/answers/base").glob("*.json"))) == 1 + there
    assert told == [(0, 3), (1, 3), (1 + there, 3)]


def test_a_fault_at_one_site_leaves_the_others(monkeypatch: pytest.MonkeyPatch) -> None:
    before = Task.done

    def faulty(task: Task) -> Answer:
        if len(task.asked.site.zones) == 2:
            raise Defect("two proofs differ")
        return before(task)

    with monkeypatch.context() as patched:
        patched.setattr(Task, "done", faulty)
        found = many()
    column = found.scenarios[0]
    assert column.counts == {"optimal": 2, "fault": 1}
    assert column.sites[1].because == f"Defect: two proofs differ; {FAULT}"
    assert column.total == "820.00"
    assert column.purchase is not None
    assert column.purchase.sites == ("ash", "oak")
    # Nothing of it was kept.
    assert totals(many())["base"]["elm"] == "512.00"


def test_processes_write_the_same_bytes() -> None:
    many()
    one = files()
    optimizer.many(["sites"], "other", "book.yaml", processes=2)
    two = {str(p): p.read_bytes() for p in sorted(Path("other").rglob("*.*")) if p.is_file()}
    assert {name.replace("other/", "out/"): raw for name, raw in two.items()} == one


def test_a_folder_of_sites_and_files_of_other_kinds() -> None:
    Path("sites/book.yaml").write_bytes(Path("book.yaml").read_bytes())
    Path("sites/readme.txt").write_text("not looked at", encoding="utf-8")
    Path("more/hall").mkdir(parents=True)
    written(Path("more/hall/site.yaml"), site())
    found = gather(["sites", "more/hall"])
    assert list(found.sites) == ["ash", "elm", "oak", "hall"]
    assert found.passed_over == (Path("sites/book.yaml"),)
    notes: list[str] = []
    many(note=notes.append)
    assert notes == ["not sites, passed over: sites/book.yaml"]


@pytest.mark.parametrize(
    ("paths", "told"),
    [
        (["sites", "sites/ash.yaml"], "the site is named twice"),
        (["sites", "other/ash.yaml"], 'two sites would be called "ash"; the other is sites/ash'),
        (["empty"], "there is no site in this folder"),
        (["other/a@2.yaml"], "answers are kept under the name of the site"),
        (["bad"], "bad/spoilt.yaml"),
        (["nowhere.yaml"], "there is no such file"),
    ],
)
def test_sites_that_cannot_be_used(paths: Sequence[str], told: str, solved: list[int]) -> None:
    for name in ("other", "empty", "bad"):
        Path(name).mkdir()
    for name in ("ash", "a@2"):
        written(Path(f"other/{name}.yaml"), site())
    Path("bad/spoilt.yaml").write_text("leastkit: [site/1\n", encoding="utf-8")
    with pytest.raises(InputError, match=told.replace("(", r"\(")):
        many(*paths)
    assert solved == []
    assert not list(Path().glob("out/answers/*/*"))


@pytest.mark.parametrize(
    ("out", "told"),
    [
        ("sites", "the folder holds other files"),
        ("book.yaml", "cannot be written: File exists"),
        ("book.yaml/inside", "cannot be written: Not a directory"),
        ("/proc/here", "cannot be written: No such file or directory"),
    ],
)
def test_folders_that_cannot_be_used(out: str, told: str, solved: list[int]) -> None:
    before = {p: p.read_bytes() for p in Path().rglob("*.yaml")}
    with pytest.raises(InputError, match=told) as caught:
        optimizer.many(["sites"], out, "book.yaml", processes=1)
    (trouble,) = caught.value.troubles
    assert trouble.file == out
    assert trouble.hint
    assert solved == []
    assert {p: p.read_bytes() for p in Path().rglob("*") if p.is_file()} == before


def test_what_a_killed_run_was_writing_is_cleared_away() -> None:
    many()
    before = files()
    part = Path(f"out/answers/base/{PART}abc")
    part.write_text("half", encoding="utf-8")
    many()
    assert not part.exists()
    assert files() == before
    assert Path("out", LOCK).exists()


def test_progress_counts_what_is_kept_first() -> None:
    told: list[tuple[int, int]] = []
    many("sites/ash.yaml")
    many(progress=lambda done, of: told.append((done, of)))
    assert told == [(1, 3), (2, 3), (3, 3)]


def test_a_runner_may_answer_in_any_order(monkeypatch: pytest.MonkeyPatch) -> None:
    expected = many()

    def backwards(tasks: Sequence[Task]) -> Iterator[tuple[int, Answer | Exception]]:
        for place in reversed(range(len(tasks))):
            yield place, tasks[place].done()

    monkeypatch.setattr(portfolios, "local", lambda _size: backwards)
    assert optimizer.many(["sites"], "again", "book.yaml") == expected
