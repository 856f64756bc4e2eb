"""What drives the price, how far each demand reaches, and why each line: on the terminal."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from decimal import Decimal

from rich.console import Console
from rich.table import Table
from rich.text import Text

from optimizer.errors import listed
from optimizer.pricebook.schema import AnyItem
from optimizer.reporting.explanation_open import partly_open, show_open
from optimizer.reporting.page import GOOD, HEADING, QUIET, STRONG, Column, Page, row, safe
from optimizer.reporting.words import money
from optimizer.solving.answer import Answer
from optimizer.solving.demands import by_place, in_few_words
from optimizer.solving.explanation import Binding, Headroom, ItemChange, JointlyBinding, Step
from optimizer.solving.variants import OtherItem, Why

_LEAST_WORDS, _LEAST_NAME = 10, 16
"""Least width of what is asked and of a step easier, and of a demand, beside long figures."""

_OPEN = "open"

_FIGURE = re.compile(r"(\d+(?:\.\d+)?)(?: \S+)?")

MOST_BINDING = 5
MOST_REACHES = 4
_LEAST = Decimal("0.01")
MOST_JOINT = 2
MOST_REASONS = 3
MOST_PLACES = 8
MOST_ITEMS = 3
MOST_ITEMS_SHORT = 2
_CHOICES = ("camera", "recorder", "drive", "switch", "supply")
"""Kinds whose choice is told without being asked for, in the order of telling."""


def render_explanation(
    answer: Answer,
    items: Mapping[str, AnyItem],
    console: Console,
    *,
    full: bool = False,
    headline: bool = False,
) -> None:
    """Print what an answer's explanation holds; nothing where it holds none.

    Parameters
    ----------
    full : bool
        True for all of it; otherwise a block that leaves a small site on two screens, and says what
        it leaves out.
    headline : bool
        True to begin with the headline, where the answer was shown before it was known.
    """
    page = Page(console)
    if headline and answer.headline:
        page.gap()
        show_headline(page, answer)
    if answer.figures_over:
        page.gap()
        page.text(f"On a plan {answer.figures_over}.", style=QUIET)
    if full or any(b.binds is not None or _drives(b) for b in answer.binding):
        _binding(page, answer, full)
        _joint(page, answer, full)
    _headroom(page, answer.headroom, full)
    show_open(page, answer, full)
    if answer.why:
        _why(page, answer, items, full)


def show_headline(page: Page, answer: Answer) -> None:
    """The one line of truth, where there is one."""
    if answer.headline:
        page.text(f"{answer.headline}.", hanging=2)


def saving(step: Step | None) -> str:
    """What a step does to the price, "-39.00"; "0" for nothing, "?" where time ran out."""
    if step is None:
        return ""
    if step.status == "unmeetable":
        return "cannot be met"
    if step.status == "refused":
        return "cannot be asked"
    if step.difference is not None:
        change = Decimal(step.difference)
        return f"{change:+,.2f}" if change else "0"
    return f"{_bound(step.low, step.before)} to {_bound(step.high, step.before)}"


def _bound(total: str | None, before: str) -> str:
    return "?" if total is None else signed(Decimal(total) - Decimal(before))


def signed(amount: Decimal) -> str:
    """An amount that is added or comes off, "+39.00"; nothing has no sign."""
    return f"{amount:+,.2f}" if amount else "0.00"


def swapped(changes: Iterable[ItemChange], most: int = MOST_ITEMS) -> str:
    """Items that change, "drive-2tb in place of drive-1tb", "2 more lead-50"."""
    came = [_count(c.after - c.before, c.item) for c in changes if c.after > c.before]
    went = [_count(c.before - c.after, c.item) for c in changes if c.after < c.before]
    if came and went:
        return f"{listed(came, most)} in place of {listed(went, most)}"
    return f"with {listed(came, most)}" if came else f"without {listed(went, most)}" if went else ""


def _count(number: int, item: str) -> str:
    return item if number == 1 else f"{number} {item}"


def _binding(page: Page, answer: Answer, full: bool) -> None:
    binding = answer.binding
    if not binding:
        return
    page.heading("What drives the price", "each by itself, solved anew; savings do not add up")
    drives = [b for b in binding if _drives(b)]
    unknown = [b for b in binding if b not in drives and b.binds is None]
    # Of what nothing is known there is nothing to show; it is named as left open.
    partly = [b for b in unknown if {_saved(b.eased), _saved(b.dropped)} - {"-", _OPEN}]
    shown = [*drives, *partly] if full else drives[:MOST_BINDING]
    if shown:
        page.put(_savings(page, shown))
    told = []
    order = [h.requirement for h in answer.headroom]
    rest = [b for b in binding if b not in drives and b not in unknown]
    groups = (
        ("no saving in", [b.requirement for b in rest if not partly_open(b)]),
        ("no saving by a step easier in", [b.requirement for b in rest if partly_open(b)]),
    )
    for words, idle in groups:
        if idle:
            told.append(f"{words} {in_few_words(idle, order) if full else _some(idle)}")
    if len(shown) < len(drives):
        told.append(f"{len(drives) - len(shown)} more save: --full")
    # What is listed in full has semicolons of its own.
    for line in told if full else filter(None, ["; ".join(told)]):
        page.text(line, indent=1, hanging=2, style=QUIET)


def _savings(page: Page, shown: Sequence[Binding]) -> Table:
    """What each demand saves. A bound is longer than a figure, and is of no use cut off."""
    easier = [one.eased.changes[0].to if one.eased else "-" for one in shown]
    saves, without = (
        max(len(head), *(len(_saved(step)) for step in steps))
        for head, steps in (
            ("saves", [one.eased for one in shown]),
            ("not asked", [one.dropped for one in shown]),
        )
    )
    widths = [
        max(len(one.requirement) for one in shown) + 1,
        max(len("asked"), *(len(_asked(one)) for one in shown)),
        max(len("a step easier"), *map(len, easier)),
    ]
    # Blanks between columns, then words give way before names do.
    over = sum(widths) + saves + without + 8 - page.width
    for column, least in ((1, _LEAST_WORDS), (2, _LEAST_WORDS), (0, _LEAST_NAME)):
        less = max(min(over, widths[column] - least), 0)
        widths[column] -= less
        over -= less
    grid = page.table(
        [
            Column(" demand", least=widths[0], most=widths[0]),
            Column("asked", most=widths[1]),
            Column("a step easier", most=widths[2]),
            Column("saves", figures=True, least=saves),
            Column("not asked", figures=True, least=without),
        ]
    )
    for one, to in zip(shown, easier, strict=True):
        name = Text(f" {safe(one.requirement)}")
        if len(name) > widths[0]:
            name = Text(name.plain.replace("/", "/\n   "))
        cells = (name, _asked(one), to, _saved(one.eased), _saved(one.dropped))
        grid.add_row(*row(cells))
    return grid


def _drives(one: Binding) -> bool:
    """Whether it is proven that asking less, or not at all, saves something."""
    return bool(one.binds) or _difference(one.dropped) < 0


def _asked(one: Binding) -> str:
    if one.asked == one.requirement.partition(".")[2]:
        return "seen" if one.requirement.startswith("zones.") else "heard"
    return "yes" if one.asked == "true" else one.asked


def _some(names: Sequence[str]) -> str:
    first = [n for n in names if not n.startswith("zones.")] or list(names)
    told = first[:2]
    rest = len(names) - len(told)
    return ", ".join(told) + (f" and {rest} more" if rest else "")


def _difference(step: Step | None) -> Decimal:
    return Decimal(0) if step is None or step.difference is None else Decimal(step.difference)


def _saved(step: Step | None) -> str:
    """A saving as a plain amount: what is less to pay."""
    if step is None:
        return "-"
    if step.difference is not None:
        less = -Decimal(step.difference)
        return f"{less:,.2f}" if less else "0"
    if step.low is None or step.status != "between":
        return _OPEN
    most = Decimal(step.before) - Decimal(step.low)
    least = Decimal(step.before) - Decimal(step.high or step.before)
    if most <= 0:
        return "0"
    return f"{least:,.2f} to {most:,.2f}" if least > 0 else f"at most {most:,.2f}"


def _joint(page: Page, answer: Answer, full: bool) -> None:
    shown = answer.joint if full else answer.joint[:MOST_JOINT]
    for one in shown:
        page.text(_together(one), indent=1, hanging=2)
    following = answer.next_saving
    if following is not None and not any(b.binds for b in answer.binding):
        told = " and ".join(
            f"{c.requirement} from {c.asked} to {c.to}" for c in following.step.changes
        )
        words = f"the nearest saving: {told} saves {_saved(following.step)}"
        page.text(words, indent=1, hanging=2)


def _together(one: JointlyBinding) -> str:
    how = "one step easier" if one.how == "eased" else "not asked"
    names = " and ".join(one.requirements)
    return f"only together: {names}, each {how}, save {_saved(one.step)}"


def _headroom(page: Page, headroom: Sequence[Headroom], full: bool) -> None:
    known = [h for h in headroom if _tells(h)]
    shown = known if full else _near(known)
    if not shown:
        return
    more = len(known) - len(shown)
    rest = f"; {more} more: --full" if more else ""
    page.heading("How far each demand goes at this price", f"and the next step{rest}")
    for one in shown:
        text = Text(safe(one.requirement), style=STRONG)
        text.append(f"  {safe(_reach(one, full))}", style="not bold")
        page.text(text, indent=1, hanging=2)


def _tells(one: Headroom) -> bool:
    """Whether there is anything to show; what is not known at all is named as left open."""
    beyond = one.next
    return one.proven or one.steps > 0 or bool(beyond and (beyond.because or _dearer(beyond)))


def _near(headroom: Sequence[Headroom]) -> list[Headroom]:
    """What is asked of the whole site, then the places where the next step is nearest.

    What is asked as strictly as can be goes no further, and is told only in the whole of it.
    """
    known = [h for h in headroom if (h.proven or h.steps) and not (h.endless and not h.steps)]
    # The budget's reach is the price itself, and stands at the top of the answer.
    places = [h for h in known if h.requirement.startswith(("zones.", "audio."))]
    site = [h for h in known if h not in places and h.requirement != "budget"]
    places = [h for h in places if h.next is not None]
    nearest = sorted(places, key=lambda h: h.steps)
    return [*site, *nearest][:MOST_REACHES]


def _reach(one: Headroom, full: bool) -> str:
    if one.endless and not one.steps:
        return f"{one.asked}, the strictest that can be asked"
    far = one.asked if one.steps == 0 else f"{one.asked}; {_as_far(one)} costs the same"
    if one.requirement == "budget":
        far = f"{one.asked}; down to {one.reaches} there is this kit"
    elif one.endless:
        return f"{far}, the strictest that can be asked"
    if not one.proven:
        why = one.next.because if one.next is not None and one.next.because else "time ran out"
        if one.next is not None and (one.next.high is not None or _dearer(one.next)):
            return f"{far}; {one.next.changes[0].to}: {_costs(one.next)}, {why}"
        return f"{far}, perhaps further: {why}"
    if one.next is None:
        return far
    to, what = one.next.changes[0].to, _costs(one.next)
    swap = swapped(one.next.items, MOST_ITEMS if full else MOST_ITEMS_SHORT)
    because = f" ({one.next.because})" if one.next.because else f", {swap}" if swap else ""
    return f"{far}; {to}: {what}{because}"


def _costs(step: Step) -> str:
    """What a step costs; that it costs something, where nothing else is known, and at most what."""
    if step.status == "between" and step.high and Decimal(step.high) <= Decimal(step.before):
        return "costs no more"
    if not _dearer(step) or step.status != "between" or step.low is None:
        return saving(step)
    if Decimal(step.low) - Decimal(step.before) > _LEAST:
        return saving(step)
    if step.high is None:
        return "costs more, or cannot be met"
    return f"costs more, {_bound(step.high, step.before)} at most"


def _dearer(step: Step) -> bool:
    """Whether a step is known to cost something, be it open how much."""
    return step.low is not None and Decimal(step.low) > Decimal(step.before)


def _as_far(one: Headroom) -> str:
    """The value that is reached, with the way that the figure goes: less may be stricter."""
    ends = [_FIGURE.fullmatch(value) for value in (one.asked, one.reaches)]
    numbers = [float(end[1]) for end in ends if end]
    falls = len(numbers) == 2 and numbers[1] < numbers[0]
    return f"{'down' if falls else 'up'} to {one.reaches}"


def _why(page: Page, answer: Answer, items: Mapping[str, AnyItem], full: bool) -> None:
    if full:
        page.heading("Why each line", "what it serves, and what speaks against cheaper choices")
        for one in answer.why:
            _whole(page, one, answer)
        return
    lines = _doubted(answer.why, items)
    if not lines:
        return
    page.heading("Why not a cheaper one", "the nearest that a limit takes out; all: --full")
    for one in lines:
        text = Text(safe(one.item), style=STRONG)
        words = f"  {_against(one.others[0], answer)}"
        page.text(text.append(safe(words), style="not bold"), indent=1, hanging=2)


def _against(other: OtherItem, answer: Answer) -> str:
    """A cheaper item and what takes it out, with the place where that is not plain."""
    named = all(place in other.limit for place in other.place.split(", "))
    named = named or [r.id for r in answer.recorders] == [other.place]
    at = "" if named else f" ({other.place})"
    return f"not {other.item}, {money(other.price)}: {other.limit}{at}"


def _doubted(reasons: Sequence[Why], items: Mapping[str, AnyItem]) -> list[Why]:
    """Lines with a cheaper choice to speak of: one of each kind before a second of any."""
    by_kind = [
        [one for one in reasons if items[one.item].kind == kind and one.others] for kind in _CHOICES
    ]
    firsts = [lines[0] for lines in by_kind if lines]
    rest = [one for lines in by_kind for one in lines[1:]]
    chosen = [*firsts, *rest][:MOST_REASONS]
    return [one for lines in by_kind for one in lines if one in chosen]


def _whole(page: Page, one: Why, answer: Answer) -> None:
    page.text(
        Text(safe(one.item), style=HEADING).append(f"  {safe(one.because)}", style="not bold"),
        indent=1,
        hanging=2,
    )
    if one.demands:
        places = by_place(one.demands)
        more = len(places) - MOST_PLACES
        told = ", ".join(places[:MOST_PLACES]) + (f" and {more} more" if more > 0 else "")
        page.text(f"for {told}", indent=3, hanging=2, style=QUIET)
    for other in one.others:
        page.text(_against(other, answer), indent=3, hanging=2)
    if one.would_do and answer.status == "optimal":
        page.text(
            f"{listed(one.would_do, 4)} would do by itself; no kit with it is cheaper",
            indent=3,
            hanging=2,
        )
    if one.without is not None:
        swap = swapped(one.without.items)
        words = f"without it: {saving(one.without)}{f', {swap}' if swap else ''}"
        page.text(words, indent=3, hanging=2, style=GOOD if one.without.difference else "")
