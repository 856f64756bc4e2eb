"""Several sites settled in one search: what the cheapest kit of each costs, proven.

The program speaks of all of them; exactly one change is made (`families/changing`). With U_d the
price of a kit known for change d, or a price above which nothing is of interest, and L a limit of
our choice, the objective is

    price + sum over d of (L - U_d) r_d

so that whatever costs less than L is a cheaper kit than the one known, whichever change it makes;
and where nothing does, no change has a kit below its U_d. When a cheaper kit is found, U_d falls
and the objective rises: what was ruled out before stays ruled out, and the search goes on where it
was. So one tree settles all questions, in place of one tree each.
"""

from __future__ import annotations

import heapq
import math
import time
from collections.abc import Iterable, Mapping
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, field

from optimizer.instance.tables import Shift
from optimizer.model.draft import Draft
from optimizer.solving.case import Case, by_families, lifted, narrowed, opened
from optimizer.solving.cpsat import CpSat
from optimizer.solving.openings import Openings
from optimizer.solving.shrinking import Grid, shrink
from optimizer.solving.tree import Fixed, Node
from optimizer.solving.working import SEARCH, Result, Worker

_CORES = 2
_START_WORK = 2.0
_NEAR_WORK = 0.03
_CLOSE_WORK = 0.3
"""Efforts in deterministic units, so that what is found does not hang on the machine."""

_FEW, _MORE = 700, 1500
"""Variables left up to which CP-SAT is asked about the whole; the latter with several families."""

_CHOICES = ("seen/", "feed/", "path/", "steer/", "stream/", "sound/")


@dataclass(frozen=True)
class Kit:
    """A kit that is known, of the site without any change.

    Attributes
    ----------
    cameras : dict of (int, str, int) to int
        Table, camera item and how many side by side, to how many zones have it.
    bought : dict of str to int
        Packs bought of each item.
    """

    cameras: Mapping[tuple[int, str, int], int]
    bought: Mapping[str, int]


@dataclass
class Settled:
    """What is known of each change after the search.

    Attributes
    ----------
    prices : dict of str to int
        Net price of the cheapest kit found, or the one given beforehand. [hundredth]
    least : dict of str to int
        Proven, or known beforehand: no kit that makes this change costs less, net. [hundredth]
    values : dict of str to tuple of int
        Solutions of the program, of the changes for which a cheaper kit was found.
    """

    prices: dict[str, int]
    least: dict[str, int] = field(default_factory=dict)
    values: dict[str, tuple[int, ...]] = field(default_factory=dict)


def settle(
    draft: Draft,
    prices: Mapping[str, int | None],
    seconds: float,
    kit: Kit | None = None,
    least: Mapping[str, int] | None = None,
) -> Settled:
    """Find and prove the least price of each change.

    Parameters
    ----------
    draft : Draft
        Of an instance with changes, one of them named "" that changes nothing. Its objective is
        altered.
    prices : mapping of str to (int or None)
        For each other change a net price; only kits below it are of interest. None: any kit, where
        a first one is found near the one that is known. [hundredth]
    seconds : float
        Time limit.
    kit : Kit, optional
        Where first kits of the changes are looked for.
    least : mapping of str to int, optional
        Known beforehand of some changes: no kit costs less, net. [hundredth]

    Returns
    -------
    Settled
        Where time sufficed, `least` equals `prices`. A change without price and without a first kit
        is not looked into: its `least` is 0.
    """
    return _Several(draft, prices, seconds, least or {}).run(kit)


class _Several:
    def __init__(
        self,
        draft: Draft,
        prices: Mapping[str, int | None],
        seconds: float,
        least: Mapping[str, int],
    ) -> None:
        self.known_least = least
        self.draft, self.program = draft, draft.program
        costs = zip(self.program.cost, self.program.upper, strict=True)
        most = sum(max(0, cost) * upper for cost, upper in costs)
        self.open = [name for name, price in prices.items() if price is None]
        self.found = Settled({n: most + 1 if p is None else p for n, p in prices.items()})
        self._raise(prices)
        places = len(draft.instance.zones) + len(draft.instance.sounds)
        self.worker = Worker(places, time.monotonic() + seconds)
        self.openings = Openings(draft)
        self.cases: list[Case] = []
        self.heap: list[tuple[float, int, Case, Node]] = []
        self.pushed = 0
        self.base = 0

    def run(self, kit: Kit | None) -> Settled:
        if kit is not None:
            self._start(kit)
        self.program.upper[self.draft.changed[""]] = 0
        left_out = self.unknown
        for name in left_out:
            self.program.upper[self.draft.changed[name]] = 0
        self._raise(name for name in self.found.prices if name not in left_out)
        with ThreadPoolExecutor(_CORES) as pool:
            case = self._opened()
            if case is not None:
                self.cases = [case]
                self._look(case)
                self._dearer(pool, case)
                if self._closed():
                    self.cases = []
                else:
                    self._split(pool)
            self._rule_out()
            for case in self.cases:
                self._push(case, case.root)
            self._grow(pool)
        for name, price in self.found.prices.items():
            # What is left costs `bound` or more in prices raised by limit - price.
            short = max(0.0, self.limit - self._bound(self.draft.changed[name]))
            self.found.least[name] = math.floor(price - short)
        for name in self.unknown:
            self.found.least[name] = 0
        for name, least in self.known_least.items():
            self.found.least[name] = max(least, self.found.least[name])
        return self.found

    def _bound(self, var: int) -> float:
        """What the cases that are left and make a change cost at least, in raised prices."""
        if not self.program.upper[var]:
            return math.inf
        left = (bound for bound, _, case, node in self.heap if case.may_take(var, node.fixed))
        return min(left, default=math.inf)

    @property
    def unknown(self) -> list[str]:
        """Changes without a price to beat of which no kit was found."""
        return [name for name in self.open if name not in self.found.values]

    def _closed(self) -> bool:
        """Whether CP-SAT settles the whole, made small by what is known: often little is left."""
        whole = self._small({})
        self.cases = [] if whole is None else [whole]
        # Where several families are to be told apart, making each small takes longer than that.
        most = _FEW if len(by_families(self.program)) < 2 else _MORE
        while whole is not None:
            result = self.worker.close(whole, float(self.limit), most, _CLOSE_WORK)
            found = result.values is not None and self._take_up(whole, result.values)
            if not found:
                return not result.nodes
        return True

    def _split(self, pool: ThreadPoolExecutor) -> None:
        """Cases by the signal families that are used, made small by what is known by now."""
        choices = by_families(self.program)
        if len(choices) < 2:
            return
        self.cases = [case for case in pool.map(self._small, choices) if case is not None]

    def _small(self, fixed: Fixed) -> Case | None:
        case = self._opened(fixed)
        return None if case is None else narrowed(case, self.openings, self.limit)

    def _rule_out(self) -> None:
        """Note the changes of which nothing cheaper is left in any case."""
        for var in self.draft.changed.values():
            if not any(case.may_take(var) for case in self.cases):
                self.program.upper[var] = 0

    def _raise(self, names: Iterable[str]) -> None:
        """Let the limit be the highest price of some changes, and price all of them for it."""
        open_ = [name for name in names if self.program.upper[self.draft.changed[name]]]
        self.limit = max((self.found.prices[name] for name in open_), default=0)
        for name, price in self.found.prices.items():
            self.program.cost[self.draft.changed[name]] = self.limit - price

    # First kits

    def _start(self, kit: Kit) -> None:
        """For each change, the kit that is known with what it asks done otherwise."""
        base = self._known(kit)
        if base is None:
            return
        self.base = self.program.value(base) - self.program.cost[self.draft.changed[""]]
        grid = Grid(self.program)
        instance, names = self.draft.instance, self.program.names
        tables = [f"/{table.name}/" for table in instance.zones]
        of_table: dict[int, list[int]] = {}
        sounds: list[int] = []
        for var, name in enumerate(names):
            if name.startswith(_CHOICES):
                place = name[name.index("/") :]
                index = next((i for i, t in enumerate(tables) if place.startswith(t)), None)
                (sounds if index is None else of_table.setdefault(index, [])).append(var)
        for change in instance.changes:
            if self.worker.left <= 0:
                return
            if not change.name:
                continue
            shifted = {i for i, t in enumerate(instance.zones) if _shifts(t.shifts, change.name)}
            free = shifted | set(change.gone) | set(change.tables)
            fixed: Fixed = {v: (base[v], base[v]) for v in sounds}
            for index, members in of_table.items():
                if index not in free:
                    fixed |= {v: (base[v], base[v]) for v in members}
            for name, var in self.draft.changed.items():
                fixed[var] = (int(name == change.name),) * 2
            self._near(grid, fixed)

    def _near(self, grid: Grid, fixed: Fixed) -> None:
        small = shrink(grid, fixed)
        if small is None:
            return
        model = CpSat(small.program)
        # The grid has the prices of its making; only one change is open, which has not altered.
        model.add_row(model.cost, hi=self.limit - 1 - small.offset)
        found = model.solve(max(self.worker.left, 0.1), work=_NEAR_WORK, search=SEARCH)
        if found.values is not None:
            self._better(small.lifted(found.values))

    def _known(self, kit: Kit) -> tuple[int, ...] | None:
        """The kit that is known, as a solution."""
        draft = self.draft
        model = CpSat(self.program)
        for name, var in draft.changed.items():
            model.fix(var, int(name == ""))
        for (index, number), var in draft.cameras.items():
            if index in draft.instance.instead:
                continue
            view = draft.instance.zones[index].candidates[number].view
            model.fix(var, kit.cameras.get((index, view.camera.id, view.count), 0))
        for item, terms in draft.bought.items():
            count = kit.bought.get(item, 0)
            model.add_row(dict(terms), count, count)
        return model.solve(max(self.worker.left, 0.1), work=_START_WORK, first=True).values

    def _look(self, case: Case) -> None:
        """Better kits where the relaxation of the whole promises them, one change after another."""
        while self.worker.left > 0:
            result = self.worker.look(case, float(self.limit))
            if result.values is None or not self._take_up(case, result.values):
                return

    def _dearer(self, pool: ThreadPoolExecutor, case: Case) -> None:
        """A closer look at changes of which only dearer kits are known than without a change."""
        place = {int(column): n for n, column in enumerate(case.shrunk.columns)}
        here = {n: place[v] for n, v in self.draft.changed.items() if v in place}
        names = [n for n in here if n in self.found.values and self.found.prices[n] > self.base]
        for start in range(0, len(names), _CORES):
            if self.worker.left <= 0:
                return
            batch = names[start : start + _CORES]
            alone = [{p: (int(n == name),) * 2 for n, p in here.items()} for name in batch]
            looks = [
                pool.submit(self.worker.look, case, float(self.limit), fixed, slot)
                for slot, fixed in enumerate(alone)
            ]
            for name, look in zip(batch, looks, strict=True):
                result = look.result()
                if result.closed:
                    self.program.upper[self.draft.changed[name]] = 0
                if result.values is not None:
                    self._take_up(case, result.values)

    # The search

    def _opened(self, fixed: Fixed | None = None) -> Case | None:
        """The whole, or a part, as a case with cuts; None if nothing in it is cheaper."""
        shrunk = shrink(Grid(self.program), fixed or {})
        case = None if shrunk is None else opened(shrunk)
        if case is None or case.bound >= self.limit:
            return None
        return lifted(case, self.openings, self.limit) if case.point.exact else case

    def _push(self, case: Case, node: Node) -> None:
        self.pushed += 1
        heapq.heappush(self.heap, (node.bound + case.shrunk.offset, self.pushed, case, node))

    def _grow(self, pool: ThreadPoolExecutor) -> None:
        """Work on the tree, two nodes at a time, until nothing cheaper can be left."""
        while self.heap and self.worker.left > 0:
            batch = [heapq.heappop(self.heap)[2:] for _ in range(min(_CORES, len(self.heap)))]
            futures = [
                pool.submit(self.worker.expand, case, node, float(self.limit), slot, False)
                for slot, (case, node) in enumerate(batch)
            ]
            results = [future.result() for future in futures]
            for (case, node), result in zip(batch, results, strict=True):
                case.worked += 1
                if result.closed is not None:
                    case.learn(result.closed)
                self._take(case, node, result)

    def _take(self, case: Case, node: Node, result: Result) -> None:
        """Take up what came out of a node; one in which something was found is looked at again."""
        nodes = result.nodes
        if result.values is not None:
            self._take_up(case, result.values)
            nodes = nodes or [node]
        for one in nodes:
            self._push(case, one)

    def _take_up(self, case: Case, values: tuple[int, ...]) -> bool:
        """Take up a solution of a case, if it is cheaper than what was known of its change."""
        before = list(self.program.cost)
        name = self._better(case.shrunk.lifted(values))
        if name is None:
            return False
        var = self.draft.changed[name]
        for one in self.cases:
            one.reprice(var, self.program.cost[var] - before[var])
        return True

    def _better(self, values: tuple[int, ...]) -> str | None:
        """Take up a solution; the name of its change, if it is cheaper than what was known."""
        name = next(n for n, var in self.draft.changed.items() if values[var])
        var = self.draft.changed[name]
        price = self.program.value(values) - self.program.cost[var]
        if price >= self.found.prices[name]:
            return None
        self.found.prices[name], self.found.values[name] = price, values
        self.program.cost[var] = self.limit - price
        if price <= self.known_least.get(name, -1):
            self.program.upper[var] = 0
        return name


def _shifts(shifts: tuple[Shift, ...], name: str) -> bool:
    return any(shift.change == name for shift in shifts)


__all__ = ["Kit", "Settled", "settle"]
