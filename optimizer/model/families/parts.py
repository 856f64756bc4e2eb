"""Small parts: every job is done by some item that can do it.

For a role with demand D and items i that can do it: sum of u_i = D. A connector that needs a tool:
u_i <= M a_i, a_i <= tools of that type in the kit. Adapters at the spot and injectors are parts
whose job has a size: those that need more than a size use only items that give more.
"""

from __future__ import annotations

from collections.abc import Iterable

from optimizer.instance.amounts import labour_price
from optimizer.instance.options import Injected, LocalAdapter, Part
from optimizer.instance.recorders import port_power
from optimizer.model.draft import Draft, Terms
from optimizer.model.program import FREE
from optimizer.pricebook.schema import (
    AnyItem,
    Bracket,
    Connector,
    Coupler,
    Injector,
    Lead,
    MainsLead,
    OpticalWriter,
    Pigtail,
    Splitter,
    Tool,
)

RACK_LINK_M = 1


def write(draft: Draft) -> None:
    """Turn the tallied jobs into pieces of items."""
    for use, terms in list(draft.tally.items()):
        if isinstance(use, Part):
            _role(draft, use.role, terms)


def write_sized(draft: Draft) -> None:
    """Adapters at the spot, and injectors."""
    _sized(draft, *_adapters(draft))
    _sized(draft, *_injectors(draft))


def _role(draft: Draft, role: str, terms: Terms) -> None:
    program = draft.program
    most = draft.largest(terms)
    site = draft.instance.site
    pieces: Terms = []
    for item in draft.instance.book.items.values():
        if item.id in site.policy.forbid or not does(item, role, site.policy.connectors):
            continue
        cost = 0
        if isinstance(item, Connector | Pigtail):
            cost = labour_price(site.policy.labour.rate, item.minutes)
        var = program.var(f"part/{role}/{item.id}", most, cost=cost)
        draft.parts.append((item.id, role, var))
        draft.used[item.id].append((var, 1))
        pieces.append((var, 1))
    program.equal(f"part/{role}", [f"fact/{role}"], [*pieces, *((c, -k) for c, k in terms)])


def does(item: AnyItem, role: str, methods: dict[str, tuple[str, ...]] | object) -> bool:
    """Whether an item can do a job."""
    kind, _, what = role.partition("/")
    if isinstance(item, Connector):
        allowed = methods.get(item.type) if isinstance(methods, dict) else None
        return (
            kind == item.type and what in item.fits and (allowed is None or item.method in allowed)
        )
    if isinstance(item, Pigtail):
        return kind == "pigtail" and what == item.gender
    if isinstance(item, Coupler):
        return kind == "coupler" and what == item.type
    if isinstance(item, Bracket):
        return kind == "bracket" and what in item.fits
    if isinstance(item, MainsLead):
        return kind == "mains_lead" and what == item.type
    if isinstance(item, Lead):
        return kind == "rack_link" and item.carries == ("data",) and item.length >= RACK_LINK_M
    if isinstance(item, Splitter):
        return kind == "splitter"
    return isinstance(item, OpticalWriter) and kind == "optical_writer"


def _sized(
    draft: Draft,
    name: str,
    items: Iterable[tuple[str, str, int]],
    jobs: list[tuple[str, int, Terms]],
) -> None:
    """Jobs of a class and size, done by items of the class that are large enough."""
    program = draft.program
    items = list(items)
    for label in dict.fromkeys(label for label, _, _ in jobs):
        mine = [(size, terms) for one, size, terms in jobs if one == label]
        most = draft.largest([t for _, terms in mine for t in terms])
        pieces = []
        for item, one, size in items:
            if one == label and size >= min(s for s, _ in mine):
                var = program.var(f"{name}/{label}/{item}", most)
                draft.used[item].append((var, 1))
                draft.parts.append((item, f"{name}/{label}", var))
                pieces.append((var, size))
        for least in sorted({0, *(size for _, size in pieces)}):
            need = [t for size, terms in mine if size > least for t in terms]
            if need:
                # All jobs together take just so many pieces: an idle piece is not in use.
                program.row(
                    f"{name}/{label}.{least}",
                    [f"fact/{name}"],
                    [
                        *((v, 1) for v, size in pieces if size > least),
                        *((c, -k) for c, k in need),
                    ],
                    lo=0,
                    hi=FREE if least else 0,
                )


def _adapters(
    draft: Draft,
) -> tuple[str, list[tuple[str, str, int]], list[tuple[str, int, Terms]]]:
    items = [
        (f.item, f"{f.group.feed}.{f.group.millivolts}", f.output_limit)
        for f in draft.instance.supplies
        if f.adapter
    ]
    jobs = [
        (f"{u.feed}.{u.millivolts}", u.milliamps, terms)
        for u, terms in draft.tally.items()
        if isinstance(u, LocalAdapter)
    ]
    return "local", items, jobs


def _injectors(
    draft: Draft,
) -> tuple[str, list[tuple[str, str, int]], list[tuple[str, int, Terms]]]:
    forbidden = draft.instance.site.policy.forbid
    items = [
        (i.id, "poe", port_power(i.poe_class))
        for i in draft.instance.book.by_kind(Injector)
        if i.id not in forbidden
    ]
    jobs = [("poe", u.load, terms) for u, terms in draft.tally.items() if isinstance(u, Injected)]
    return "injector", items, jobs


def write_mains_leads(draft: Draft) -> None:
    """Mains leads of adapters at the spot and injectors, whose number is known only now."""
    leads = {f.item: f.mains_lead for f in draft.instance.supplies}
    leads |= {i.id: i.mains_lead for i in draft.instance.book.by_kind(Injector)}
    for item, role, var in draft.parts:
        lead = leads.get(item)
        if lead and role.partition("/")[0] in ("local", "injector"):
            draft.need(f"mains_lead/{lead}", [(var, 1)])


def write_tools(draft: Draft) -> None:
    """A tool, once, for every connector that needs it."""
    program = draft.program
    site = draft.instance.site
    items = draft.instance.book.items
    tools = [t for t in items.values() if isinstance(t, Tool) and t.id not in site.policy.forbid]
    by_type: dict[str, Terms] = {}
    for item_id, _, var in draft.parts:
        item = items[item_id]
        if isinstance(item, Connector) and item.tool:
            by_type.setdefault(item.tool, []).append((var, 1))
    have: dict[str, int] = {}
    for tool in tools:
        if any(t in by_type for t in tool.types):
            have[tool.id] = program.var(f"tool/{tool.id}", 1)
            draft.used[tool.id].append((have[tool.id], 1))
    for name, terms in by_type.items():
        flag = program.var(f"tool/{name}.in_use", 1)
        for var, _ in terms:
            program.row(
                f"tool/{name}/{program.names[var]}",
                ["fact/tool"],
                [(var, 1), (flag, -program.upper[var])],
                hi=0,
            )
        owned = [(have[t.id], 1) for t in tools if name in t.types and t.id in have]
        program.row(f"tool/{name}", ["fact/tool"], [*owned, (flag, -1)], lo=0)


def write_tool_links(draft: Draft) -> None:
    """A role that every allowed item needs a tool for: whoever uses it opens some tool."""
    items = draft.instance.book.items
    have = {n: i for i, n in enumerate(draft.program.names) if n.startswith("tool/")}
    by_role: dict[str, list[str | None]] = {}
    for item_id, role, _ in draft.parts:
        item = items[item_id]
        if isinstance(item, Connector):
            by_role.setdefault(role, []).append(item.tool)
    for role, tools in by_role.items():
        if None in tools:
            continue
        owners: dict[object, Terms] = {}
        for col, coef in draft.tally[Part(role)]:
            if col in draft.owners:
                owners.setdefault(draft.owners[col], []).append((col, coef))
        flags = [(have[f"tool/{t}.in_use"], 1) for t in dict.fromkeys(tools)]
        for number, (owner, terms) in enumerate(owners.items()):
            most = owner[1] * max(k for _, k in terms)  # type: ignore[index]
            draft.program.row(
                f"tool/{role}/open{number}",
                ["fact/tool"],
                [*((c, most * k) for c, k in flags), *((c, -k) for c, k in terms)],
                lo=0,
            )
