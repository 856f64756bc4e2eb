"""Small parts: how many pieces each job takes (sections 2 to 4), and what the design states.

Jobs that only ``parts`` can state: connectors, pigtails, couplers, splitters, mains leads, tools
and rack links. Baluns, brackets, optical writers, adapters and injectors stand where they are
used; if ``parts`` lists them as well, the numbers must agree.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, field
from fractions import Fraction
from typing import TypeVar

from optimizer.audit.case import Case, Fitted, Heard, LaidRun
from optimizer.audit.feeding import LOW_VOLTAGE
from optimizer.audit.finding import Fault, Rule, figure
from optimizer.pricebook import schema as book

BALUNS_A_RUN = 2
ENDS = 2
RACK_LINK_M = 1


@dataclass
class Needs:
    """Pieces needed, by job."""

    connectors: Counter[str] = field(default_factory=Counter)
    pigtails: Counter[str] = field(default_factory=Counter)
    couplers: Counter[str] = field(default_factory=Counter)
    splitters: int = 0
    mains_leads: Counter[str] = field(default_factory=Counter)
    rack_links: int = 0


def needs(case: Case) -> Needs:
    """Count what the design needs of each small part.

    Connectors by "type/fit", pigtails by gender, couplers and mains leads by type.
    """
    found = Needs(rack_links=len(case.switches))
    for camera in case.cameras:
        _camera_needs(case, camera, found)
    for sound in case.sounds:
        _sound_needs(case, sound, found)
    for run in case.runs.values():
        joint = run.leads[0].coupler if run.leads else None
        if joint is not None:
            found.couplers[joint] += len(run.leads) - 1
    powered: list[book.Recorder | book.Supply | book.Switch | book.Injector] = [
        item for _, item in case.recorders
    ]
    powered += [item for _, item in case.supplies.values()]
    powered += [item for _, item in case.switches.values()]
    powered += [item for _, item in case.injectors.values()]
    found.mains_leads.update(item.mains_lead for item in powered if item.mains_lead is not None)
    return found


def _camera_needs(case: Case, camera: Fitted, found: Needs) -> None:
    path, power = camera.path, camera.stated.power
    if path.unfinished and camera.stated.path != "V4":
        kind = "rj45" if path.medium == "category" else "bnc"
        found.connectors[f"{kind}/{path.fit}"] += ENDS
    if power.way not in LOW_VOLTAGE:
        return
    terminals = camera.item.power_plug == "terminals"
    pair = power.way != "local" and not (power.way == "own_pair" and path.leads)
    if case.sharer(camera) is not None:
        # The feed ends in a barrel for the splitter, whatever the camera has.
        found.splitters += 1
        found.pigtails["male"] += int(pair)
        found.pigtails["female"] += int(terminals)
    elif pair:
        found.pigtails["male"] += int(not terminals)
    else:
        found.pigtails["female"] += int(terminals)
    if power.way != "local":
        _supply_end(case, power.unit, pair, found)


def _supply_end(case: Case, unit: str | None, pair: bool, found: Needs) -> None:
    ends = case.supplies[unit or ""][1].ends
    if pair and ends == "barrel":
        found.pigtails["female"] += 1
    elif not pair and ends == "screw":
        found.pigtails["male"] += 1


def _sound_needs(case: Case, sound: Heard, found: Needs) -> None:
    audio: LaidRun | None = sound.run("audio_pair")
    if audio is not None and audio.unfinished:
        found.connectors["rca/audio"] += ENDS
    power = sound.stated.power
    if sound.stated.way == "A1" and power.way == "separate_pair":
        found.pigtails["male"] += 1
        _supply_end(case, power.unit, True, found)
    if sound.stated.way == "A3" and power.way == "own_pair":
        _supply_end(case, power.unit, False, found)


_Part = TypeVar("_Part", bound=book.Item)


def stated_parts(case: Case, kind: type[_Part]) -> Iterator[tuple[_Part, str, int]]:
    """Lines of ``parts`` for items of a kind: item, role, pieces."""
    for part in case.design.parts:
        item = case.items[part.item]
        if isinstance(item, kind):
            yield item, part.role, part.pieces


def _compare(what: str, needed: Counter[str], there: Counter[str]) -> Iterator[Fault]:
    for job in sorted({*needed, *there}):
        has, wants = there[job], needed[job]
        if has != wants:
            text = f"{what} needed: {figure(wants)}, the design has {figure(has)}"
            yield Fault(job, "missing" if has < wants else "mismatch", text, has, wants)


def connectors(case: Case) -> Iterator[Fault]:
    """Two connectors for each run that takes them, fitting it, of an allowed method."""
    there: Counter[str] = Counter()
    for item, role, pieces in stated_parts(case, book.Connector):
        kind, _, fit = role.partition("/")
        if kind != item.type or fit not in item.fits:
            text = f"is {item.type} for {', '.join(item.fits)}, and cannot serve as {role}"
            yield Fault(item.id, "mismatch", text)
        there[role] += pieces
        allowed = case.site.policy.connectors.get(item.type)
        if allowed is not None and item.method not in allowed:
            text = f"is {item.method}, the policy allows {', '.join(allowed) or 'none'}"
            yield Fault(item.id, "limit", text)
    yield from _compare("connectors", needs(case).connectors, there)


def pigtails(case: Case) -> Iterator[Fault]:
    """Pigtails at camera, microphone and supply ends."""
    there: Counter[str] = Counter()
    for item, role, pieces in stated_parts(case, book.Pigtail):
        there[item.gender] += pieces
        if role != f"pigtail/{item.gender}":
            text = f"is {item.gender}, the design uses it as {role}"
            yield Fault(item.id, "mismatch", text)
    yield from _compare("pigtails", needs(case).pigtails, there)


def couplers(case: Case) -> Iterator[Fault]:
    """One coupler of the leads' type for each joint."""
    there: Counter[str] = Counter()
    for item, _, pieces in stated_parts(case, book.Coupler):
        there[item.type] += pieces
    yield from _compare("couplers", needs(case).couplers, there)


def splitters(case: Case) -> Iterator[Fault]:
    """One splitter for each microphone that shares a camera's feed."""
    there = sum(pieces for _, _, pieces in stated_parts(case, book.Splitter))
    wanted = Counter({"splitter": needs(case).splitters})
    yield from _compare("splitters", wanted, Counter({"splitter": there}))


def mains_leads(case: Case) -> Iterator[Fault]:
    """One mains lead of its type for each unit that names one."""
    there: Counter[str] = Counter()
    for item, _, pieces in stated_parts(case, book.MainsLead):
        there[item.type] += pieces
    yield from _compare("mains leads", needs(case).mains_leads, there)


def rack_links(case: Case) -> Iterator[Fault]:
    """One lead that carries data, of at least 1 m, for each switch."""
    there = 0
    for item, role, pieces in stated_parts(case, book.Lead):
        there += pieces
        if role != "rack_link":
            yield Fault(item.id, "mismatch", f"a lead has no job as {role}")
        if item.carries != ("data",) or item.length < RACK_LINK_M:
            length, carried = Fraction(item.length), "+".join(item.carries)
            text = f"{figure(length)} m that carry {carried} are no rack link: 1 m of data is"
            yield Fault(item.id, "limit", text, length, RACK_LINK_M)
    wanted = Counter({"rack link": needs(case).rack_links})
    yield from _compare("rack links", wanted, Counter({"rack link": there}))


def tools(case: Case) -> Iterator[Fault]:
    """A tool for every connector in use that names one; a tool no connector needs is not used."""
    wanted = {
        i.tool for i, _, _ in stated_parts(case, book.Connector) if i.tool is not None
    }  # fmt: skip
    there: set[str] = set()
    for item, _, _ in stated_parts(case, book.Tool):
        there.update(item.types)
        if not wanted & set(item.types):
            yield Fault(item.id, "mismatch", "no connector in use needs this tool")
    for kind in sorted(wanted - there):
        yield Fault(kind, "missing", f'connectors in use need a tool of type "{kind}"', 0, 1)


def used(case: Case) -> Counter[str]:
    """Pieces of each item that do a job in the design; extras are left out."""
    count: Counter[str] = Counter()
    for camera in case.cameras:
        count[camera.item.id] += 1
        if camera.balun is not None:
            count[camera.balun.id] += BALUNS_A_RUN
        if camera.stated.bracket is not None:
            count[camera.stated.bracket] += 1
    for sound in case.sounds:
        if sound.microphone is not None:
            count[sound.microphone.id] += 1
    for unit, _ in case.recorders:
        count[unit.item] += 1
        for drives in unit.drives:
            count[drives.item] += drives.count
        if unit.optical_writer is not None:
            count[unit.optical_writer] += 1
    count.update(lead.id for run in case.runs.values() for lead in run.leads)
    count.update(box.item for box in case.design.boxes)
    powered = (*case.design.supplies, *case.design.switches, *case.design.injectors)
    count.update(unit.item for unit in powered)
    for item, _, pieces in stated_parts(case, book.Item):
        if isinstance(item, _ONLY_IN_PARTS):
            count[item.id] += pieces
    return count


_ONLY_IN_PARTS = (
    book.Connector, book.Pigtail, book.Coupler, book.Splitter, book.Tool, book.MainsLead, book.Lead
)  # fmt: skip


def repeated(case: Case) -> Iterator[Fault]:
    """What ``parts`` lists of things that stand elsewhere in the design agrees with it."""
    count = used(case)
    there: Counter[str] = Counter()
    for item, _, pieces in stated_parts(case, book.Item):
        if not isinstance(item, (*_ONLY_IN_PARTS, book.Extra)):
            there[item.id] += pieces
    wanted = Counter({item: count[item] for item in there})
    yield from _compare("parts", wanted, there)


RULES = (
    Rule("3 connectors", connectors),
    Rule("3 tools", tools),
    Rule("3 pigtails", pigtails),
    Rule("3 couplers", couplers),
    Rule("3 rack links", rack_links),
    Rule("4 splitters", splitters),
    Rule("2.7 mains leads", mains_leads),
    Rule("0 parts listed twice", repeated),
)
