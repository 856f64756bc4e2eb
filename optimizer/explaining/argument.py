"""A conflict told as an argument: requirements, the facts they meet, and sums done by hand.

Every figure is read from the tables of the site that asks for the conflict's members alone, with
nothing left out as too dear. An argument is called closed only where its last inequality holds in
whole numbers; where none closes, the steps say what is asked, and the proof is left to others.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator

from optimizer.errors import listed
from optimizer.explaining.argument_money import money_steps
from optimizer.explaining.argument_power import power_steps
from optimizer.explaining.argument_sum import summed
from optimizer.explaining.certificate import Certificate
from optimizer.explaining.holding import BUDGET, Holding
from optimizer.explaining.inquiry import without_budget
from optimizer.explaining.usable import (
    best_usable,
    inputs_needed,
    least_stored,
    most_cameras,
    usable_recorders,
)
from optimizer.instance import Instance, ZoneTable, build_instance
from optimizer.instance.optics import Refusal
from optimizer.instance.recorders import RecorderFit
from optimizer.instance.tables import UNFED
from optimizer.model import Program
from optimizer.pricebook.schema import Camera
from optimizer.site.schema import Site
from optimizer.solving.proof import Argument, ArgumentStep, Conflict
from optimizer.solving.wording import count
from optimizer.units import money_text

SITE, ARITHMETIC = "site file", "arithmetic"
_MOST_NAMED = 6


def argue(
    holding: Holding,
    conflict: Conflict,
    site: Site,
    proof: tuple[Program, Certificate] | None,
) -> Argument:
    """Tell a conflict.

    Parameters
    ----------
    site : Site
        One that asks for its members alone.
    proof : tuple of Program and Certificate, or None
        Of that site, where there is one: a single weighted sum is told in words.
    """
    asked = [_asked(member.text, member.requirement, member.line) for member in conflict.members]
    # Where a zone that is left out may be seen as well, one site does not tell the whole.
    whole = len(list(holding.sites(frozenset(conflict.ids)))) == 1
    if site.areas:
        return _on_plan(holding, conflict, site, proof, asked, whole)
    instance = build_instance(site, holding.book, reduce=False, group=False)
    for tell in (_no_recorder, _unfit, _no_camera, _no_sound, _storage, _sound_inputs, _models):
        steps = list(tell(instance))
        if steps:
            return Argument(conflict=conflict.ids, steps=(*asked, *steps), closed=whole)
    steps, closed = money_steps(instance)
    if not closed and proof is not None:
        told = summed(*proof)
        if told:
            return Argument(conflict=conflict.ids, steps=(*asked, *told), closed=whole)
    if not closed and BUDGET in conflict.ids:
        steps = list(_dearer(holding, site))
    return Argument(conflict=conflict.ids, steps=(*asked, *steps), closed=closed and whole)


def _on_plan(
    holding: Holding,
    conflict: Conflict,
    site: Site,
    proof: tuple[Program, Certificate] | None,
    asked: list[ArgumentStep],
    whole: bool,
) -> Argument:
    """The same on a plan, from what might be seen however cameras are aimed."""
    # Geometry is loaded for sites with a plan only.
    from optimizer.explaining.argument_plan import plan_steps, searched

    instance = build_instance(site, holding.book, sure=False)
    for tell in (_no_recorder, plan_steps):
        steps = list(tell(instance))
        if steps:
            return Argument(conflict=conflict.ids, steps=(*asked, *steps), closed=whole)
    told = summed(*proof) if proof is not None else ()
    if told:
        return Argument(conflict=conflict.ids, steps=(*asked, *told), closed=whole)
    return Argument(conflict=conflict.ids, steps=(*asked, searched(instance)), closed=False)


def _dearer(holding: Holding, site: Site) -> Iterator[ArgumentStep]:
    """The proven price of what else is asked, where no sum of single parts reaches the budget."""
    known = holding.asker.cheapest(without_budget(site))
    limit = holding.limit
    if limit is None or known.low <= limit:
        return
    if known.settled and known.bought:
        prices = ((holding.book.items[i], n) for i, n in known.bought.items())
        kinds: dict[str, int] = {}
        for item, number in prices:
            kinds[item.kind] = kinds.get(item.kind, 0) + number
        told = ", ".join(count(n, kind.replace("_", " ")) for kind, n in kinds.items())
        yield _step(f"The cheapest kit for the other demands buys {told}.", "proven by the search")
    taxed = " with tax" if site.money.tax else ""
    rest = f"{money_text(known.low)}{taxed}, {money_text(known.low - limit)} more than"
    yield _step(
        f"No kit for the other demands costs less than {rest} the budget allows.",
        "proven by the search",
        BUDGET,
    )


def _asked(text: str, requirement: str, line: int | None) -> ArgumentStep:
    where = SITE if line is None else f"{SITE}, line {line}"
    return ArgumentStep(text=f"Asked: {text}.", requirements=(requirement,), origin=where)


def _step(text: str, origin: str, *requirements: str) -> ArgumentStep:
    return ArgumentStep(text=text, requirements=requirements, origin=origin)


def _no_camera(instance: Instance) -> Iterator[ArgumentStep]:
    """A zone for which every camera of the book is out, limit by limit."""
    table = next((t for t in instance.zones if not t.candidates), None)
    if table is None:
        return
    groups: dict[tuple[str, bool], list[tuple[str, Refusal]]] = {}
    for item, refusal in table.refusals:
        unfed = refusal.limit.startswith(UNFED)
        groups.setdefault((refusal.quantity, unfed), []).append((item, refusal))
    for (quantity, unfed), out in groups.items():
        if unfed:
            yield from power_steps(instance, table, [item for item, _ in out])
            continue
        yield _step(
            _taken_out(instance, table, quantity, out),
            f"book: {listed((i for i, _ in out), _MOST_NAMED)}",
            f"zones.{table.name}/{quantity}",
        )
    number = len(table.refusals)
    sums = " + ".join(str(len(out)) for out in groups.values())
    yield _step(
        f"{sums} = {number}: these are all {number} camera items of the book, so {table.name} "
        "has no camera."
        if len(groups) > 1
        else f"These are all {number} camera items of the book, so {table.name} has no camera.",
        ARITHMETIC,
    )


def _taken_out(
    instance: Instance, table: ZoneTable, quantity: str, out: list[tuple[str, Refusal]]
) -> str:
    cameras = count(len(out), "camera item")
    near = max((r.figure, i) for i, r in out if r.figure is not None) if _measured(out) else None
    if quantity == "detail" and near is not None:
        return f"{cameras} out: {_density_sum(instance, table, near[1])}"
    words = Counter(r.limit for _, r in out).most_common()
    first = f"{words[0][0]}" + (f" ({words[0][1]} of them)" if len(words) > 1 else "")
    if near is not None:
        limit = next(r.limit for i, r in out if i == near[1])
        first = f"the one that comes nearest is {near[1]}: {limit}"
    if quantity == "run" and f"{table.zone.run} m" not in first:
        first += f"; the run is {table.zone.run} m"
    return f"{cameras} out: {first}."


def _measured(out: list[tuple[str, Refusal]]) -> bool:
    return any(r.figure is not None for _, r in out)


def _density_sum(instance: Instance, table: ZoneTable, item: str) -> str:
    """Pixels on a metre of the nearest camera, as a sum."""
    zone, camera = table.zone, instance.book.items[item]
    assert isinstance(camera, Camera)
    side = zone.most_cameras
    widest = camera.sensor_width * zone.distance * side / zone.width
    focal = min(camera.focal.high, widest)
    refusal = next(r for i, r in table.refusals if i == item)
    asked = float(instance.site.detail_px_m(zone))
    each = f" ({side} side by side)" if side > 1 and focal < camera.focal.high else ""
    recorded = refusal.figure or 0.0
    pixels = round(recorded * float(camera.sensor_width * zone.distance) / float(focal))
    return (
        f"the one that comes nearest is {item}: {pixels:,} px x {float(focal):g} mm / "
        f"({float(camera.sensor_width):g} mm x {zone.distance} m) = {recorded:.1f} px/m{each}, "
        f"{asked:g} are asked."
    )


def _no_recorder(instance: Instance) -> Iterator[ArgumentStep]:
    if instance.recorders:
        return
    limits: dict[str, list[str]] = {}
    for item, words in instance.recorder_refusals.items():
        limits.setdefault(words, []).append(item)
    for words, items in limits.items():
        yield _step(
            f"{count(len(items), 'recorder item')} out: {words}.",
            f"book: {listed(items, _MOST_NAMED)}",
        )
    number = len(instance.recorder_refusals)
    yield _step(f"These are all {number} recorder items of the book.", ARITHMETIC)


def _unfit(instance: Instance) -> Iterator[ArgumentStep]:
    """A recorder that has to be used, and that no kit can use."""
    policy = instance.site.policy
    wanted = {r.item: f"policy/require.{r.item}" for r in policy.require}
    wanted |= {o.item: f"owned.{o.item}/pinned" for o in instance.site.owned if o.pinned}
    for item, asked in wanted.items():
        refused = instance.recorder_refusals.get(item)
        if refused is not None:
            yield _step(
                f"{item} has to be used, and no kit can use it: {refused}.",
                f"book: {item}",
                asked,
            )
            return


def _no_sound(instance: Instance) -> Iterator[ArgumentStep]:
    """An audio point that stands alone and that nothing reaches."""
    for sound in instance.sounds:
        if sound.zone is None and not sound.alone:
            yield _step(
                f"No microphone of the book can be fed and heard over the {sound.point.run} m to "
                f"{sound.point.id}: of every pair of microphone, cable and supply one is too "
                "short, too thin or not made for the place.",
                "book: microphones, cables, supplies",
                f"audio.{sound.point.id}",
            )
            return


def _storage(instance: Instance) -> Iterator[ArgumentStep]:
    """More to keep than all recorders that there can be have room for."""
    fits = usable_recorders(instance)
    needs = [least_stored(instance, table) for table in instance.zones]
    cameras = most_cameras(instance)
    if not fits or any(need is None for need in needs):
        return
    rooms = [(best_usable(fit), fit) for fit in fits]
    room, best = max(rooms, key=lambda pair: pair[0][0])
    total = sum(need.gigabytes for need in needs if need is not None)
    if total <= cameras * room[0]:
        return
    for need in needs:
        assert need is not None
        yield _step(need.words, f"book: {need.camera}", f"zones.{need.zone}", "recording/retention")
    if len(needs) > 1:
        parts = " + ".join(f"{n.gigabytes:,}" for n in needs if n is not None)
        yield _step(f"Together at least {parts} = {total:,} GB.", ARITHMETIC)
    yield _step(_room_words(instance, best, room[1], len(fits)), f"book: {best.item}")
    if cameras > 1:
        yield _step(
            f"A recorder needs a camera of its own: at most {cameras} recorders, with "
            f"{cameras} x {room[0]:,} = {cameras * room[0]:,} GB.",
            "rules: a recorder in use has a camera",
        )
    yield _step(f"{total:,} GB are more than {cameras * room[0]:,} GB.", ARITHMETIC)


def _room_words(instance: Instance, fit: RecorderFit, words: str, number: int) -> str:
    failures = instance.site.recording.drive_failures
    lost = fit.recorder.bays - fit.bays
    where = f"{fit.recorder.bays} bays"
    if lost:
        where += f", {lost} of them for the disc writer"
    which = "the only recorder" if number == 1 else f"of {number} recorders the roomiest"
    survives = f" that survives {count(failures, 'drive failure')}" if failures else ""
    return f"{which[0].upper()}{which[1:]} that serves{survives}, {fit.item}, has {where}: {words}."


def _sound_inputs(instance: Instance) -> Iterator[ArgumentStep]:
    points = inputs_needed(instance)
    fits = usable_recorders(instance)
    cameras = most_cameras(instance)
    if not fits or not points:
        return
    best = max(fits, key=lambda fit: fit.recorder.audio_inputs)
    have = best.recorder.audio_inputs
    if len(points) <= cameras * have:
        return
    yield _step(
        f"{count(len(points), 'audio point')} can be recorded through an audio input only.",
        "rules: ways of sound",
        *(f"audio.{p}" for p in points),
    )
    yield _step(
        f"There can be {count(cameras, 'camera')} at most, and each recorder needs one: at most "
        f"{count(cameras, 'recorder')}.",
        "rules: a recorder in use has a camera",
    )
    yield _step(
        f"Of {count(len(fits), 'recorder')} that can serve none has more than "
        f"{count(have, 'audio input')}.",
        f"book: {listed((f.item for f in fits), _MOST_NAMED)}",
    )
    yield _step(
        f"{cameras} x {have} = {cameras * have} inputs are fewer than {len(points)} points.",
        ARITHMETIC,
    )


def _models(instance: Instance) -> Iterator[ArgumentStep]:
    """Zones that share no camera item, more than there may be models."""
    most = instance.site.policy.most_camera_models
    if most is None:
        return
    fitting = {t.name: {c.view.camera.id for c in t.candidates} for t in instance.zones}
    apart: list[str] = []
    for name in sorted(fitting, key=lambda n: len(fitting[n])):
        if all(fitting[name].isdisjoint(fitting[other]) for other in apart):
            apart.append(name)
    if len(apart) > most:
        for name in apart:
            yield _step(
                f"{name} can be seen by {count(len(fitting[name]), 'camera item')}: "
                f"{listed(sorted(fitting[name]), _MOST_NAMED)}.",
                f"book: {listed(sorted(fitting[name]), _MOST_NAMED)}",
                f"zones.{name}",
            )
        yield _step(
            f"No item stands in two of these lists: {', '.join(apart)} need {len(apart)} different "
            f"items, at most {most} may be used.",
            ARITHMETIC,
            "policy/most_camera_models",
        )
        return
    if most != 1 or set.intersection(*fitting.values()):
        return
    for item in sorted(set.union(*fitting.values())):
        missing = next(name for name in fitting if item not in fitting[name])
        refusals = {i: r for t in instance.zones if t.name == missing for i, r in t.refusals}
        because = f": {refusals[item].limit}" if item in refusals else ""
        yield _step(
            f"If it is {item}: it does not serve {missing}{because}.",
            f"book: {item}",
            f"zones.{missing}",
        )
    yield _step("No one camera item serves every zone.", ARITHMETIC, "policy/most_camera_models")


__all__ = ["argue"]
