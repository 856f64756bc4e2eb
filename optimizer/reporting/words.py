"""Figures and phrases as an estimator would write them."""

from __future__ import annotations

from collections.abc import Mapping
from decimal import ROUND_CEILING, Decimal

from optimizer.design import Camera, FedFrom, Run, Sound
from optimizer.pricebook.schema import AnyItem, Supply
from optimizer.solving.answer import Answer

IN_TIME = "undecided in the time given"

MEDIUM = {
    "coax_power": "coax with power pair",
    "coax": "coax",
    "power_pair": "power pair",
    "category": "category cable",
    "audio_pair": "audio pair",
    "control_pair": "control pair",
    "lead": "lead",
}
CONTROL = {
    "pair": "control over its pair",
    "category": "control over a spare pair of the category cable",
    "coax": "control over the coax",
    "network": "control over the network",
}
SOUND = {
    "A1": "fed from the room",
    "A3": "on leads from the room",
    "A4": "fed at the spot",
    "A5": "on the leads and the feed of",
    "A6": "on the feed of",
    "A7": "through the stream of",
    "A8": "built into",
}


def money(amount: str) -> str:
    """An amount with its thousands marked, "1,843.20"."""
    return f"{Decimal(amount):,.2f}"


def percent(share: Decimal) -> str:
    """A share as "19 %"."""
    return f"{float(share * 100):g} %"


def with_tax(rate: str | None) -> str:
    """Words after a total, ", with 20 % tax"; nothing where no tax is stated."""
    return "" if rate is None else f", with {rate} tax"


def metres(cm: int) -> str:
    """A length in cm as "43.0 m"."""
    return f"{cm / 100:,.1f} m"


def above_cheapest(answer: Answer) -> str | None:
    """By how much a total may be above the cheapest possible, rounded up; None if unknown.

    The gap of an answer is a share of its own total; a buyer asks how much more than the
    cheapest possible it is, so it is taken from the bound.
    """
    if answer.total is None or answer.lower_bound is None or Decimal(answer.lower_bound) <= 0:
        return None
    bound = Decimal(answer.lower_bound)
    share = (Decimal(answer.total) - bound) / bound * 100
    return f"{share.quantize(Decimal('0.1'), ROUND_CEILING):,} %"


def status_words(answer: Answer) -> str:
    """The status in a few plain words."""
    if answer.status == "optimal" and not answer.over:
        return "cheapest, proven"
    if answer.status == "optimal" and answer.bound_by_shapes in (None, answer.total):
        # On a plan other aims than those looked at may do with less.
        known = "of the aims looked at" if answer.bound_by_shapes else "by whole cells"
        return f"cheapest {known}, proven"
    if answer.status == "optimal":
        return f"cheapest by whole cells; none below {money(answer.bound_by_shapes or '0')}, proven"
    if answer.status == "unmeetable":
        return "cannot be met, proven"
    if answer.status == "undecided":
        return "undecided" if answer.undecided_by in ("cells", "settings") else IN_TIME
    above = above_cheapest(answer)
    if above is None:
        return "best found, not proven cheapest"
    cheapest = "by whole cells" if answer.over else "possible"
    return f"best found, at most {above} above the cheapest {cheapest}"


def run_words(run: Run) -> str:
    """One run as an installer would say it, "cx59-500 33.0 m"; the bill says what an item is."""
    if run.existing is not None:
        return f"existing {MEDIUM[run.medium]} {metres(run.length_cm)}"
    items = " + ".join(run.items)
    return items if run.medium == "lead" else f"{items} {metres(run.length_cm)}"


class Wording:
    """Phrases about the cameras and audio points of one answer.

    Parameters
    ----------
    answer : Answer
        With a design.
    items : mapping
        The items of the price book by id.
    """

    def __init__(self, answer: Answer, items: Mapping[str, AnyItem]) -> None:
        powered = (*answer.supplies, *answer.switches, *answer.injectors)
        self._items = items
        self._runs = {run.id: run for run in answer.runs}
        self._units = {
            **{unit.id: unit.item for unit in answer.recorders},
            **{unit.id: unit.item for unit in powered},
        }

    def camera(self, camera: Camera) -> str:
        """How a camera is wired, fed, controlled and held."""
        told = [run_words(self._runs[name]) for name in camera.runs]
        told += [f"baluns {camera.balun}"] if camera.balun is not None else []
        told += [self.feed(camera.power)]
        told += [f"data to {camera.data_port}"] if camera.data_port is not None else []
        told += [CONTROL[camera.control]] if camera.control != "none" else []
        told += [f"on {camera.bracket}"] if camera.bracket is not None else []
        return "; ".join(told)

    def sound(self, sound: Sound) -> str:
        """How an audio point is met."""
        what = [] if sound.microphone is None else [sound.microphone]
        what += (
            [SOUND[sound.way]] if sound.camera is None else [f"{SOUND[sound.way]} {sound.camera}"]
        )
        told = [" ".join(what), *(run_words(self._runs[name]) for name in sound.runs)]
        if sound.power.way not in ("none", "camera"):
            told.append(self.feed(sound.power))
        told.append(sound.recorder + ("" if sound.input is None else f" input {sound.input}"))
        return "; ".join(told)

    def feed(self, power: FedFrom) -> str:
        """Where a load gets its power."""
        if power.unit is None:
            return "no feed of its own"
        item = self._items[self._units[power.unit]]
        if power.way == "local":
            return f"adapter {item.id} at the spot"
        output = "" if item.kind == "injector" else f":{power.output}"
        what = item.feed if isinstance(item, Supply) else "PoE"
        return f"{what} from {power.unit}{output}"
