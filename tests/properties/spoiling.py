"""Ways to spoil a design that the program made, each with the rule that must notice.

Every spoiler is a function from a good case to spoilt ones; it yields nothing where the design
has nothing to spoil in its way.
"""

from __future__ import annotations

import copy
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from decimal import Decimal
from typing import Any

from optimizer.audit import Finding, audit_design
from optimizer.design import Design
from optimizer.pricebook.schema import AnyItem, Offer
from optimizer.site.schema import Site
from tests.properties.cases import with_part, with_zone


@dataclass(frozen=True)
class Good:
    """A site, a price book and a design as plain data."""

    site: Site
    items: dict[str, AnyItem]
    offers: tuple[Offer, ...]
    data: dict[str, Any]

    def findings(self) -> list[Finding]:
        """What the audit says."""
        return audit_design(self.site, self.items, self.offers, Design.model_validate(self.data))

    def copied(self) -> dict[str, Any]:
        """The design, free to be changed."""
        return copy.deepcopy(self.data)

    def spoilt(self, data: dict[str, Any]) -> Good:
        """The case with another design."""
        return replace(self, data=data)

    def with_item(self, item_id: str, **fields: Any) -> Good:
        """The case with an item of the book changed."""
        item = self.items[item_id]
        for name in fields:
            assert name in type(item).model_fields, name
        return replace(self, items={**self.items, item_id: item.model_copy(update=fields)})


Spoiler = Callable[[Good], Iterator[Good]]
SPOILERS: dict[str, tuple[str, Spoiler]] = {}
"""What is spoilt, to the rule that must be among the findings and the function that does it."""


def spoils(rule: str) -> Callable[[Spoiler], Spoiler]:
    """Register a spoiler under the rule that must notice."""

    def register(function: Spoiler) -> Spoiler:
        SPOILERS[function.__name__.replace("_", " ")] = (rule, function)
        return function

    return register


def line(data: dict[str, Any], item: str) -> dict[str, Any]:
    """The bill's line of an item."""
    return next(entry for entry in data["bill"] if entry["item"] == item)


# The bill


@spoils("3 connectors")
def one_connector_fewer(good: Good) -> Iterator[Good]:
    for index, part in enumerate(good.data["parts"]):
        if part["role"].startswith(("bnc/", "rj45/", "rca/")) and part["pieces"] > 1:
            data = good.copied()
            data["parts"][index]["pieces"] -= 1
            line(data, part["item"])["used"] -= 1
            yield good.spoilt(data)


@spoils("5.1 pieces")
def one_piece_bought_less(good: Good) -> Iterator[Good]:
    for index, entry in enumerate(good.data["bill"]):
        pack = getattr(good.items[entry["item"]], "pack", 1)
        if entry["quantity"] and entry["used"] > pack * (entry["quantity"] - 1):
            data = good.copied()
            data["bill"][index]["quantity"] -= 1
            yield good.spoilt(data)


@spoils("5.2 prices")
def a_price_in_the_book_goes_up(good: Good) -> Iterator[Good]:
    for entry in good.data["bill"]:
        if entry["quantity"]:
            item = good.items[entry["item"]]
            breaks = tuple(b.model_copy(update={"price": b.price + 1}) for b in item.breaks)
            yield good.with_item(item.id, price=item.price + 1, breaks=breaks)


@spoils("5.5 totals")
def a_total_one_hundredth_lower(good: Good) -> Iterator[Good]:
    data = good.copied()
    data["total"] = str(Decimal(data["total"]) - Decimal("0.01"))
    yield good.spoilt(data)


@spoils("5.5 budget")
def a_budget_one_hundredth_too_low(good: Good) -> Iterator[Good]:
    budget = round(Decimal(good.data["total"]) * 100) - 1
    terms = {"budget": budget, "budget_includes_tax": True}
    yield replace(good, site=with_part(good.site, money=terms))


@spoils("5.3 offers")
def a_reduction_left_out(good: Good) -> Iterator[Good]:
    for index, one in enumerate(good.data["reductions"]):
        if Decimal(one["amount"]) == 0:
            # Its conditions hold, but nothing that it reduces was bought: no money is missing.
            continue
        data = good.copied()
        data["reductions"].pop(index)
        yield good.spoilt(data)


@spoils("1.7 forbidden items")
def an_item_of_the_kit_is_forbidden(good: Good) -> Iterator[Good]:
    for entry in good.data["bill"]:
        yield replace(good, site=with_part(good.site, policy={"forbid": (entry["item"],)}))


@spoils("5.6 required items")
def more_is_required_than_is_used(good: Good) -> Iterator[Good]:
    for entry in good.data["bill"]:
        if good.items[entry["item"]].kind not in ("tool", "extra"):
            needed = {"item": entry["item"], "quantity": entry["used"] + 1}
            policy = good.site.policy.model_dump(mode="json") | {"require": [needed]}
            validated = type(good.site.policy).model_validate(policy)
            yield replace(good, site=good.site.model_copy(update={"policy": validated}))


# Recorders


@spoils("2.3 storage")
def a_drive_removed(good: Good) -> Iterator[Good]:
    for index, unit in enumerate(good.data["recorders"]):
        if unit["array"] != "single":
            continue
        for number, held in enumerate(unit["drives"]):
            # Taken out of the unit and off the bill; that the optimum needs it is not assumed.
            size = int(good.items[held["item"]].capacity // 10**9)  # type: ignore[union-attr]
            data = good.copied()
            one = data["recorders"][index]
            one["drives"][number]["count"] -= 1
            one["usable_gb"] -= size
            if one["usable_gb"] >= one["stored_gb"]:
                continue
            if not one["drives"][number]["count"]:
                one["drives"].pop(number)
            yield good.spoilt(data)


@spoils("2.3 channels")
def a_channel_doubled(good: Good) -> Iterator[Good]:
    for one, first in enumerate(good.data["cameras"]):
        for two, second in enumerate(good.data["cameras"][:one]):
            if first["recorder"] == second["recorder"]:
                data = good.copied()
                data["cameras"][one]["channel"] = data["cameras"][two]["channel"]
                yield good.spoilt(data)


@spoils("2.3 input groups")
def inputs_fewer_than_cameras(good: Good) -> Iterator[Good]:
    for unit in good.data["recorders"]:
        recorder = good.items[unit["item"]]
        groups = tuple(g.model_copy(update={"count": 0}) for g in recorder.inputs)  # type: ignore[union-attr]
        yield good.with_item(unit["item"], inputs=groups)


@spoils("2.3 ingest")
def ingest_below_the_streams(good: Good) -> Iterator[Good]:
    for unit in good.data["recorders"]:
        if unit["kbit_s"]:
            yield good.with_item(unit["item"], ingest=Decimal(unit["kbit_s"] * 1000 - 1))


@spoils("2.3 encode rate")
def encode_rate_below_the_pictures(good: Good) -> Iterator[Good]:
    for unit in good.data["recorders"]:
        if unit["encode_kpx_s"]:
            rate = Decimal(unit["encode_kpx_s"] * 1000 - 1)
            yield good.with_item(unit["item"], encode_rate=rate)


@spoils("2.2 storage of each")
def a_day_more_of_retention(good: Good) -> Iterator[Good]:
    days = good.site.recording.retention + 1
    zones = tuple(
        z.model_copy(update={"retention": None if z.retention is None else z.retention + 1})
        for z in good.site.zones
    )
    longer = with_part(good.site, recording={"retention": days})
    yield replace(good, site=longer.model_copy(update={"zones": zones}))


@spoils("2.6 spare channels")
def one_spare_channel_too_many(good: Good) -> Iterator[Good]:
    free = sum(r["channels"] - r["channels_used"] for r in good.data["recorders"])
    yield replace(good, site=with_part(good.site, spare={"channels": free + 1}))


# Wiring


def lengthened(good: Good, leads: bool) -> Iterator[Good]:
    """Runs longer than anything new that lies there: leads alone, or cut cable alone."""
    for index, zone in enumerate(good.site.zones):
        runs = [
            r
            for r in good.data["runs"]
            if r["place"].partition("/")[0] == zone.id
            and r["existing"] is None
            and (r["medium"] == "lead") == leads
        ]
        if runs:
            more = Decimal(max(r["length_cm"] for r in runs) + 1) / 100
            yield replace(good, site=with_zone(good.site, index, run=zone.run + more))


@spoils("3 lengths")
def a_run_of_cable_lengthened_in_the_site(good: Good) -> Iterator[Good]:
    yield from lengthened(good, leads=False)


@spoils("3 leads")
def a_run_of_leads_lengthened_in_the_site(good: Good) -> Iterator[Good]:
    yield from lengthened(good, leads=True)


@spoils("3 boxes")
def a_box_shorter_than_its_cuts(good: Good) -> Iterator[Good]:
    for box in good.data["boxes"]:
        used = box["length_cm"] - box["left_cm"]
        yield good.with_item(box["item"], box=Decimal(used - 1) / 100)


@spoils("3 supply current")
def a_supply_smaller_than_its_load(good: Good) -> Iterator[Good]:
    keep = 1 - good.site.spare.supply
    for unit in good.data["supplies"]:
        amps = Decimal(unit["load"] - 1) / 1000 / keep
        yield good.with_item(unit["item"], total_amps=amps)


@spoils("3 output current")
def an_output_smaller_than_its_load(good: Good) -> Iterator[Good]:
    keep = 1 - good.site.spare.supply
    supplies = {u["id"]: u["item"] for u in good.data["supplies"]}
    for camera in good.data["cameras"]:
        power = camera["power"]
        if power["way"] in ("own_pair", "separate_pair", "local"):
            amps = Decimal(power["milliamps"] - 1) / 1000 / keep
            yield good.with_item(supplies[power["unit"]], output_amps=amps)


@spoils("3 outputs")
def two_loads_on_one_output(good: Good) -> Iterator[Good]:
    for one, first in enumerate(good.data["cameras"]):
        for two, second in enumerate(good.data["cameras"][:one]):
            a, b = first["power"], second["power"]
            if a["way"] in ("own_pair", "separate_pair") and a["unit"] == b["unit"]:
                data = good.copied()
                data["cameras"][one]["power"]["output"] = data["cameras"][two]["power"]["output"]
                yield good.spoilt(data)


@spoils("3 volts")
def a_camera_that_needs_more_volts_than_arrive(good: Good) -> Iterator[Good]:
    for camera in good.data["cameras"]:
        volts = camera["power"]["volts_at_load"]
        if volts is not None:
            item = good.items[camera["item"]]
            least = Decimal(str(volts)) + Decimal("0.01")
            feeds = tuple(
                f.model_copy(update={"volts": f.volts._replace(low=least)})
                for f in item.feeds  # type: ignore[union-attr]
            )
            yield good.with_item(item.id, feeds=feeds)


@spoils("3 powered ports")
def a_switch_with_less_power_than_its_cameras_take(good: Good) -> Iterator[Good]:
    for unit in good.data["switches"]:
        switch = good.items[unit["item"]]
        if unit["load"]:
            budget = Decimal(unit["load"] - 1) / 100
            poe = switch.poe.model_copy(update={"budget": budget})  # type: ignore[union-attr]
            yield good.with_item(unit["item"], poe=poe)


@spoils("3 pigtails")
def one_pigtail_fewer(good: Good) -> Iterator[Good]:
    for index, part in enumerate(good.data["parts"]):
        if part["role"].startswith("pigtail/") and part["pieces"] > 1:
            data = good.copied()
            data["parts"][index]["pieces"] -= 1
            line(data, part["item"])["used"] -= 1
            yield good.spoilt(data)


# Pictures and sound


@spoils("1.2 detail")
def a_detail_just_out_of_reach(good: Good) -> Iterator[Good]:
    for camera in good.data["cameras"]:
        index = [z.id for z in good.site.zones].index(camera["zone"])
        more = f"{camera['px_per_m'] * 1.001 + 0.1:.3f} px/m"
        yield replace(good, site=with_zone(good.site, index, detail=more))


@spoils("1.3 frame rate")
def a_faster_picture_than_the_camera_gives(good: Good) -> Iterator[Good]:
    for camera in good.data["cameras"]:
        index = [z.id for z in good.site.zones].index(camera["zone"])
        most = good.items[camera["item"]].frame_rate  # type: ignore[union-attr]
        yield replace(good, site=with_zone(good.site, index, frame_rate=most + Decimal("0.01")))


@spoils("1.1 cameras of a zone")
def a_zone_with_one_camera_too_few(good: Good) -> Iterator[Good]:
    for index, zone in enumerate(good.site.zones):
        extra = zone.model_copy(update={"id": f"{zone.id}-x"})
        sites = (*good.site.zones[:index], extra, *good.site.zones[index:])
        yield replace(good, site=good.site.model_copy(update={"zones": sites}))


@spoils("4 points")
def a_point_left_silent(good: Good) -> Iterator[Good]:
    for point in good.site.audio.points:
        more = point.model_copy(update={"id": f"{point.id}-x", "zone": None})
        points = (*good.site.audio.points, more)
        yield replace(good, site=with_part(good.site, audio={"points": points}))
